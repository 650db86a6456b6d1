// Boards drawn to one scale, datum end at the left, near edge below, with what is cut from them.
import {drawn} from "../shared/dom.js";
import {INK} from "./looks.js";

/** @typedef {{x: number, y: number, length: number, width: number}} Spot */

/**
 * One board as a drawing. `points`: pixels a unit of length.
 * @param {any} wood
 * @param {any | null} sheet what is cut from it
 * @param {number} points
 * @param {{look?: (piece: any) => {tint: string, pattern: string}, label?: (piece: any) => string,
 *   pick?: (piece: any) => void,
 *   chosen?: (piece: any) => boolean}} [how]
 */
export function boardDrawing(wood, sheet, points, how = {}) {
  const wide = wood.length * points;
  const high = (wood.high - wood.low) * points;
  const y = far => (wood.high - far) * points;
  const box = (s, props, ...kids) =>
    drawn(
      "rect",
      {
        x: s.x * points,
        y: y(s.y + s.width),
        width: s.length * points,
        height: s.width * points,
        ...props,
      },
      ...kids,
    );
  const up = wood.outline.map(p => `${p[0] * points},${y(p[2])}`);
  const back = [...wood.outline].reverse().map(p => `${p[0] * points},${y(p[1])}`);
  const root = drawn(
    "svg",
    {
      viewBox: `-2 -2 ${wide + 4} ${high + 4}`,
      width: wide + 4,
      height: high + 4,
      class: "board",
      "data-board": wood.name,
      role: "group",
      "aria-label": `board ${wood.name}`,
    },
    drawn("polygon", {points: [...up, ...back].join(" "), class: "wood"}),
  );
  for (const o of sheet?.offcuts ?? []) {
    root.append(box(o, {class: "offcut"}, drawn("title", {}, "kept offcut")));
  }
  for (const p of seen(sheet?.pieces ?? [])) root.append(pieceDrawing(p, box, points, y, how));
  for (const b of sheet?.blanks ?? []) root.append(box(b, {class: "blank"}));
  for (const f of wood.flaws) {
    root.append(
      box(f, {class: `flaw on-${f.face}`}, drawn("title", {}, `${f.kind}, face ${f.face}`)),
    );
  }
  return root;
}

/** Pieces of the topmost layer stand for those below them. */
function seen(pieces) {
  const by = new Map();
  for (const p of pieces) {
    const key = `${p.x} ${p.y} ${p.length} ${p.width}`;
    if (!by.has(key)) by.set(key, []);
    by.get(key).push(p);
  }
  return [...by.values()].map(of => ({...of[0], names: of.map(p => p.piece)}));
}

function pieceDrawing(p, box, points, y, how) {
  const look = how.look?.(p) ?? {tint: "#e3c592", pattern: ""};
  const words = `${p.names.join(", ")}: ${p.size}`;
  const text = how.label?.(p) ?? "";
  const [wide, high] = [p.length * points, p.width * points];
  const size = Math.min(13, high - 2);
  return drawn(
    "g",
    {
      class: how.chosen?.(p) ? "piece chosen" : "piece",
      tabindex: how.pick ? "0" : null,
      role: how.pick ? "button" : "img",
      "aria-label": words,
      "data-piece": p.piece,
      onclick: () => how.pick?.(p),
      onkeydown: e => (e.key === "Enter" || e.key === " ") && (e.preventDefault(), how.pick?.(p)),
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
  const line = (id, d, size = 7) =>
    drawn(
      "pattern",
      {id: `pattern-${id}`, width: size, height: size, patternUnits: "userSpaceOnUse"},
      drawn("path", {d, stroke: "#1d1a16", "stroke-width": 0.7, opacity: 0.55, fill: "none"}),
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

/** Pixels a unit at which the longest of these boards is as wide as the room. */
export const scaleFor = (woods, room) =>
  Math.max(0.05, (room - 8) / Math.max(1, ...woods.map(w => w.length)));
