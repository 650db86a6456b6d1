// The sizes of a board being measured: what it is, its lengths on a stick, and under "More" the
// rest.
import {SAWN, SOUND_ENDS, STRESS} from "../figures/trade.js";
import {button, chips, choice, el} from "../view/dom.js";
import {pad} from "../view/pad.js";

/** @import {Edge} from "../figures/valid.js" */
/** @import {Kid, Typed} from "../view/dom.js" */
/** @import {Measuring} from "./measure.js" */

const CLASSES = ["4/4", "5/4", "6/4", "8/4"];
/** @type {[string, string, string][]} */
const TEXTS = [
  ["price_bf", "Price a board foot", "decimal"],
  ["cost", "Price of this board", "decimal"],
  ["dealer", "Dealer", "text"],
  ["place", "Where it lies", "text"],
  ["moisture", "Moisture %", "decimal"],
  ["remarks", "Remarks", "text"],
];
// Which side is hollow goes down, or against the fence, first: the milling order asks for it.
/** @type {[string, string, Record<string, string>][]} */
const HOLLOW = [
  ["bow_hollow", "Hollow along the board", {A: "face A", B: "face B"}],
  ["cup_hollow", "Hollow across the board", {A: "face A", B: "face B"}],
  ["crook_hollow", "Hollow edge", {near: "near edge", far: "far edge"}],
];
const OTHER = "another …";

/**
 * The elements of the view.
 * @param {Measuring} m
 * @returns {Kid[]}
 */
export function sizes(m) {
  return [
    el("div", {class: "what"}, input(m, "board", "Name", "text"), species(m), quarters(m)),
    el(
      "div",
      {class: "stick"},
      m.fields.map(k => slot(m, k, k)),
    ),
    m.more && more(m),
    dock(m, m.field === "at" ? "Width there" : "Next", [
      button(`Marks (${m.board.defects.length})`, () => open(m)),
      button(
        m.more ? "Less" : "More",
        () => {
          m.more = !m.more;
          if (!m.more) m.field = "length";
          m.draw();
        },
        {"aria-expanded": String(m.more)},
      ),
    ]),
  ];
}

/**
 * The keypad and the keys that finish, always in sight.
 * @param {Measuring} m
 * @param {string} nextWord
 * @param {Kid[]} keys
 */
export function dock(m, nextWord, keys, withPad = true) {
  const how = {
    metric: /mm$/.test(m.cells.length ?? "") && !m.at(m.field),
    minus: m.field === "near",
  };
  return el(
    "div",
    {class: "dock"},
    withPad &&
      pad(
        () => m.at(m.field),
        v => m.set(v),
        () => m.next(),
        nextWord,
        how,
      ),
    el(
      "div",
      {class: "row"},
      button("Save board", () => m.save(), {class: "main wide"}),
      keys,
    ),
  );
}

/**
 * A length of the board, to be chosen and typed.
 * @param {Measuring} m
 * @param {string} k
 * @param {string} word
 */
export const slot = (m, k, word) =>
  button([m.at(k) || "–", el("small", {}, word)], () => m.choose(k), {
    "data-field": k,
    "aria-pressed": String(m.field === k),
  });

/** @param {Measuring} m */
async function open(m) {
  m.open = true;
  await m.lay();
  m.draw();
}

/**
 * @param {Measuring} m
 * @param {string} k
 * @param {string} word
 * @param {string} mode of the keyboard
 */
function input(m, k, word, mode) {
  const put = (/** @type {Typed} */ e) => {
    m.cells[k] = e.target.value;
    if (k === "species") m.priced();
    m.note();
  };
  return el(
    "label",
    {},
    word,
    el("input", {id: `in-${k}`, inputmode: mode, value: m.cells[k] ?? "", oninput: put}),
  );
}

/** @param {Measuring} m */
function species(m) {
  if (!m.known.length || m.other) return input(m, "species", "Species", "text");
  const now = m.cells.species ?? "",
    list = m.known.includes(now) || !now ? m.known : [now, ...m.known];
  const pick = (/** @type {string} */ s) => {
    m.other = s === OTHER;
    m.cells.species = m.other ? "" : s;
    m.priced();
    m.draw();
    if (m.other) /** @type {HTMLElement | null} */ (m.room.querySelector("#in-species"))?.focus();
  };
  /** @type {(string | [string, string])[]} */
  const none = now ? [] : [["", "–"]];
  return choice("Species", [...none, ...list, OTHER], now, pick, {id: "of-species"});
}

/** @param {Measuring} m */
function quarters(m) {
  const list = [...new Set([...CLASSES, m.cells.quarters].filter(Boolean))];
  return choice(
    "Quarters",
    list,
    m.cells.quarters,
    q => {
      m.cells.quarters = q;
      m.priced();
      m.draw();
    },
    {id: "in-quarters"},
  );
}

/** @param {Measuring} m */
function more(m) {
  const c = m.cells;
  /** @type {(k: string, word: string, list: string[], otherwise?: string) => HTMLElement} */
  const pick = (k, word, list, otherwise = "") =>
    chips(
      list,
      c[k] ?? otherwise,
      s => {
        c[k] = c[k] === s ? "" : s;
        m.draw();
      },
      word,
    );
  return [
    HOLLOW.map(([k, word, sides]) => c[k.split("_")[0]] && hollow(m, k, word, sides)),
    el("h2", {}, "Width at several points"),
    m.board.edges.map((e, i) =>
      el(
        "div",
        {class: "row"},
        el("span", {class: "wide"}, edgeWords(e)),
        button(
          "Rub out",
          () => {
            m.board.edges.splice(i, 1);
            m.draw();
          },
          {"aria-label": `Rub out the width at ${e.x}`},
        ),
      ),
    ),
    el(
      "div",
      {class: "stick"},
      slot(m, "at", "at"),
      slot(m, "near", "near edge"),
      slot(m, "far", "far edge"),
    ),
    el("h2", {}, "Sawing and stress"),
    pick("sawn", "Sawn", SAWN),
    pick("stress", "Stress", STRESS, "unknown"),
    pick("sound_ends", "Sound ends", SOUND_ENDS, "none"),
    TEXTS.map(t => input(m, ...t)),
  ];
}

const edgeWords = (/** @type {Edge} */ e) =>
  Number(e.near || 0) === 0 ? `${e.far} wide at ${e.x}` : `from ${e.near} to ${e.far} at ${e.x}`;

/**
 * One tap says which side is hollow.
 * @param {Measuring} m
 * @param {string} k
 * @param {string} word
 * @param {Record<string, string>} sides
 */
function hollow(m, k, word, sides) {
  return el(
    "div",
    {class: "row", role: "group", "aria-label": word},
    el("span", {}, word),
    Object.entries(sides).map(([value, text]) =>
      button(
        text,
        () => {
          m.cells[k] = m.cells[k] === value ? "" : value;
          m.draw();
        },
        {"aria-pressed": String(m.cells[k] === value), "aria-label": `${word}: ${text}`},
      ),
    ),
  );
}
