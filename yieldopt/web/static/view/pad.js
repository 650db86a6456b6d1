// The length keypad: digits, fractions of an inch to the sixteenth, feet, millimetres, and a minus
// for an edge that lies below the snapped line.
import {button, el} from "./dom.js";

const EIGHTHS = ["1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"];
const SIXTEENTHS = ["1/16", "3/16", "5/16", "7/16", "9/16", "11/16", "13/16", "15/16"];

/**
 * A fraction as it stands on a tape: one figure over the other.
 * @param {string} text
 * @param {() => void} act
 */
function fractionKey(text, act) {
  const [top, bottom] = text.split("/");
  const figures = el("span", {"aria-hidden": "true"}, el("b", {}, top), el("b", {}, bottom));
  return button(figures, act, {"aria-label": text, class: "part"});
}

/**
 * @param {() => string} get the length as it stands
 * @param {(text: string) => void} set
 * @param {() => void} next
 * @param {string} nextWord
 * @param {{metric?: boolean, minus?: boolean}} how begun in millimetres; with a minus
 */
export function pad(get, set, next, nextWord, how = {}) {
  let mm = how.metric || /mm$/.test(get());
  const box = el("div", {class: "pad", role: "group", "aria-label": "Length keys"});
  const bare = () => get().replace(/\s*mm$/, "");
  const put = (/** @type {string} */ text) => set(mm && text ? `${text}mm` : text);
  const digit = (/** @type {string} */ d) => put(/\/\d+$/.test(bare()) ? d : bare() + d);
  const part = (/** @type {string} */ f) =>
    put(
      `${bare()
        .replace(/\s?\d+\/\d+$/, "")
        .trimEnd()} ${f}`.trim(),
    );
  /** @type {Record<string, () => void>} */
  const ACTS = {
    back: () => put(bare().replace(/(\s?\d+\/\d+|.)$/, "")),
    clear: () => set(""),
    ft: () => {
      if (/^\d+$/.test(bare())) put(`${bare()}' `);
    },
    ".": () => {
      if (!bare().includes(".")) put(`${bare()}.`);
    },
    "−": () => put(bare().startsWith("-") ? bare().slice(1) : `-${bare()}`),
    mm: turn,
    inches: turn,
  };
  function turn() {
    mm = !mm;
    set("");
    draw();
  }
  function draw() {
    const keys = [
      ..."123",
      "back",
      ..."456",
      mm ? "." : how.minus ? "−" : "ft",
      ..."789",
      mm ? "inches" : "mm",
      "0",
      "clear",
    ];
    box.replaceChildren(
      ...keys.map(k => button(k, ACTS[k] ?? (() => digit(k)))),
      button(nextWord, next, {class: "main next"}),
    );
    if (mm) return;
    box.append(
      el(
        "div",
        {class: "parts", role: "group", "aria-label": "Fractions"},
        [...EIGHTHS, ...SIXTEENTHS].map(f => fractionKey(f, () => part(f))),
      ),
    );
  }
  draw();
  return box;
}
