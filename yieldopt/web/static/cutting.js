// One board at the bench, one cut at a time: its part of the drawing, its measure in large figures, one
// big key. Everything else of the board lies below.
import {button, count, el, link, show} from "./dom.js";
import {dropDraft, draftOf, keepDraft} from "./draft.js";
import {defects, noteForm} from "./found.js";
import {sheetPart} from "./sheetpart.js";
import {sheetOf} from "./bench.js";
import {tickOff} from "./ticks.js";

const CAUTION = "The machine maker's instructions, local rules and trained practice come first.";
// Above and below the line of a saw cut in an end view, in points of the sheet.
const AROUND = 90;
// Which cut was looked at last, and what was folded open, by plan and board.
const places = new Map();

/** The view of one board; `draw` shows it with the plan as it stands. */
export class Cutting {
  constructor(room, number, stem, redraw) {
    Object.assign(this, {
      room,
      number,
      stem,
      redraw,
      note: null,
      trouble: "",
      strip: 0,
      touched: true,
      read: false,
    });
    this.key = `${number}/${stem}`;
    if (!places.has(this.key)) places.set(this.key, {order: null, open: new Set()});
    this.at = places.get(this.key);
  }

  async draw(plan) {
    this.plan = plan;
    this.board = plan.boards.find(b => b.stem === this.stem);
    if (!this.board) {
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
      this.note ? noteForm(this) : this.cutNow(),
      this.below(),
    );
    scrollTo(0, y);
  }

  /**
   * Show what was tapped, where the plan stays as it is: before the next tap, and with no question to the
   * store. A page that is drawn later would move between the eye and the finger.
   */
  now() {
    if (this.board) this.put();
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
    const to = step => () => {
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
      end ? this.endView(c) : this.wood(c, rows),
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

  /** The rows of the drawing that show the cut: a rip may run through several. */
  rows(c) {
    return this.board.strips.filter(s => c.spots.some(p => within(p, s)));
  }

  turner(rows) {
    const turn = () => {
      this.strip = (this.strip + 1) % rows.length;
      this.now();
    };
    return button(`Part ${(this.strip % rows.length) + 1} of ${rows.length} ›`, turn, {
      class: "small",
    });
  }

  wood(c, rows) {
    const shown = rows[this.strip % rows.length];
    const spots = shown && c.spots.filter(p => within(p, shown));
    return shown && this.part(shown.page, shown.upper, shown.lower, spots);
  }

  endView(c) {
    const s = c.spots.find(p => p.end);
    return this.part(s.page, Math.max(0, s.top - AROUND), s.top + AROUND, [s]);
  }

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

  begin(note = {kind: "check", face: "both", x: "", y: "", length: "", width: "", field: ""}) {
    this.note = note;
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

  below() {
    const {cuts, pieces, found, pages} = this.board;
    const done = pieces.filter(p => p.state === "done").length;
    return [
      this.fold(
        "cuts",
        `All cuts in order (${this.done} of ${cuts.length} made)`,
        el(
          "ul",
          {class: "list", id: "cuts"},
          cuts.map(c => this.cutLine(c)),
        ),
      ),
      this.fold(
        "pieces",
        `Pieces (${done} of ${pieces.length} done)`,
        el(
          "ul",
          {class: "list"},
          pieces.map(p => this.piece(p)),
        ),
      ),
      this.fold("found", `Defects found (${found.length})`, defects(this)),
      this.fold(
        "sheet",
        "The whole sheet",
        pages.map((_, i) =>
          el("img", {
            class: "sheet",
            loading: "lazy",
            alt: `Sheet of ${this.board.board}, page ${i + 1}`,
            src: sheetOf(this.number, this.plan, this.board, i),
          }),
        ),
      ),
      el("p", {}, link("All boards", `#/bench/${this.number}`)),
      el(
        "p",
        {},
        `Spoiled pieces and found defects are what planning again starts from: ${count(
          pieces.filter(p => p.state === "spoiled").length,
          "piece",
        )} spoiled, ${count(found.length, "defect")} found on this board.`,
      ),
    ];
  }

  /** A part of the page that stays open where it was opened. */
  fold(name, title, ...kids) {
    const remember = e => {
      this.at.open[e.target.open ? "add" : "delete"](name);
    };
    return el(
      "details",
      {open: this.at.open.has(name), ontoggle: remember},
      el("summary", {}, title),
      kids,
    );
  }

  cutLine(c) {
    const made = c.state === "done";
    return el(
      "li",
      {},
      el(
        "div",
        {class: "row"},
        el("span", {class: `wide${made ? " done" : ""}`}, `${c.order}. ${c.words}`),
        button(
          "Show",
          () => {
            this.at.order = c.order;
            this.note = null;
            this.now();
            scrollTo(0, 0);
          },
          {"aria-label": `Show cut ${c.order}`},
        ),
      ),
    );
  }

  piece(p) {
    const key = state =>
      button(
        state,
        async () => {
          const now = p.state === state ? "planned" : state;
          const what = {piece: p.piece, was: p.state, state: now};
          await tickOff(this.number, this.plan, this.board.board, what);
          await this.again();
        },
        {"aria-pressed": String(p.state === state), "aria-label": `${p.piece} is ${state}`},
      );
    return el(
      "li",
      {},
      el(
        "div",
        {class: "row"},
        el(
          "span",
          {class: "wide"},
          `${p.piece} (blank ${p.blank})`,
          p.pending && el("span", {class: "phone"}, " only on this phone"),
        ),
        ["done", "spoiled"].map(key),
      ),
    );
  }
}

/** Whether a spot lies in a row of the drawing. */
const within = (spot, strip) =>
  !spot.end && spot.page === strip.page && spot.top >= strip.upper && spot.top <= strip.lower;
