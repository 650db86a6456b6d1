// One board at the bench, one cut at a time: its part of the drawing, its measure in large figures,
// one big key. Everything else of the board lies below.
import {draftOf, dropDraft, keepDraft} from "../state/draft.js";
import {sheetOf} from "../state/sheets.js";
import {tickOff} from "../state/ticks.js";
import {button, el, link, show} from "../view/dom.js";
import {sheetPart} from "../view/sheetpart.js";
import {below} from "./below.js";
import {noteForm} from "./found.js";

/** @import {Cut, Plan, Spot, Strip} from "../figures/ticked.js" */
/** @import {Flaw} from "../figures/valid.js" */
/**
 * @typedef {Flaw & {field: "" | "x" | "y" | "length" | "width"}} Note with the figure that is typed
 */

const CAUTION = "The machine maker's instructions, local rules and trained practice come first.";
// Above and below the line of a saw cut in an end view, in points of the sheet.
const AROUND = 90;
/** @type {Note} */
const NOTHING = {kind: "check", face: "both", x: "", y: "", length: "", width: "", field: ""};
/**
 * Which cut was looked at last, and what was folded open, by plan and board.
 * @type {Map<string, {order: number | null, open: Set<string>}>}
 */
const places = new Map();

/** The view of one board; `draw` shows it with the plan as it stands. */
export class Cutting {
  /**
   * @param {HTMLElement} room
   * @param {string} number of the plan
   * @param {string} stem the board's
   * @param {() => Promise<void>} redraw with the plan as it stands
   */
  constructor(room, number, stem, redraw) {
    this.room = room;
    this.number = number;
    this.stem = stem;
    this.redraw = redraw;
    /** @type {Plan | null} */
    this.shown = null;
    /** @type {Note | null} the defect that is being noted */
    this.note = null;
    /** @type {Note | null} one that was left for a look at a cut */
    this.aside = null;
    this.trouble = "";
    // Which row of the drawing shows, where a cut runs through several.
    this.strip = 0;
    this.touched = true;
    this.read = false;
    this.key = `${number}/${stem}`;
    this.at = places.get(this.key) ?? {order: null, open: new Set()};
    places.set(this.key, this.at);
  }

  get plan() {
    if (!this.shown) throw new Error("no plan is shown yet");
    return this.shown;
  }

  get board() {
    const board = this.shown?.boards.find(b => b.stem === this.stem);
    if (!board) throw new Error("this board is not shown");
    return board;
  }

  /** @param {Plan} plan */
  async draw(plan) {
    this.shown = plan;
    if (!plan.boards.some(b => b.stem === this.stem)) {
      this.shown = null;
      show(
        this.room,
        el("h1", {}, "Bench"),
        el("p", {}, "This board has no cuts in the plan as it is now."),
        link("All boards", `#/bench/${this.number}`),
      );
      return;
    }
    this.touched = false;
    if (!this.read) {
      // Once: what is begun while the store answers counts for more than what was left there.
      this.read = true;
      const left = await draftOf(`found ${this.key}`);
      this.note ??= left;
    }
    this.put();
  }

  put() {
    const {board, quarters, species} = this.board,
      y = scrollY;
    show(
      this.room,
      el(
        "div",
        {class: "head"},
        el("h1", {}, `${board}, ${quarters} ${species}`),
        el("span", {class: "quiet"}, `${this.done} of ${this.board.cuts.length} made`),
      ),
      el("p", {class: "caution"}, CAUTION),
      this.note ? noteForm(this, this.note) : this.cutNow(),
      below(this),
    );
    scrollTo(0, y);
  }

  /**
   * Show what was tapped, where the plan stays as it is: before the next tap, and with no question
   * to the store. A page that is drawn later would move between the eye and the finger.
   */
  now() {
    if (this.shown) this.put();
  }

  /** Show the plan as it stands after a tick. */
  async again() {
    this.touched = true;
    await this.redraw();
  }

  get cut() {
    const {cuts} = this.board,
      next = cuts.find(c => c.state !== "done") ?? cuts.at(-1);
    return cuts.find(c => c.order === this.at.order) ?? next;
  }

  get done() {
    return this.board.cuts.filter(c => c.state === "done").length;
  }

