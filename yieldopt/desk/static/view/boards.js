// Boards drawn to one scale, datum end at the left, near edge below, with what is cut from them.
import {drawn} from "../shared/dom.js";
import {INK} from "./looks.js";

/** @typedef {{x: number, y: number, length: number, width: number}} Spot */
/** @typedef {Spot & {kind: string, face: string}} Flaw */
/**
 * @typedef {object} Wood
 * @property {string} name
 * @property {string} species
 * @property {string} quarters
 * @property {string} size
 * @property {string} place
 * @property {number} price
 * @property {number} length
 * @property {number} low
 * @property {number} high
 * @property {[number, number, number][]} outline
 * @property {Flaw[]} flaws
 * @property {Record<string, string>} fits
 * @property {Record<string, string>} photos
 */
/**
 * @typedef {Spot & {piece: string, part: string, blank: string, layer: number, layers: number,
 *   set: string | null, size: string, thickness: string, state: string,
 *   wish: Record<string, string>}} Laid
 */
/** @typedef {Laid & {names: string[]}} Seen the topmost of pieces that lie over each other */
/** @typedef {{order: number, words: string, state: string, line: number[] | null}} Sawn */
/**
 * @typedef {{board: string, cuts: Sawn[], blanks: Spot[], pieces: Laid[], offcuts: Spot[]}} Sheet
 */
/**
 * @typedef {object} How
 * @property {(piece: Seen) => {tint: string, pattern: string}} [look]
 * @property {(piece: Seen) => string} [label]
 * @property {(piece: Seen) => void} [pick]
 * @property {(piece: Seen) => boolean} [chosen]
 * @property {"A" | "B"} [face] draw the defects of this face only, on its photo
 * @property {boolean} [photo] over the photo, where there is one
 * @property {boolean} [lines] with the lines to cut along
 */
/** @typedef {(s: Spot, props: Record<string, any>, ...kids: any[]) => SVGRectElement} Box */

/**
 * Draws rectangles of a board. `points`: pixels a unit of length.
 * @param {Wood} wood
 * @param {number} points
 * @returns {Box}
 */
export const boxer =
  (wood, points) =>
  (s, props, ...kids) =>
    drawn(
      "rect",
      {
        x: s.x * points,
        y: (wood.high - s.y - s.width) * points,
        width: s.length * points,
        height: s.width * points,
        ...props,
      },
      ...kids,
    );

/**
 * One board as a drawing.
 * @param {Wood} wood
 * @param {Sheet | null} sheet what is cut from it
 * @param {number} points
 * @param {How} [how]
 */
export function boardDrawing(wood, sheet, points, how = {}) {
  const wide = wood.length * points;
  const high = (wood.high - wood.low) * points;
  const y = (/** @type {number} */ far) => (wood.high - far) * points;
  const box = boxer(wood, points);
  const face = how.face ?? "A";
  const photo = how.photo ? wood.photos[face] : undefined;
  const up = wood.outline.map(p => `${p[0] * points},${y(p[2])}`);
  const back = [...wood.outline].reverse().map(p => `${p[0] * points},${y(p[1])}`);
  const root = drawn(
    "svg",
    {
      viewBox: `-2 -2 ${wide + 4} ${high + 4}`,
      width: wide + 4,
      height: high + 4,
      class: photo ? "board photographed" : "board",
      "data-board": wood.name,
      role: "group",
      "aria-label": `board ${wood.name}${how.face ? `, face ${face}` : ""}`,
    },
    photo
      ? drawn("image", {href: photo, width: wide, height: high, preserveAspectRatio: "none"})
      : null,
    drawn("polygon", {points: [...up, ...back].join(" "), class: photo ? "edge" : "wood"}),
  );
  if (sheet) layOut(root, sheet, box, points, y, how);
  flaws(root, wood, box, how);
  return root;
}

/**
 * @param {SVGElement} root
 * @param {Sheet} sheet
 * @param {Box} box
 * @param {number} points
 * @param {(far: number) => number} y
 * @param {How} how
 */
function layOut(root, sheet, box, points, y, how) {
  for (const o of sheet.offcuts) {
    root.append(box(o, {class: "offcut"}, drawn("title", {}, "kept offcut")));
  }
  for (const p of seen(sheet.pieces)) root.append(pieceDrawing(p, box, points, y, how));
  for (const b of sheet.blanks) root.append(box(b, {class: "blank"}));
  if (how.lines) for (const c of sheet.cuts) line(root, c, points, y);
}

/**
 * @param {SVGElement} root
 * @param {Wood} wood
 * @param {Box} box
 * @param {How} how
 */
