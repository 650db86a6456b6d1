// Every board this phone knows, and where each one is: only here, or in the rack. Questions come
// first; then a search, and the list, of which only what is in sight is in the page.
import {byName, found, IN_ORDER, standing} from "../figures/finding.js";
import {state} from "../state/reach.js";
import {all, fact} from "../state/store.js";
import {button, choice, count, el, link, show} from "../view/dom.js";
import {longList} from "../view/longlist.js";
import {scanner} from "../view/scan.js";
import {boardRoom} from "./boardview.js";
import {questions} from "./questions.js";

/** @import {Wanted} from "../figures/finding.js" */
/** @import {Board, Holder} from "../figures/valid.js" */
/** @import {Props} from "../view/dom.js" */
/** @typedef {keyof Wanted} Field */
/**
 * @typedef {object} Seen
 * @property {Board[]} boards
 * @property {Set<string | undefined>} waiting boards with changes on their way to the rack
 * @property {Record<string, Holder>} holds
 */

const LINE = 74;
const NOTHING = {text: "", species: "", quarters: "", least: "", place: ""};
/**
 * What is searched for stays while the page is open.
 * @type {Wanted}
 */
const wanted = {...NOTHING};

/**
 * The room; with an id, that board's own view. Gives back how to show it anew.
 * @param {HTMLElement} room
 * @param {string} [id]
 */
export async function rackRoom(room, id) {
  if (id) return boardRoom(room, id);
  const asked = el("ul", {class: "list"}),
    search = el("div", {}),
    list = el("div", {});
  show(room, el("h1", {}, "Rack"), asked, search, list);
  /** @type {Seen} */
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

/**
 * Those that are only here come first.
 * @param {Board} b
 * @param {Seen} seen
 */
const here = (b, seen) => Number(seen.waiting.has(b.id) || !b.version);

/**
 * @param {Board} b
 * @param {Seen} seen
 */
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

const width = (/** @type {Board} */ b) => (b.edges.length ? "varies" : (b.cells.width ?? "?"));

/**
 * @param {HTMLElement} list
 * @param {Seen} seen
 */
function fill(list, seen) {
  const boards = found(seen.boards, wanted),
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

/**
 * @param {Board[]} boards
 * @param {() => void} draw
 */
function fields(boards, draw) {
  /** @type {(k: Field) => [string, string][]} */
  const among = k =>
    ["", ...new Set(boards.map(b => b.cells[k]).filter(Boolean))]
      .sort(IN_ORDER)
      .map(v => [v, v || "any"]);
  /** @type {(k: Field) => (v: string) => void} */
  const set = k => v => {
    wanted[k] = v;
    draw();
  };
  /** @type {(k: Field, word: string, more: Props) => HTMLElement} */
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
  const {species, quarters, least, place} = wanted,
    narrowed = Boolean(species || quarters || least || place);
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
          Object.assign(wanted, NOTHING);
          dispatchEvent(new HashChangeEvent("hashchange"));
        }),
      ),
    ),
  ];
}
