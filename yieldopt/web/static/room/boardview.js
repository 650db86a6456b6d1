// One board: its picture, its figures, who holds it, what has happened to it.
import {standing} from "../figures/finding.js";
import {cost, extent, feet} from "../figures/wood.js";
import {bytes} from "../state/pictures.js";
import {ask} from "../state/reach.js";
import {all, fact, get} from "../state/store.js";
import {chips, el, lines, link, show} from "../view/dom.js";
import {boardDrawing} from "../view/drawing.js";
import {underlay} from "../view/photo.js";
import {lately} from "../view/scan.js";

/** @import {Board, Holder} from "../figures/valid.js" */
/** @import {View} from "../view/drawing.js" */
/** @typedef {{at: string, what: string, who: string, remark?: string}} Line of its history */
/**
 * @typedef {{board: Board, hold: Holder | null, history: Line[], error: string}} Told by the rack
 */

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

/**
 * The room. Gives back how to show it anew.
 * @param {HTMLElement} room
 * @param {string} id
 */
export async function boardRoom(room, id) {
  /** @type {View} */
  const view = {face: "A", on: null, photos: {}};
  const shown = {face: ""};
  /** @type {Partial<Told> | null} */
  let told = lately.get(id) ?? null;

  async function draw() {
    const board = (await get("boards", id)) ?? told?.board;
    if (!board) {
      show(room, el("h1", {}, "Board"), el("p", {}, told?.error ?? "Looking for it …"));
      return;
    }
    const waiting = new Set((await all("ops")).map(o => o.board));
    const holds = await fact("holds", /** @type {Record<string, Holder>} */ ({})),
      hold = holds[id] ?? told?.hold ?? null;
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

/**
 * Photos are drawn straight once; the drawing shows at once without them.
 * @param {Board} board
 * @param {View} view
 * @param {{face: string}} shown which face with which photo
 * @param {() => unknown} draw
 */
async function lay(board, view, shown, draw) {
  const cell = board.cells[`photo_${view.face.toLowerCase()}`] ?? "",
    key = view.face + cell;
  if (shown.face === key) return;
  shown.face = key;
  const photos = (view.photos ??= {}),
    before = photos[view.face] ?? null;
  photos[view.face] = await underlay(board, view.face, extent(board), {});
  if (photos[view.face] !== before) draw();
}

/**
 * @param {Board} board
 * @param {Set<string | undefined>} waiting
 * @param {Holder | null} hold
 */
function heading(board, waiting, hold) {
  const c = board.cells,
    [kind, words] = standing(board, waiting, null),
    price = cost(board);
  const width = board.edges.length ? "wandering edges" : `${c.width} wide`,
    size = `${c.length ?? "?"} long, ${width}`,
    costs = price === null ? "" : `, costs ${price.toFixed(2)}`;
  const off = board.state && board.state !== "on rack" ? ` It is ${board.state}.` : "";
  return [
    el("h1", {}, `${c.board}, ${c.quarters ?? ""} ${c.species ?? ""}`),
    el("p", {class: "big", id: "size"}, size),
    el(
      "p",
      {},
      `${feet(board).toFixed(2)} board feet${costs}. `,
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

/** @param {Holder} hold */
function holdWords(hold) {
  const day = (/** @type {string | number} */ text) => new Date(text).toLocaleDateString();
  const since = hold.since ? `, since ${day(hold.since)}` : "";
  const until = hold.until ? `, until ${day(hold.until * 1000)}` : "";
  const held = hold.planning ? "Looked at just now for" : "Held for";
  return `${held} ${hold.job} by ${hold.who}${since}${until}.`;
}

/**
 * @param {Board} board
 * @param {View} view
 * @param {() => unknown} draw
 */
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

/** @param {Board} board */
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

/** @param {Board} board */
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

/** @param {Partial<Told> | null} told */
function history(told) {
  if (!told?.history?.length) return null;
  const line = (/** @type {Line} */ h) =>
    `${new Date(h.at).toLocaleString()}: ${h.what}, ${h.who}${h.remark ? ` (${h.remark})` : ""}`;
  return el("details", {}, el("summary", {}, "What has happened to it"), lines(told.history, line));
}
