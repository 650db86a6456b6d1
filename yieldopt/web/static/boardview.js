// One board: its picture, its figures, who holds it, what has happened to it.
import {chips, el, link, show} from "./dom.js";
import {boardDrawing} from "./drawing.js";
import {bytes, underlay} from "./photo.js";
import {standing} from "./rack.js";
import {lately} from "./scan.js";
import {all, fact, get} from "./store.js";
import {ask} from "./sync.js";
import {cost, extent, feet} from "./wood.js";

// In this order; other cells follow under their own names.
const FIRST = [
  "thickness",
  "place",
  "sawn",
  "stress",
  "sound_ends",
  "bow",
  "bow_hollow",
  "cup",
  "cup_hollow",
  "crook",
  "crook_hollow",
  "twist",
  "moisture",
  "dealer",
  "remarks",
];
const ABOVE = ["board", "species", "quarters", "length", "width", "photo_a", "photo_b"];

/** The room. Gives back how to show it anew. */
export async function boardRoom(room, id) {
  const view = {face: "A", on: null, photos: {}},
    shown = {face: null};
  let told = lately.get(id) ?? null;

  async function draw() {
    const board = (await get("boards", id)) ?? told?.board;
    if (!board) {
      show(room, el("h1", {}, "Board"), el("p", {}, told?.error ?? "Looking for it …"));
      return;
    }
    const waiting = new Set((await all("ops")).map(o => o.board));
    const hold = (await fact("holds", {}))[id] ?? told?.hold ?? null;
    show(
      room,
      heading(board, waiting, hold),
      picture(board, view, draw),
      table(board),
      photos(board),
      history(told),
    );
    await lay(board, view, shown, draw);
  }
  await draw();
  ask(`/api/boards/${id}`).then(r => {
    if (r.ok) told = r.body;
    else if (r.status) told = {error: `${r.body.error}.`};
    if (room.isConnected) draw();
  });
  return draw;
}

/** Photos are drawn straight once; the drawing shows at once without them. */
async function lay(board, view, shown, draw) {
  const cell = board.cells[`photo_${view.face.toLowerCase()}`] ?? "",
    key = view.face + cell;
  if (shown.face === key) return;
  shown.face = key;
  const {length, low, high} = extent(board);
  const before = view.photos[view.face] ?? null;
  view.photos[view.face] = await underlay(board, view.face, length, low, high, {});
  if (view.photos[view.face] !== before) draw();
}

function heading(board, waiting, hold) {
  const c = board.cells,
    [kind, words] = standing(board, waiting, null),
    price = cost(board);
  const size = `${c.length ?? "?"} long, ${board.edges.length ? "wandering edges" : `${c.width} wide`}`;
  const off = board.state && board.state !== "on rack" ? ` It is ${board.state}.` : "";
  return [
    el("h1", {}, `${c.board}, ${c.quarters ?? ""} ${c.species ?? ""}`),
    el("p", {class: "big", id: "size"}, size),
    el(
      "p",
      {},
      `${feet(board).toFixed(2)} board feet${price === null ? "" : `, costs ${price.toFixed(2)}`}. `,
      el("span", {class: kind}, `${words}.`),
      off,
    ),
    hold && el("p", {class: "say", id: "hold"}, holdWords(hold)),
    el(
      "div",
      {class: "row"},
      link("Correct", `#/log/${board.id}`, {"aria-label": `Correct ${c.board}`}),
      link("All boards", "#/rack"),
    ),
  ];
}

function holdWords(hold) {
  const day = text => new Date(text).toLocaleDateString();
  const since = hold.since ? `, since ${day(hold.since)}` : "";
  const until = hold.until ? `, until ${day(hold.until * 1000)}` : "";
  return `${hold.planning ? "Looked at just now for" : "Held for"} ${hold.job} by ${hold.who}${since}${until}.`;
}

function picture(board, view, draw) {
  const face = chips(
    ["A", "B"],
    view.face,
    f => {
      view.face = f;
      draw();
    },
    "Face",
  );
  return [face, boardDrawing(board, view, null).svg];
}

function table(board) {
  const c = board.cells,
    others = Object.keys(c).filter(k => !ABOVE.includes(k) && !FIRST.includes(k));
  const rows = [...FIRST, ...others.sort()]
    .filter(k => c[k])
    .map(k => [k.replaceAll("_", " "), c[k]]);
  for (const e of board.edges) rows.push([`edges at ${e.x}`, `${e.near || "0"} to ${e.far}`]);
  for (const d of board.defects) {
    rows.push([
      d.kind,
      `face ${d.face || "both"}, ${d.x} from datum, ${d.y} from near edge, ` +
        `${d.length} by ${d.width}`,
    ]);
  }
  return el(
    "table",
    {},
    rows.map(([k, v]) => el("tr", {}, el("th", {scope: "row"}, k), el("td", {}, v))),
  );
}

function photos(board) {
  return (board.photos ?? []).map((p, i) => {
    const image = el("img", {
      class: "photo",
      alt: `Photo ${i + 1} of ${board.cells.board}`,
      hidden: true,
    });
    bytes(board, p.name).then(blob => {
      if (!blob) return;
      image.addEventListener("load", () => URL.revokeObjectURL(image.src), {once: true});
      image.src = URL.createObjectURL(blob);
      image.hidden = false;
    });
    return image;
  });
}

function history(told) {
  if (!told?.history?.length) return null;
  return el(
    "details",
    {},
    el("summary", {}, "What has happened to it"),
    el(
      "ul",
      {},
      told.history.map(h =>
        el(
          "li",
          {},
          `${new Date(h.at).toLocaleString()}: ${h.what}, ${h.who}${h.remark ? ` (${h.remark})` : ""}`,
        ),
      ),
    ),
  );
}
