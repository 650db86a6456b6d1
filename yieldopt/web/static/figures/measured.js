// One board being measured: what is typed of it so far, which length the keypad types, and what is
// still lacking.
import {oddities} from "./odd.js";

/** @import {Oddity} from "./odd.js" */
/** @import {Board, Version, Words} from "./valid.js" */
/**
 * @typedef {object} Draft what is written down of it, so that it survives
 * @property {Board} board
 * @property {Version | null} was
 * @property {Record<string, Blob>} fresh
 * @property {{x: string, near: string, far: string}} edge
 * @property {boolean} more
 * @property {string} field
 * @property {boolean} open
 * @property {string} face
 */

const KEPT = ["species", "quarters", "price_bf", "dealer", "place"];
const WARP = ["bow", "cup", "crook", "twist"];
/**
 * Lengths that are no cells of the board: of the chosen mark, and of the outline at the place being
 * typed.
 * @type {Record<string, "x" | "y" | "length" | "width">}
 */
const FLAW = {"flaw.x": "x", "flaw.y": "y", "flaw.length": "length", "flaw.width": "width"};
/** @type {Record<string, "x" | "near" | "far">} */
const EDGE = {at: "x", near: "near", far: "far"};
const NO_EDGE = {x: "", near: "0", far: ""};

export class Measured {
  /**
   * @param {string} id of a new board
   * @param {Board | null} old the board to correct
   */
  constructor(id, old) {
    this.old = old;
    /** @type {Board} */
    this.board = {id, cells: {}, defects: [], edges: []};
    /** @type {Words} what is taken over from the board before */
    this.kept = {};
    /** @type {Version | null} what a correction began from: see merging.js */
    this.was = null;
    /** @type {Record<string, Blob>} photos taken and not chalked yet, by name */
    this.fresh = {};
    this.edge = {...NO_EDGE};
    // The length that is typed; more of them than length and width show.
    this.field = "length";
    this.more = Boolean(old);
    // The marks show, not the sizes; those of one face, and the one that is chosen.
    this.open = false;
    this.face = "A";
    /** @type {number | null} */
    this.on = null;
    this.trouble = "";
    /** @type {Oddity[]} */
    this.asked = [];
  }

  /**
   * As it was left, or from the board to correct, or new under a name.
   * @param {Draft | null} draft
   * @param {string} name
   */
  start(draft, name) {
    if (draft) {
      const {board, was, fresh, edge, more, field, open, face} = draft;
      Object.assign(this, {board, was, fresh, edge, more, field, open, face});
    } else if (this.old) {
      this.board = structuredClone(this.old);
      const {cells, defects, edges} = structuredClone(this.old);
      this.was = {cells, defects, edges};
    } else this.board.cells = {...this.kept, board: name};
    this.board.photos ??= [];
  }

  /**
   * What to write down; null of a new board with nothing measured yet.
   * @returns {Draft | null}
   */
  draft() {
    const {board, was, fresh, edge, more, field, open, face} = this,
      {length, width} = board.cells;
    const typed = [length, width, edge.x, edge.far, ...board.edges, ...board.defects];
    const some = this.old || typed.some(Boolean) || Object.keys(fresh).length > 0;
    return some ? {board, was, fresh, edge, more, field, open, face} : null;
  }

  get cells() {
    return this.board.cells;
  }

  /**
   * What the board before cost goes for the same wood alone: it comes and goes with species and
   * quarters.
   */
  price() {
    const {cells, kept} = this;
    if (this.old || !kept.price_bf) return;
    const same = ["species", "quarters"].every(k => cells[k] === kept[k]);
    if (same) cells.price_bf ||= kept.price_bf;
    else if (cells.price_bf === kept.price_bf) delete cells.price_bf;
  }

  get flaw() {
    return this.on === null ? undefined : this.board.defects[this.on];
  }

  get fields() {
    return ["length", "width", ...(this.more ? ["thickness", ...WARP] : [])];
  }

  /**
   * The length that field `k` shows.
   * @param {string} k
   */
  at(k) {
    if (k in EDGE) return this.edge[EDGE[k]];
    if (k in FLAW) return this.flaw?.[FLAW[k]] ?? "";
    return this.cells[k] ?? "";
  }

  /**
   * A key of the pad was tapped: the chosen length is `text` now.
   * @param {string} text
   */
  type(text) {
    const k = this.field;
    if (k in EDGE) this.edge[EDGE[k]] = text;
    else if (k in FLAW) {
      if (this.flaw) this.flaw[FLAW[k]] = text;
    } else if (text) this.cells[k] = text;
    else delete this.cells[k];
  }

  /** To the next length; from the last figure of an outline's place, to the next place. */
  toNext() {
    const k = this.field;
    if (k === "at" || k === "near") this.field = "far";
    else if (k === "far") {
      if (this.edge.x && this.edge.far) this.addEdge();
      this.field = "at";
    } else {
      const round = k in FLAW ? Object.keys(FLAW) : this.fields;
      this.field = round[(round.indexOf(k) + 1) % round.length];
    }
  }

  addEdge() {
    this.board.edges.push({x: this.edge.x, near: this.edge.near || "0", far: this.edge.far});
    this.edge = {...NO_EDGE};
  }

  /** What keeps the board from being chalked, in words; `field` is then the one to mend. */
  lacking() {
    const c = this.cells,
      {x, far} = this.edge;
    if (x && far) this.addEdge();
    else if (x || far) {
      this.more = true;
      this.open = false;
      this.field = x ? "far" : "at";
      return x ? `How wide is it at ${x}? Type it, or clear the ${x}.` : `Where is it ${far} wide?`;
    }
    if (!c.species) return "Which species is it?";
    if (!c.length) return "How long is it?";
    return c.width || this.board.edges.length ? "" : "How wide is it?";
  }

  /**
   * Whether it can be chalked: nothing lacks, and nothing is odd, or the person is `sure` of it.
   * @param {boolean} sure
   */
  ready(sure) {
    this.trouble = this.lacking();
    this.asked = this.trouble || sure ? [] : oddities(this.board);
    if (this.trouble || this.asked.length) return false;
    const c = this.cells;
    for (const k of Object.keys(c)) if (!c[k]) delete c[k];
    return true;
  }

  /** What the next board takes over. */
  handedOn() {
    const c = this.cells;
    return Object.fromEntries(KEPT.filter(k => c[k]).map(k => [k, c[k]]));
  }
}

/**
 * Without repeats and blanks, the most frequent first.
 * @param {string[]} words
 */
export function inOrder(words) {
  const counts = new Map();
  for (const w of words) if (w) counts.set(w, (counts.get(w) ?? 0) + 1);
  return [...counts.keys()].sort((a, b) => (counts.get(b) ?? 0) - (counts.get(a) ?? 0));
}