  cutNow() {
    const c = this.cut;
    if (!c) return el("p", {}, "No cuts on this board.");
    const {cuts} = this.board,
      i = cuts.indexOf(c),
      made = c.state === "done";
    const to = (/** @type {number} */ step) => () => {
      this.at.order = cuts[i + step].order;
      this.strip = 0;
      this.now();
    };
    const end = c.spots.some(s => s.end),
      rows = this.rows(c);
    return el(
      "section",
      {id: "now"},
      el(
        "div",
        {class: "head"},
        el("span", {class: "quiet"}, `Cut ${c.order}: ${c.what}, ${c.saw}`),
        !end && rows.length > 1 && this.turner(rows),
      ),
      this.wood(c, rows),
      el("p", {class: "figure", id: "figure"}, c.at, el("small", {}, c.beside)),
      el(
        "p",
        {class: "origin"},
        `${c.origin}${c.blank ? `, blank ${c.blank}` : ""}` +
          `${c.along ? ` · ${c.along}` : ""}${c.waste ? ` · waste: ${c.waste}` : ""}`,
      ),
      button(
        made ? `Cut ${c.order} is made ✓ – take back` : `Cut ${c.order} is made`,
        () => this.tick(c),
        {
          class: made ? "huge" : "huge main",
          "aria-pressed": String(made),
          "aria-label": `Cut ${c.order} is made`,
        },
      ),
      el(
        "div",
        {class: "row"},
        button("‹ Before", to(-1), {disabled: i === 0}),
        button("A defect", () => this.begin()),
        button("Next ›", to(1), {disabled: i === cuts.length - 1}),
      ),
      el("p", {class: "caution"}, "Tick with the blade at rest."),
      c.pending && el("p", {class: "phone"}, "Only on this phone so far."),
    );
  }

  /**
   * The rows of the drawing that show the cut: a rip may run through several.
   * @param {Cut} c
   */
  rows(c) {
    return this.board.strips.filter(s => c.spots.some(p => within(p, s)));
  }

  /** @param {Strip[]} rows */
  turner(rows) {
    const turn = () => {
      this.strip = (this.strip + 1) % rows.length;
      this.now();
    };
    return button(`Part ${(this.strip % rows.length) + 1} of ${rows.length} ›`, turn, {
      class: "small",
    });
  }

  /**
   * The part of the drawing where the cut is, on the wood or in an end view.
   * @param {Cut} c
   * @param {Strip[]} rows
   */
  wood(c, rows) {
    const end = c.spots.find(p => p.end);
    if (end) return this.part(end.page, Math.max(0, end.top - AROUND), end.top + AROUND, [end]);
    const row = rows[this.strip % rows.length];
    if (!row) return null;
    const spots = c.spots.filter(p => within(p, row));
    return this.part(row.page, row.upper, row.lower, spots);
  }

  /**
   * @param {number} page
   * @param {number} upper
   * @param {number} lower
   * @param {Spot[]} spots
   */
  part(page, upper, lower, spots) {
    const {number, plan, board} = this;
    return sheetPart(
      sheetOf(number, plan, board, page),
      board.pages[page],
      upper,
      lower,
      spots,
      `Part of the sheet of ${board.board}; the figure stands below`,
    );
  }

  /** @param {Cut} c */
  async tick(c) {
    const made = c.state === "done",
      then = this.board.cuts.find(x => x.order > c.order && x.state !== "done");
    this.touched = true;
    // A cut that is taken back stays in sight; after a made one comes the next that is not.
    this.at.order = made || !then ? c.order : then.order;
    this.strip = 0;
    const state = made ? "planned" : "done";
    await tickOff(this.number, this.plan, this.board.board, {cut: c.order, was: c.state, state});
    await this.again();
    scrollTo(0, 0);
  }

  /**
   * Look at a cut; what was being noted waits.
   * @param {Cut} cut
   */
  look(cut) {
    this.at.order = cut.order;
    this.aside = this.note ?? this.aside;
    this.note = null;
    this.now();
    scrollTo(0, 0);
  }

  /** Note a defect, or go on with one. */
  begin() {
    this.note = this.aside ?? {...NOTHING};
    this.aside = null;
    this.noted();
    this.now();
    scrollTo(0, 0);
  }

  /** What is noted of a defect is written down at once, as all that is typed. */
  noted() {
    keepDraft(`found ${this.key}`, this.note);
  }

  async leaveNote() {
    this.note = null;
    this.trouble = "";
    this.now();
    await dropDraft(`found ${this.key}`);
  }
}

/**
 * Whether a spot lies in a row of the drawing.
 * @param {Spot} spot
 * @param {Strip} strip
 */
const within = (spot, strip) =>
  !spot.end && spot.page === strip.page && spot.top >= strip.upper && spot.top <= strip.lower;
