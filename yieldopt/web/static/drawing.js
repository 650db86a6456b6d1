// A board stood on its datum end, wider than it is so that a finger can work: length down the screen,
// width across. Face B is seen through the board, so marks keep their place. A tap puts a mark, a drag
// on the wood draws one, its grip sizes it, keys move it.
import {el} from "./dom.js";
import {fraction, inches} from "./lengths.js";
import {extent, outline} from "./wood.js";

const W = 360,
  H = 520,
  LEFT = 46,
  TOP = 12;
// Marks are put, moved and sized in quarter inches; the figures may be typed finer.
const STEP = 0.25;
const GRIP = 15,
  REACH = 12,
  MOVED = 8;
const WAYS = {ArrowDown: [1, 0], ArrowUp: [-1, 0], ArrowRight: [0, 1], ArrowLeft: [0, -1]};
/** Kinds that go through the board, whichever face they were logged on. */
export const THROUGH = ["pith", "split", "wane"];

const snap = v => Math.round(v / STEP) * STEP;
const between = (v, low, high) => Math.min(Math.max(v, low), high);
const sizes = f => ({
  x: inches(f.x) ?? 0,
  y: inches(f.y) ?? 0,
  length: inches(f.length) ?? 0,
  width: inches(f.width) ?? 0,
});
const words = f =>
  `${f.kind}, ${f.x} from the datum end, ${f.y} from the near edge, ${f.length} long, ` +
  `${f.width} wide`;

/**
 * The drawing of one face.
 * @param {Object} board its `defects` are changed in place
 * @param {{face: string, on: number | null, kind: string, photos?: Object, bare?: boolean}} view
 * @param {((moving?: boolean) => void) | null} changed null: only to look at
 * @returns {{svg: SVGElement, draw: () => void}}
 */
