// The length keypad: digits, whole and sixteenth fractions in two rows, feet, millimetres. Reads back what it makes.
import {button, el} from "./dom.js";
const EIGHTHS = ["1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"];
const SIXTEENTHS = ["1/16", "3/16", "5/16", "7/16", "9/16", "11/16", "13/16", "15/16"];
export function pad(get, set, next, nextWord, metric = false) {
  let mm = metric || /mm$/.test(get());
  const box = el("div", {class: "pad", role: "group", "aria-label": "Length keys"});
  const bare = () => get().replace(/\s*mm$/, "");
  const put = t => set(mm && t ? `${t}mm` : t);
  const digit = d => { const t = bare(); put(/\/\d+$/.test(t) ? d : t + d); };
  const draw = () => {
    const keys = [..."123", "back", ..."456", mm ? "." : "ft", ..."789", mm ? "inches" : "mm", "0", "clear"];
    const act = {back: () => put(bare().replace(/(\s?\d+\/\d+|.)$/, "")), clear: () => set(""), ft: () => { if (/^\d+$/.test(bare())) put(bare() + "' "); }, ".": () => { if (!bare().includes(".")) put(bare() + "."); }};
    const turn = () => { mm = !mm; set(""); draw(); };
    const fractions = [...EIGHTHS, ...SIXTEENTHS].map(f => button(f, () => put(`${bare().replace(/\s?\d+\/\d+$/, "").trimEnd()} ${f}`.trim())));
    box.replaceChildren(...keys.map(k => button(k, act[k] ?? (k === "mm" || k === "inches" ? turn : () => digit(k)))),
      el("button", {type: "button", class: "main next", style: null, onclick: next}, nextWord), ...(mm ? [] : [el("div", {class: "sixteenths"}, fractions)]));
    box.querySelector(".next").style.gridColumn = "3 / -1";
  };
  draw();
  return box;
}
