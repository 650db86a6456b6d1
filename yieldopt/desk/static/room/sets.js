// The finished sets: leaves of a panel side by side, a book opened, a run in line, with the photo
// of the wood where there is one.
import {drawn, el, show} from "../shared/dom.js";
import {ask} from "../state/net.js";

/** @typedef {import("../view/boards.js").Wood} Wood */
/** @typedef {import("../view/boards.js").Spot} Spot */
/**
 * @typedef {{piece: string, board: string, layer: number, layers: number, at: Spot, wood: Spot,
 *   turned: boolean}} Leaf
 */
/** @typedef {{name: string, words: string, length: number, width: number, leaves: Leaf[]}} Set_ */

const WIDEST = 900,
  HIGHEST = 420,
  LEAST = 0.3,
  MOST = 14;

/**
 * @param {HTMLElement} room
 * @param {any} _job
 * @param {(text: string) => void} say
 */
export function setsRoom(room, _job, say) {
  ask("GET", "/api/sets")
    .then((/** @type {{boards: Wood[], sets: Set_[]} | null} */ found) => {
      if (!found) return show(room, el("p", {class: "what"}, "There is no plan yet."));
      const woods = new Map(found.boards.map(b => [b.name, b]));
      const words = found.sets.length
        ? "As they will lie once they are milled. Where a leaf is sawn out of the thickness, the " +
          "photo of the board's face is only a likeness: the saw opens other wood."
        : "This plan has no panels, books or runs.";
      // All to one scale.
      const points = Math.min(
        MOST,
        ...found.sets.map(s => Math.max(LEAST, Math.min(WIDEST / s.length, HIGHEST / s.width))),
      );
      show(
        room,
        el("p", {class: "what"}, words),
        el(
          "div",
          {class: "sets"},
          found.sets.map(s => setFigure(s, woods, points)),
        ),
      );
    })
    .catch(error => say(error.message));
  return () => {};
}

/** @param {Set_} s @param {Map<string, Wood>} woods @param {number} points */
function setFigure(s, woods, points) {
  const [wide, high] = [s.length * points, s.width * points];
  return el(
    "figure",
    {},
    el("figcaption", {}, el("b", {}, s.name), ` ${s.words}`),
    drawn(
      "svg",
      {
        viewBox: `-3 -3 ${wide + 6} ${high + 6}`,
        width: wide + 6,
        height: high + 6,
        class: "board",
        role: "img",
        "aria-label": `${s.name}: ${s.leaves.map(l => `${l.piece} from ${l.board}`).join(", ")}`,
      },
      s.leaves.map(l => leafDrawing(l, s, woods.get(l.board), points)),
    ),
  );
}

/**
 * @param {Leaf} l
 * @param {Set_} s
 * @param {Wood | undefined} wood
 * @param {number} points
 */
function leafDrawing(l, s, wood, points) {
  const [wide, high] = [l.at.length * points, l.at.width * points];
  const top = (s.width - l.at.y - l.at.width) * points;
  const size = Math.min(13, high / 2.4);
  const words = `${l.piece} from ${l.board}${l.layers > 1 ? `, layer ${l.layer}` : ""}`;
  return drawn(
    "g",
    {transform: `translate(${l.at.x * points} ${top})`},
    wood?.photos.A ? photoOf(l, wood, wide, high) : woodOf(l, wide, high),
    drawn("rect", {width: wide, height: high, class: "leaf"}),
    words.length * size * 0.55 < wide && size > 6
      ? drawn(
          "text",
          {
            x: wide / 2,
            y: high / 2 + size * 0.36,
            class: "leaf-name",
            style: `font-size:${size}px`,
          },
          words,
        )
      : null,
    drawn("title", {}, words),
  );
}

/**
 * The stretch of the board's photo, turned over where the leaf is.
 * @param {Leaf} l
 * @param {Wood} wood
 * @param {number} wide
 * @param {number} high
 */
function photoOf(l, wood, wide, high) {
  const [kx, ky] = [wide / l.wood.length, high / l.wood.width];
  const whole = {width: wood.length * kx, height: (wood.high - wood.low) * ky};
  const [x, y] = [-l.wood.x * kx, -(wood.high - l.wood.y - l.wood.width) * ky];
  return drawn(
    "svg",
    {width: wide, height: high, viewBox: `0 0 ${wide} ${high}`},
    drawn(
      "g",
      {transform: l.turned ? `translate(0 ${high}) scale(1 -1)` : ""},
      drawn("image", {href: wood.photos.A, x, y, ...whole, preserveAspectRatio: "none"}),
    ),
  );
}

/**
 * Plain wood, with lines along the grain that are those of its place on the board: leaves from the
 * same place look alike, a turned one mirrored.
 * @param {Leaf} l
 * @param {number} wide
 * @param {number} high
 */
function woodOf(l, wide, high) {
  const lines = [0.18, 0.4, 0.55, 0.8].map((share, n) => {
    const at = (l.turned ? 1 - share : share) * high;
    const bend = (l.turned ? -1 : 1) * high * 0.1 * (n % 2 ? 1 : -1);
    return `M0 ${at}Q${wide / 2} ${at + bend} ${wide} ${at}`;
  });
  return drawn(
    "g",
    {},
    drawn("rect", {width: wide, height: high, class: "wood"}),
    drawn("path", {d: lines.join(""), class: "grain"}),
  );
}
