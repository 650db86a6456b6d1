// Measuring a board, new or known: sizes on a stick, one keypad, the last answers kept. Nothing leaves
// the phone before "Save board", and nothing typed is lost before it: see draft.js.
import {alarm, button, el, show, uuid} from "./dom.js";
import {draftOf, dropDraft, keepDraft} from "./draft.js";
import {fitting} from "./fitting.js";
import {marks} from "./marks.js";
import {following, freshName} from "./names.js";
import {oddities} from "./odd.js";
import {bytes, cellOf, readFit, underlay, writeFit} from "./photo.js";
import {sizes} from "./sizes.js";
import {all, fact, get, keep} from "./store.js";
import {addPhoto, saveBoard} from "./sync.js";
import {extent} from "./wood.js";

const KEPT = ["species", "quarters", "price_bf", "dealer", "place"];
const WARP = ["bow", "cup", "crook", "twist"];
const FLAW = ["x", "y", "length", "width"];
const EDGE = ["at", "near", "far"];
const NO_EDGE = {x: "", near: "0", far: ""};

/** The room. `id`: the board to correct; without it a new one. */
export async function measure(room, id) {
  const old = id ? await get("boards", id) : null;
  const draft = await draftOf(old?.id);
  const m = new Measuring(room, old);
  await m.begin(draft && (old || !(await get("boards", draft.board.id))) ? draft : null);
  m.draw();
  // Species are offered from the rack, whose boards may come only now.
  return async () => {
    if (m.known.length || m.ended) return;
    await m.offer();
    if (m.known.length && !m.ended) m.draw();
  };
}

/** One board being measured; `draw` shows it. */
export class Measuring {
  constructor(room, old) {
    this.room = room;
    this.old = old;
    this.view = {
      face: "A",
      on: null,
      kind: "knot",
      photos: {},
      open: false,
      fit: null,
      bare: false,
    };
    // Photos taken and not chalked yet, by name.
    this.fresh = {};
    this.field = "length";
    this.more = Boolean(old);
    this.edge = {...NO_EDGE};
    this.trouble = "";
    this.asked = null;
    this.drawing = null;
    // What a correction began from: see merging.js.
    this.was = null;
    this.ended = false;
  }

  async begin(draft) {
    const kept = (this.kept = await this.offer());
    this.view.kind = await fact("kind", "knot");
    this.resumed = Boolean(draft);
    if (draft) {
      const {board, was, fresh, edge, more, open, field, face} = draft;
      Object.assign(this, {board, was, fresh, edge, more, field});
      Object.assign(this.view, {open, face});
    } else if (this.old) {
      this.board = structuredClone(this.old);
      const {cells, defects, edges} = structuredClone(this.old);
      this.was = {cells, defects, edges};
    } else {
      const cells = {...kept, board: await freshName()};
      this.board = {id: uuid(), cells, defects: [], edges: []};
    }
    this.board.photos ??= [];
    if (this.view.open) await this.lay();
  }

  /** What may be chosen instead of typed; gives back what was kept of the board before. */
  async offer() {
    const kept = await fact("kept", {species: "", quarters: "4/4"});
    this.known = inOrder([...(await all("boards")).map(b => b.cells.species), kept.species]);
    return kept;
  }

  get cells() {
    return this.board.cells;
  }

  /** What the board before cost goes for the same wood alone: it comes and goes with species and quarters. */
  priced() {
    const {cells, kept} = this;
    if (this.old || !kept.price_bf) return;
    const same = ["species", "quarters"].every(k => cells[k] === kept[k]);
    if (same) cells.price_bf ||= kept.price_bf;
    else if (cells.price_bf === kept.price_bf) delete cells.price_bf;
    const field = this.room.querySelector("#in-price_bf");
    if (field) field.value = cells.price_bf ?? "";
  }

  get flaw() {
    return this.board.defects[this.view.on];
  }

  get fields() {
    return ["length", "width", ...(this.more ? ["thickness", ...WARP] : [])];
  }

  /** The length that field `k` shows. */
  at(k) {
    if (EDGE.includes(k)) return this.edge[k === "at" ? "x" : k];
    if (k.startsWith("flaw.")) return this.flaw?.[k.slice(5)] ?? "";
    return this.cells[k] ?? "";
  }

  /** A key of the pad was tapped: the chosen length is `text` now. */
  set(text) {
    const k = this.field;
    if (EDGE.includes(k)) this.edge[k === "at" ? "x" : k] = text;
    else if (k.startsWith("flaw.")) this.flaw[k.slice(5)] = text;
    else if (text) this.cells[k] = text;
    else delete this.cells[k];
    this.fill();
  }

  /** To the next length; from the last figure of an outline's place, to the next place. */
  next() {
    const k = this.field;
    if (k === "at" || k === "near") this.field = "far";
    else if (k === "far") {
      if (this.edge.x && this.edge.far) this.addEdge();
      this.field = "at";
    } else if (k.startsWith("flaw.")) {
      this.field = `flaw.${FLAW[(FLAW.indexOf(k.slice(5)) + 1) % FLAW.length]}`;
    } else this.field = this.fields[(this.fields.indexOf(k) + 1) % this.fields.length];
    this.draw();
  }

  addEdge() {
    this.board.edges.push({x: this.edge.x, near: this.edge.near || "0", far: this.edge.far});
    this.edge = {...NO_EDGE};
  }

  choose(field) {
    this.field = field;
    this.draw();
  }

