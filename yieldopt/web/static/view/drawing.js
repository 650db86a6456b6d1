// A board stood on its datum end, wider than it is so that a finger can work: length down the
// screen, width across. Face B is seen through the board, so marks keep their place. A tap puts a
// mark, a drag on the wood draws one, its grip sizes it, keys move it.
import * as marking from "../figures/marking.js";
import {extent, outline} from "../figures/wood.js";
import {drawn, onDrawing} from "./dom.js";

/** @import {Area, Extent, Place} from "../figures/marking.js" */
/** @import {Version} from "../figures/valid.js" */
/**
 * @typedef {object} View what is looked at
 * @property {string} face
 * @property {number | null} on the mark that is chosen
 * @property {string} [kind] of the next mark
 * @property {Record<string, string | null>} [photos] addresses of faces drawn straight
 * @property {boolean} [bare] without them
 */
/** @typedef {{from: Place, moved?: boolean}} Begun */
/**
 * @typedef {Begun & {now: Area, was?: undefined, grip?: undefined}} Fresh a new mark being drawn
 */
/**
 * @typedef {Begun & {was: Area, grip: boolean, now?: undefined}} Held a mark being moved or sized
 */
/** @typedef {(moving?: boolean) => void} Changed */

const W = 360,
  H = 520,
  LEFT = 46,
  TOP = 12,
  RIGHT = 12;
// Pixels: a grip's radius and its place beside the mark, how near a finger has to come, and what
// tells a drag from a tap.
const GRIP = 15,
  ASIDE = 8,
  REACH = 12,
  MOVED = 8;
const THINNEST = 3;
/** @type {Record<string, [number, number]>} */
const WAYS = {ArrowDown: [1, 0], ArrowUp: [-1, 0], ArrowRight: [0, 1], ArrowLeft: [0, -1]};

/** From inches on the board to the drawing and back. */
class Scale {
  /** @param {Extent} board */
  constructor({length, low, high}) {
    this.low = low;
    this.kx = (W - LEFT - RIGHT) / (high - low || 1);
    this.ky = (H - 2 * TOP) / (length || 1);
  }

  /** @param {number} y */
  across(y) {
    return LEFT + (y - this.low) * this.kx;
  }

  /** @param {number} x */
  down(x) {
    return TOP + x * this.ky;
  }

  /** @param {Area} a */
  box(a) {
    const [width, height] = [a.width * this.kx, a.length * this.ky];
    return {x: this.across(a.y), y: this.down(a.x), width, height};
  }

  /**
   * @param {{x: number, y: number}} p
   * @returns {Place}
   */
  back(p) {
    return {x: (p.y - TOP) / this.ky, y: (p.x - LEFT) / this.kx + this.low};
  }
}

/** The drawing of one face; `changed` is called when a hand has changed the board's marks. */
class Drawing {
  /**
   * @param {Version} board its `defects` are changed in place
   * @param {View} view
   * @param {Changed | null} changed null: only to look at
   */
  constructor(board, view, changed) {
    this.board = board;
    this.view = view;
    this.changed = changed;
    this.extent = extent(board);
    this.scale = new Scale(this.extent);
    /** @type {Fresh | Held | null} */
    this.drag = null;
    this.svg = drawn("svg", {
      class: changed ? "board" : "board still",
      viewBox: `0 0 ${W} ${H}`,
      role: changed ? "group" : "img",
      "aria-label": `Face ${view.face}, datum end at the top`,
    });
    if (changed) this.listen();
    this.draw();
  }

  draw() {
    const {svg, drag, scale} = this;
    svg.replaceChildren(...this.wood(), ...this.tape());
    this.board.defects.forEach((_, i) => svg.append(this.mark(i)));
    if (!drag?.now) return;
    const box = scale.box(marking.onWood(drag.now, this.extent));
    svg.append(drawn("rect", {class: "flaw on", ...box}));
  }

  wood() {
    const {scale, view} = this,
      {length, low, high} = this.extent;
    const at = (/** @type {number} */ x, /** @type {number} */ y) =>
      `${scale.across(y)},${scale.down(x)}`;
    const rows = outline(this.board);
    const near = rows.map(r => at(r[0], r[1])),
      far = rows.map(r => at(r[0], r[2])).reverse();
    const wood = drawn("polygon", {class: "wood", points: [...near, ...far].join(" ")});
    const photo = view.bare ? null : view.photos?.[view.face];
    if (!photo) return [wood];
    const box = scale.box({x: 0, y: low, length, width: high - low});
    const under = {class: "under", href: photo, preserveAspectRatio: "none", ...box};
    return [wood, drawn("image", under)];
  }

  /** Inches from the datum end, beside the wood. */
  tape() {
    const {length} = this.extent,
      every = length > 60 ? 12 : 6,
      marks = [];
    for (let x = 0; x <= length; x += every) {
      const y = this.scale.down(x);
      marks.push(
        drawn("line", {class: "tick", x1: LEFT - 12, x2: LEFT - 2, y1: y, y2: y}),
        drawn("text", {x: 4, y: y + 5}, String(x)),
      );
    }
    return marks;
  }

