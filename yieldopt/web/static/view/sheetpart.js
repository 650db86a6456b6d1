// A part of a sheet, across its whole width, with what it is about ringed.
import {el} from "./dom.js";

/** @typedef {{left: number, top: number, width: number, height: number}} Rect in points */

// Round a line that is thinner than a finger, in points of the sheet.
const RING = 6;

// Pictures that are shown already are shown again as they are: a new one would be white for a
// moment.
const MOST = 40;
/** @type {Map<string, HTMLImageElement>} */
const shown = new Map();

/**
 * @param {string} src
 * @param {number} upper
 * @param {number} height of the page
 * @param {string} alt
 */
function picture(src, upper, height, alt) {
  const key = `${src} ${upper}`;
  let image = shown.get(key);
  if (!image) {
    const style = `transform:translateY(-${((upper / height) * 100).toFixed(3)}%)`;
    image = el("img", {class: "sheet", alt, src, style, draggable: "false"});
    image.addEventListener("error", () => shown.delete(key), {once: true});
    const [oldest] = shown.keys();
    if (shown.size >= MOST) shown.delete(oldest);
    shown.set(key, image);
  }
  return image;
}

/**
 * @param {string} src the sheet
 * @param {[number, number]} size width and height of its page, in points
 * @param {number} upper
 * @param {number} lower the stretch of the page that shows
 * @param {Rect[]} spots what to ring
 * @param {string} alt
 */
export function sheetPart(src, [width, height], upper, lower, spots, alt) {
  const tall = lower - upper,
    share = (/** @type {number} */ v, /** @type {number} */ of) =>
      `${((v / of) * 100).toFixed(3)}%`;
  const ring = (/** @type {Rect} */ s) =>
    el("span", {
      class: "ring",
      "aria-hidden": "true",
      style: [
        `left:${share(s.left - RING, width)}`,
        `top:${share(s.top - RING - upper, tall)}`,
        `width:${share(s.width + 2 * RING, width)}`,
        `height:${share(s.height + 2 * RING, tall)}`,
      ].join(";"),
    });
  return el(
    "div",
    {class: "part-of", style: `aspect-ratio:${width} / ${tall}`},
    picture(src, upper, height, alt),
    spots.map(ring),
  );
}
