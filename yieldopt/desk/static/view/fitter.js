// Four corners of a board's face, dragged or moved by arrow keys over its photo.
import {drawn, el, onDrawing} from "../shared/dom.js";

/** @typedef {[number, number]} Point */

const WORDS = [
  "datum end, near edge",
  "datum end, far edge",
  "far end, far edge",
  "far end, near edge",
];
// What an arrow key moves a corner, as a share of the photo; with Shift ten times that.
const STEP = 0.001;
/** @type {Record<string, Point>} */
const WAYS = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]};
// How large a corner's mark and its number are, as parts of the photo's longer side.
const MARK = 60,
  NUMBER = 50;

/**
 * @param {string} address of the photo
 * @param {string} what it shows
 * @param {Point[]} start the corners, as shares of its width and height
 * @param {(corners: Point[]) => void} keep
 */
export function fitter(address, what, start, keep) {
  const corners = start.map(c => /** @type {Point} */ ([...c]));
  const image = el("img", {src: address, alt: what});
  const frame = el("div", {class: "fitter"}, image);
  image.addEventListener("load", () => frame.append(overlay(image, corners, keep)));
  const words = WORDS.map((c, i) => `${i + 1} ${c}`).join("; ");
  return [el("p", {class: "what"}, `Put the four corners on the board's own: ${words}.`), frame];
}

/**
 * @param {HTMLImageElement} image
 * @param {Point[]} corners
 * @param {(corners: Point[]) => void} keep
 */
function overlay(image, corners, keep) {
  const [w, h] = [image.naturalWidth, image.naturalHeight];
  const svg = drawn("svg", {
    viewBox: `0 0 ${w} ${h}`,
    role: "group",
    "aria-label": "Corners of the face",
  });
  const line = drawn("polygon", {class: "fit-line"});
  const marks = corners.map((_, i) => mark(i, Math.max(w, h)));

  function draw() {
    line.setAttribute("points", corners.map(([x, y]) => `${x * w},${y * h}`).join(" "));
    marks.forEach((m, i) => {
      const [x, y] = corners[i];
      m.setAttribute("transform", `translate(${x * w} ${y * h})`);
    });
  }

  /** @param {SVGGElement} g @param {number} i */
  function hand(g, i) {
    const move = (/** @type {PointerEvent} */ m) => {
      const p = onDrawing(svg, m);
      corners[i] = [within(p.x / w), within(p.y / h)];
      draw();
    };
    g.addEventListener("pointerdown", e => {
      e.preventDefault();
      addEventListener("pointermove", move);
      const up = () => (removeEventListener("pointermove", move), keep(corners));
      addEventListener("pointerup", up, {once: true});
    });
    g.addEventListener("keydown", e => {
      const way = WAYS[e.key];
      if (!way) return;
      e.preventDefault();
      const by = STEP * (e.shiftKey ? 10 : 1);
      corners[i] = [within(corners[i][0] + way[0] * by), within(corners[i][1] + way[1] * by)];
      draw();
      keep(corners);
    });
  }

  marks.forEach(hand);
  svg.append(line, ...marks);
  draw();
  return svg;
}

const within = (/** @type {number} */ v) => Math.min(Math.max(v, 0), 1);

/** @param {number} i @param {number} long */
const mark = (i, long) =>
  drawn(
    "g",
    {tabindex: 0, role: "button", class: "corner", "aria-label": `Corner ${i + 1}: ${WORDS[i]}`},
    drawn("circle", {r: long / MARK}),
    drawn("text", {style: `font-size:${long / NUMBER}px`}, String(i + 1)),
  );