function flaws(root, wood, box, how) {
  wood.flaws.forEach((f, n) => {
    if (how.face && f.face !== "both" && f.face !== how.face) return;
    const words = `${f.kind}, face ${f.face}`;
    const on = how.face && f.face !== "both" ? "both" : f.face;
    root.append(box(f, {class: `flaw on-${on}`, "data-flaw": n}, drawn("title", {}, words)));
  });
}

/**
 * @param {SVGElement} root
 * @param {Sawn} cut
 * @param {number} points
 * @param {(far: number) => number} y
 */
function line(root, cut, points, y) {
  if (!cut.line) return;
  const [x0, y0, x1, y1] = cut.line;
  root.append(
    drawn(
      "line",
      {
        x1: x0 * points,
        y1: y(y0),
        x2: x1 * points,
        y2: y(y1),
        class: cut.state === "done" ? "sawn done" : "sawn",
      },
      drawn("title", {}, cut.words),
    ),
  );
}

/**
 * Pieces of the topmost layer stand for those below them.
 * @param {Laid[]} pieces
 * @returns {Seen[]}
 */
export function seen(pieces) {
  /** @type {Map<string, Laid[]>} */
  const by = new Map();
  for (const p of pieces) {
    const key = `${p.x} ${p.y} ${p.length} ${p.width}`;
    by.set(key, [...(by.get(key) ?? []), p]);
  }
  return [...by.values()].map(of => ({...of[0], names: of.map(p => p.piece)}));
}

/**
 * @param {Seen} p
 * @param {Box} box
 * @param {number} points
 * @param {(far: number) => number} y
 * @param {How} how
 */
function pieceDrawing(p, box, points, y, how) {
  const look = how.look?.(p) ?? {tint: "#e3c592", pattern: ""};
  const words = `${p.names.join(", ")}: ${p.size}${p.state === "done" ? ", finished" : ""}`;
  const text = how.label?.(p) ?? "";
  const [wide, high] = [p.length * points, p.width * points];
  const size = Math.min(13, high - 2);
  const classes = ["piece", how.chosen?.(p) ? "chosen" : "", p.state === "done" ? "done" : ""];
  return drawn(
    "g",
    {
      class: classes.filter(Boolean).join(" "),
      tabindex: how.pick ? "0" : null,
      role: how.pick ? "button" : "img",
      "aria-label": words,
      "data-piece": p.piece,
      onclick: () => how.pick?.(p),
      onkeydown: (/** @type {KeyboardEvent} */ e) =>
        (e.key === "Enter" || e.key === " ") && (e.preventDefault(), how.pick?.(p)),
    },
    box(p, {style: `fill:${look.tint}`, class: "fill"}),
    look.pattern ? box(p, {style: `fill:url(#pattern-${look.pattern})`, class: "pattern"}) : null,
    size >= 7 && text.length * size * 0.58 < wide
      ? drawn(
          "text",
          {
            x: (p.x + p.length / 2) * points,
            y: y(p.y + p.width / 2) + size * 0.36,
            style: `font-size:${size}px;fill:${INK}`,
          },
          text,
        )
      : null,
    drawn("title", {}, words),
  );
}

/** Patterns that drawings refer to; once a page. */
export function patterns() {
  const line = (/** @type {string} */ id, /** @type {string} */ d, size = 7) =>
    drawn(
      "pattern",
      {id: `pattern-${id}`, width: size, height: size, patternUnits: "userSpaceOnUse"},
      drawn("path", {d, stroke: INK, "stroke-width": 0.7, opacity: 0.55, fill: "none"}),
    );
  return drawn(
    "svg",
    {width: 0, height: 0, class: "patterns", "aria-hidden": "true"},
    line("rise", "M0 7L7 0"),
    line("fall", "M0 0L7 7"),
    line("level", "M0 3.5H7"),
    line("dots", "M3 3h1v1h-1z"),
    line("cross", "M0 0L7 7M0 7L7 0"),
  );
}

/**
 * Pixels a unit at which the longest of these boards is as wide as the room.
 * @param {Wood[]} woods
 * @param {number} room
 */
export const scaleFor = (woods, room) =>
  Math.max(0.05, (room - 8) / Math.max(1, ...woods.map(w => w.length)));

/** Where a board is and what it is, in a line. @param {Wood} b */
export const aboutBoard = b =>
  [`${b.species} ${b.quarters}`, b.size, b.place, b.price ? b.price.toFixed(2) : ""]
    .filter(Boolean)
    .join(", ");

/**
 * A board with its line of words.
 * @param {Wood} wood
 * @param {(Node | string)[]} words
 * @param {Node[]} below
 */
export function boardFigure(wood, words, ...below) {
  const figure = document.createElement("figure");
  const caption = document.createElement("figcaption");
  const name = document.createElement("b");
  name.textContent = wood.name;
  caption.append(name, " ", ...words);
  figure.append(caption, ...below);
  return figure;
}