export function boardDrawing(board, view, changed) {
  const {length, low, high} = extent(board);
  const kx = (W - LEFT - 12) / (high - low || 1),
    ky = (H - 2 * TOP) / (length || 1);
  const across = y => LEFT + (y - low) * kx,
    down = x => TOP + x * ky;
  const svg = el("svg", {
    class: changed ? "board" : "board still",
    viewBox: `0 0 ${W} ${H}`,
    role: changed ? "group" : "img",
    "aria-label": `Face ${view.face}, datum end at the top`,
  });
  let drag = null;

  const place = e => {
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return {x: (p.y - TOP) / ky, y: (p.x - LEFT) / kx + low};
  };
  const clamp = d => {
    const l = between(d.length, STEP, length),
      w = between(d.width, STEP, high - low);
    return {length: l, width: w, x: between(d.x, 0, length - l), y: between(d.y, low, high - w)};
  };
  const write = (f, d) => {
    for (const [k, v] of Object.entries(clamp(d))) f[k] = fraction(v, 16);
  };

  function wood() {
    const rows = outline(board),
      at = (x, y) => `${across(y)},${down(x)}`;
    const round = [...rows.map(r => at(r[0], r[1])), ...rows.map(r => at(r[0], r[2])).reverse()];
    const photo = view.bare ? null : view.photos?.[view.face];
    return [
      el("polygon", {class: "wood", points: round.join(" ")}),
      photo &&
        el("image", {
          class: "under",
          href: photo,
          x: LEFT,
          y: TOP,
          preserveAspectRatio: "none",
          width: (high - low) * kx,
          height: length * ky,
        }),
    ].filter(Boolean);
  }

  function scale() {
    const every = length > 60 ? 12 : 6,
      marks = [];
    for (let x = 0; x <= length; x += every) {
      marks.push(
        el("line", {class: "tick", x1: LEFT - 12, x2: LEFT - 2, y1: down(x), y2: down(x)}),
        el("text", {x: 4, y: down(x) + 5}, String(x)),
      );
    }
    return marks;
  }

  function mark(f, i) {
    const d = sizes(f),
      on = i === view.on;
    const here = !f.face || f.face === "both" || f.face === view.face || THROUGH.includes(f.kind);
    const box = {
      x: across(d.y),
      y: down(d.x),
      width: d.width * kx,
      height: Math.max(3, d.length * ky),
    };
    const more = changed ? {tabindex: 0, role: "button", "aria-pressed": String(on)} : {};
    const g = el(
      "g",
      {"data-flaw": i, "aria-label": words(f), ...more},
      el("rect", {class: `flaw${here ? "" : " other"}${on ? " on" : ""}`, ...box}),
    );
    if (!changed) return g;
    g.append(
      el("rect", {
        x: box.x - REACH,
        y: box.y - REACH,
        width: box.width + 2 * REACH,
        height: box.height + 2 * REACH,
        fill: "transparent",
      }),
    );
    if (on) {
      g.append(
        el("circle", {
          class: "grip",
          "data-grip": i,
          r: GRIP,
          cx: box.x + box.width + 8,
          cy: down(d.x + d.length) + 8,
        }),
      );
    }
    g.addEventListener("keydown", e => key(e, i));
    return g;
  }

  function draw() {
    svg.replaceChildren(...wood(), ...scale(), ...board.defects.map(mark));
    if (!drag?.fresh) return;
    const d = clamp(drag.now);
    svg.append(
      el("rect", {
        class: "flaw on",
        x: across(d.y),
        y: down(d.x),
        width: d.width * kx,
        height: d.length * ky,
      }),
    );
  }

  function key(e, i) {
    const f = board.defects[i],
      d = sizes(f),
      way = WAYS[e.key];
    if (way) {
      const [along, aside] = e.shiftKey ? ["length", "width"] : ["x", "y"];
      d[along] += way[0] * STEP;
      d[aside] += way[1] * STEP;
      write(f, d);
      view.on = i;
    } else if (e.key === "Delete") {
      board.defects.splice(i, 1);
      view.on = null;
    } else if (e.key === "Enter" || e.key === " ") view.on = i;
    else return;
    e.preventDefault();
    changed();
    draw();
    svg.querySelector(`[data-flaw="${i}"]`)?.focus();
  }

  function press(e) {
    svg.setPointerCapture(e.pointerId);
    const p = place(e),
      grip = e.target.dataset?.grip;
    const i = grip ?? e.target.closest?.("[data-flaw]")?.dataset.flaw;
    if (i === undefined) {
      drag = {fresh: true, from: p, now: {x: snap(p.x), y: snap(p.y), length: 0, width: 0}};
    } else {
      view.on = Number(i);
      drag = {grip: grip !== undefined, from: p, was: sizes(board.defects[i])};
    }
    e.preventDefault();
  }

  function move(e) {
    if (!drag) return;
    const p = place(e),
      dx = p.x - drag.from.x,
      dy = p.y - drag.from.y,
      w = drag.was;
    if (Math.abs(dx * ky) + Math.abs(dy * kx) > MOVED) drag.moved = true;
    if (!drag.moved) return;
    if (drag.fresh) {
      drag.now = {
        x: snap(Math.min(p.x, drag.from.x)),
        y: snap(Math.min(p.y, drag.from.y)),
        length: snap(Math.abs(dx)),
        width: snap(Math.abs(dy)),
      };
    } else if (drag.grip) {
      write(board.defects[view.on], {
        ...w,
        length: snap(w.length + dx),
        width: snap(w.width + dy),
      });
    } else write(board.defects[view.on], {...w, x: snap(w.x + dx), y: snap(w.y + dy)});
    changed(true);
    draw();
  }

  function lift() {
    if (!drag) return;
    if (drag.fresh) {
      const f = {kind: view.kind, face: view.face},
        p = drag.from;
      write(
        f,
        drag.moved ? drag.now : {x: snap(p.x - 0.5), y: snap(p.y - 0.5), length: 1, width: 1},
      );
      board.defects.push(f);
      view.on = board.defects.length - 1;
    }
    drag = null;
    changed();
    draw();
  }

  if (changed) {
    svg.addEventListener("pointerdown", press);
    svg.addEventListener("pointermove", move);
    svg.addEventListener("pointerup", lift);
    svg.addEventListener("pointercancel", () => {
      drag = null;
      draw();
    });
  }
  draw();
  return {svg, draw};
}