  /** What keeps the board from being chalked, in words; `field` is then the one to mend. */
  lacking() {
    const c = this.cells,
      {x, far} = this.edge;
    if (x && far) this.addEdge();
    else if (x || far) {
      this.more = true;
      this.view.open = false;
      this.field = x ? "far" : "at";
      return x
        ? `How wide is it at ${x}? Type it, or clear the ${x}.`
        : `Where is it ${far} wide?`;
    }
    if (!c.species) return "Which species is it?";
    if (!c.length) return "How long is it?";
    return c.width || this.board.edges.length ? "" : "How wide is it?";
  }

  async save(sure = false) {
    this.trouble = this.lacking();
    this.asked = !this.trouble && sure !== true ? oddities(this.board) : [];
    if (this.trouble || this.asked.length) {
      this.draw();
      return;
    }
    const c = this.cells;
    for (const k of Object.keys(c)) if (!c[k]) delete c[k];
    // From here on nothing that is drawn anew brings the draft back.
    this.ended = true;
    await saveBoard(this.board, this.was);
    for (const face of ["A", "B"]) {
      const name = readFit(c[cellOf(face)])?.name;
      if (this.fresh[name]) await addPhoto(this.board.id, name, this.fresh[name]);
    }
    await dropDraft(this.old?.id);
    await keep("kept", Object.fromEntries(KEPT.filter(k => c[k]).map(k => [k, c[k]])));
    await keep("kind", this.view.kind);
    if (this.old) location.hash = `#/rack/${this.board.id}`;
    else {
      await keep("name", following(c.board));
      if (this.room.isConnected) await this.another();
    }
  }

  /** Ready for the next board. */
  async another() {
    await measure(this.room);
    scrollTo(0, 0);
    this.room.querySelector("[data-field=length]")?.focus({preventScroll: true});
  }

  async throwAway() {
    this.ended = true;
    await dropDraft(this.old?.id);
    await measure(this.room, this.old?.id);
  }

  /** Both faces' photos drawn straight under the marks. */
  async lay() {
    const {length, low, high} = extent(this.board);
    for (const face of ["A", "B"]) {
      this.view.photos[face] = await underlay(this.board, face, length, low, high, this.fresh);
    }
  }

  /** Touch a photo's corners. */
  async fit(name, blob, corners = []) {
    const leave = () => {
      this.view.fit = null;
      this.draw();
    };
    const done = async p => {
      this.cells[cellOf(this.view.face)] = writeFit(name, p);
      this.view.bare = false;
      await this.lay();
      leave();
    };
    this.view.fit = await fitting(blob, this.view.face, corners, done, leave);
    this.draw();
  }

  async fitAgain(name, corners) {
    const blob = this.fresh[name] ?? (await bytes(this.board, name));
    if (blob) await this.fit(name, blob, corners);
    else {
      this.trouble = "The photo is in the rack, which is out of reach.";
      this.draw();
    }
  }

  /** Write down what is typed; a new board with nothing measured yet leaves no draft. */
  note() {
    if (this.ended) return;
    const {board, fresh, edge, more, field} = this,
      {open, face} = this.view,
      c = this.cells;
    const some =
      this.old ||
      c.length ||
      c.width ||
      edge.x ||
      edge.far ||
      board.edges.length ||
      board.defects.length ||
      Object.keys(fresh).length;
    if (some)
      keepDraft(this.old?.id, {board, was: this.was, fresh, edge, more, open, field, face});
  }

  /** Only the figures anew: the keys stay under the finger. */
  fill() {
    for (const b of this.room.querySelectorAll("[data-field]")) {
      b.firstChild.textContent = this.at(b.dataset.field) || "–";
    }
    this.drawing?.draw();
    this.note();
  }

  title() {
    if (this.view.fit) return `${this.cells.board}: photo of face ${this.view.face}`;
    if (this.view.open) return `${this.cells.board}: marks`;
    return this.old ? `Correct ${this.cells.board}` : "Measure a board";
  }

  draw() {
    this.drawing = null;
    const focus = document.activeElement?.dataset?.field;
    show(
      this.room,
      el("h1", {}, this.title()),
      this.resumedWords(),
      alarm(this.trouble),
      this.questions(),
      this.view.open ? marks(this) : sizes(this),
    );
    if (focus) this.room.querySelector(`[data-field="${focus}"]`)?.focus({preventScroll: true});
    if (this.drawn) this.note();
    this.drawn = true;
  }

  resumedWords() {
    if (!this.resumed) return null;
    return el(
      "div",
      {class: "row say"},
      el("span", {class: "wide"}, "As you left it, not chalked yet."),
      button("Throw it away", () => this.throwAway()),
    );
  }

  questions() {
    if (!this.asked?.length) return null;
    const [first] = this.asked;
    return el(
      "div",
      {class: "say", role: "alert"},
      this.asked.map(q => el("p", {class: "big"}, q.words)),
      el(
        "div",
        {class: "row"},
        button("Yes, save it", () => this.save(true), {class: "main"}),
        button("No, correct it", () => {
          this.asked = null;
          this.choose(first.field);
        }),
      ),
    );
  }
}

/** Without repeats and blanks, the most frequent first. */
function inOrder(words) {
  const counts = new Map();
  for (const w of words) if (w) counts.set(w, (counts.get(w) ?? 0) + 1);
  return [...counts.keys()].sort((a, b) => counts.get(b) - counts.get(a));
}
