// Every board this phone knows, and where each one is: only here, or in the rack. Questions come first;
// then a search, and the list, of which only what is in sight is in the page.
import {button, choice, count, el, link, show} from "./dom.js";
import {boardRoom} from "./boardview.js";
import {inches} from "./lengths.js";
import {longList} from "./longlist.js";
import {questions} from "./questions.js";
import {scanner} from "./scan.js";
import {all, fact} from "./store.js";
import {state} from "./sync.js";

const LINE = 74;
const IN_ORDER = new Intl.Collator("en", {numeric: true}).compare;
export const byName = (a, b) => IN_ORDER(a.cells.board ?? "", b.cells.board ?? "");
// What is searched for stays while the page is open.
const wanted = {text: "", species: "", quarters: "", least: "", place: ""};

/** The room; with an id, that board's own view. Gives back how to show it anew. */
export async function rackRoom(room, id) {
  if (id) return boardRoom(room, id);
  const asked = el("ul", {class: "list"}),
    search = el("div", {}),
    list = el("div", {});
  show(room, el("h1", {}, "Rack"), asked, search, list);
  const seen = {boards: [], waiting: new Set(), holds: {}};
  const draw = () => fill(list, seen);

  async function load() {
    const ops = await all("ops");
    seen.waiting = new Set(ops.map(o => o.board));
    seen.holds = await fact("holds", {});
    seen.boards = (await all("boards")).sort(
      (a, b) => here(b, seen) - here(a, seen) || byName(a, b),
    );
    asked.replaceChildren(...questions(ops));
    if (!search.contains(document.activeElement)) show(search, fields(seen.boards, draw));
    draw();
  }
  await load();
  return load;
}

const here = (b, seen) => Number(seen.waiting.has(b.id) || !b.version);

/** The words beside a board: where it is, and who holds it. */
export function standing(b, waiting, hold) {
  if (!b.version) return ["phone", "only on this phone"];
  if (waiting.has(b.id)) return ["phone", "correction only on this phone"];
  if (hold)
    return ["held", `${hold.planning ? "looked at for" : "held for"} ${hold.job} by ${hold.who}`];
  return ["inrack", "in the rack"];
}

function line(b, seen) {
  const c = b.cells,
    [kind, words] = standing(b, seen.waiting, seen.holds[b.id]);
  const place = c.place ? ` · ${c.place}` : "";
  return [
    el(
      "a",
      {class: "to", href: `#/rack/${b.id}`},
      el(
        "span",
        {},
        el("strong", {}, c.board),
        ` ${c.length ?? "?"} × ${width(b)} · ${c.quarters ?? ""} ${c.species ?? ""}`,
      ),
      el("span", {class: kind}, words, el("span", {class: "quiet"}, place)),
    ),
    link("Correct", `#/log/${b.id}`, {"aria-label": `Correct ${c.board}`}),
  ];
}

const width = b => (b.edges.length ? "varies" : (b.cells.width ?? "?"));

function found(boards) {
  const words = wanted.text.toLowerCase().split(/\s+/).filter(Boolean),
    least = inches(wanted.least);
  return boards.filter(b => {
    const c = b.cells;
    if (wanted.species && c.species !== wanted.species) return false;
    if (wanted.quarters && c.quarters !== wanted.quarters) return false;
    if (wanted.place && c.place !== wanted.place) return false;
    if (least && (inches(c.length) ?? 0) < least) return false;
    const text = [c.board, c.species, c.quarters, c.place, c.dealer, c.remarks]
      .join(" ")
      .toLowerCase();
    return words.every(w => text.includes(w));
  });
}

function fill(list, seen) {
  const boards = found(seen.boards),
    all = seen.boards.length;
  const coming = state.coming
    ? `, and ${count(state.coming.total - all, "more is", "more are")} coming`
    : "";
  const many =
    boards.length < all
      ? `${boards.length.toLocaleString("en")} of ${count(all, "board")}`
      : count(all, "board");
  const words = all ? `${many}${coming}` : "No boards yet.";
  show(
    list,
    el("p", {class: "quiet", role: "status", id: "many"}, words),
    longList(boards, LINE, b => line(b, seen), "Boards"),
  );
}

function fields(boards, draw) {
  const among = k =>
    ["", ...new Set(boards.map(b => b.cells[k]).filter(Boolean))]
      .sort(IN_ORDER)
      .map(v => [v, v || "any"]);
  const set = k => v => {
    wanted[k] = v;
    draw();
  };
  const box = (k, word, more) =>
    el(
      "label",
      {},
      word,
      el("input", {
        id: `find-${k}`,
        value: wanted[k],
        oninput: e => set(k)(e.target.value),
        ...more,
      }),
    );
  const narrowed = ["species", "quarters", "least", "place"].some(k => wanted[k]);
  return [
    el(
      "div",
      {class: "row"},
      el(
        "div",
        {class: "wide"},
        box("text", "Search", {type: "search", placeholder: "name, place, remark"}),
      ),
      scanner(),
    ),
    el(
      "details",
      {open: narrowed},
      el("summary", {}, "Species, thickness, length, place"),
      el(
        "div",
        {class: "finders"},
        choice("Species", among("species"), wanted.species, set("species"), {id: "find-species"}),
        choice("Thickness", among("quarters"), wanted.quarters, set("quarters"), {
          id: "find-quarters",
        }),
        box("least", "At least this long", {inputmode: "text"}),
        choice("Place", among("place"), wanted.place, set("place"), {id: "find-place"}),
        button("Search for all", () => {
          for (const k of Object.keys(wanted)) wanted[k] = "";
          dispatchEvent(new HashChangeEvent("hashchange"));
        }),
      ),
    ),
  ];
}