  /** @param {number} i */
  mark(i) {
    const f = this.board.defects[i],
      on = i === this.view.on,
      box = this.scale.box(marking.areaOf(f));
    const elsewhere = marking.seenOn(f, this.view.face) ? "" : " other";
    const shape = {...box, height: Math.max(THINNEST, box.height)};
    const more = this.changed ? {tabindex: 0, role: "button", "aria-pressed": String(on)} : {};
    const g = drawn(
      "g",
      {"data-flaw": i, "aria-label": marking.words(f), ...more},
      drawn("rect", {class: `flaw${elsewhere}${on ? " on" : ""}`, ...shape}),
    );
    if (!this.changed) return g;
    g.append(reach(shape));
    if (on) g.append(grip(i, box));
    g.addEventListener("keydown", e => this.key(e, i));
    return g;
  }

  /**
   * @param {number} i
   * @param {Area} area
   */
  write(i, area) {
    Object.assign(this.board.defects[i], marking.typed(area, this.extent));
  }

  /**
   * @param {KeyboardEvent} e
   * @param {number} i
   */
  key(e, i) {
    const way = WAYS[e.key];
    if (way) {
      this.write(i, marking.stepped(marking.areaOf(this.board.defects[i]), way, e.shiftKey));
      this.view.on = i;
    } else if (e.key === "Delete") {
      this.board.defects.splice(i, 1);
      this.view.on = null;
    } else if (e.key === "Enter" || e.key === " ") this.view.on = i;
    else return;
    e.preventDefault();
    this.changed?.();
    this.draw();
    /** @type {SVGElement | null} */ (this.svg.querySelector(`[data-flaw="${i}"]`))?.focus();
  }

  /** @param {PointerEvent} e */
  place(e) {
    return this.scale.back(onDrawing(this.svg, e));
  }

  /** @param {PointerEvent} e */
  press(e) {
    this.svg.setPointerCapture(e.pointerId);
    const from = this.place(e),
      target = /** @type {SVGElement} */ (e.target);
    const gripped = target.dataset?.grip;
    const i = gripped ?? /** @type {SVGElement} */ (target.closest("[data-flaw]"))?.dataset.flaw;
    if (i === undefined) this.drag = {from, now: marking.spanned(from, from)};
    else {
      this.view.on = Number(i);
      const was = marking.areaOf(this.board.defects[Number(i)]);
      this.drag = {from, was, grip: gripped !== undefined};
    }
    e.preventDefault();
  }

  /** @param {PointerEvent} e */
  move(e) {
    const {drag, scale} = this;
    if (!drag) return;
    const p = this.place(e),
      dx = p.x - drag.from.x,
      dy = p.y - drag.from.y;
    if (Math.abs(dx * scale.ky) + Math.abs(dy * scale.kx) > MOVED) drag.moved = true;
    if (!drag.moved) return;
    if (drag.now) drag.now = marking.spanned(drag.from, p);
    else if (this.view.on !== null) {
      this.write(this.view.on, (drag.grip ? marking.sized : marking.moved)(drag.was, dx, dy));
    }
    this.changed?.(true);
    this.draw();
  }

  lift() {
    const {drag, view} = this;
    if (!drag) return;
    if (drag.now) {
      const area = drag.moved ? drag.now : marking.tapped(drag.from);
      const at = marking.typed(area, this.extent);
      this.board.defects.push({kind: view.kind ?? "knot", face: view.face, ...at});
      view.on = this.board.defects.length - 1;
    }
    this.drag = null;
    this.changed?.();
    this.draw();
  }

  listen() {
    this.svg.addEventListener("pointerdown", e => this.press(e));
    this.svg.addEventListener("pointermove", e => this.move(e));
    this.svg.addEventListener("pointerup", () => this.lift());
    this.svg.addEventListener("pointercancel", () => {
      this.drag = null;
      this.draw();
    });
  }
}

/** @typedef {{x: number, y: number, width: number, height: number}} Box on the drawing */

/** A mark is taken hold of from beside it too. */
const reach = (/** @type {Box} */ box) =>
  drawn("rect", {
    x: box.x - REACH,
    y: box.y - REACH,
    width: box.width + 2 * REACH,
    height: box.height + 2 * REACH,
    fill: "transparent",
  });

/**
 * @param {number} i
 * @param {Box} box
 */
const grip = (i, box) =>
  drawn("circle", {
    class: "grip",
    "data-grip": i,
    r: GRIP,
    cx: box.x + box.width + ASIDE,
    cy: box.y + box.height + ASIDE,
  });

/**
 * The drawing of one face.
 * @param {Version} board its `defects` are changed in place
 * @param {View} view
 * @param {Changed | null} changed null: only to look at
 */
export const boardDrawing = (board, view, changed) => new Drawing(board, view, changed);
