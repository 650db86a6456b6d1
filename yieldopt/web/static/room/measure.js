// Measuring a board, new or known: sizes on a stick, one keypad, the last answers kept. Nothing
// leaves the phone before "Save board", and nothing typed is lost before it: see draft.js.
import {cellOf, readFit, writeFit} from "../figures/corners.js";
import {inOrder, Measured} from "../figures/measured.js";
import {following} from "../figures/naming.js";
import {extent} from "../figures/wood.js";
import {draftOf, dropDraft, keepDraft} from "../state/draft.js";
import {uuid} from "../state/identity.js";
import {freshName} from "../state/names.js";
import {bytes} from "../state/pictures.js";
import {addPhoto, saveBoard} from "../state/saving.js";
import {all, fact, get, keep} from "../state/store.js";
import {alarm, button, el, show} from "../view/dom.js";
import {fitting} from "../view/fitting.js";
import {underlay} from "../view/photo.js";
import {marks} from "./marks.js";
import {sizes} from "./sizes.js";

/** @import {Point} from "../figures/corners.js" */
/** @import {Draft} from "../figures/measured.js" */
/** @import {Board, Words} from "../figures/valid.js" */
/** @import {Kid} from "../view/dom.js" */

/**
 * The room.
 * @param {HTMLElement} room
 * @param {string} [id] the board to correct; without it a new one
 */
export async function measure(room, id) {
  const old = (id && (await get("boards", id))) || null;
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
export class Measuring extends Measured {
  /**
   * @param {HTMLElement} room
   * @param {Board | null} old the board to correct
   */
  constructor(room, old) {
    super(uuid(), old);
    this.room = room;
    // The kind of the next mark.
    this.kind = "knot";
    /** @type {Record<string, string | null>} photos drawn straight, by face */
    this.photos = {};
    // Without them.
    this.bare = false;
    /** @type {Kid[] | null} corners being touched on a photo */
    this.corners = null;
    /** @type {string[]} species that may be chosen instead of typed */
    this.known = [];
    // Another species than those is being typed.
    this.other = false;
    /** @type {{draw: () => void} | null} */
    this.drawing = null;
    this.ended = false;
    // As it was left before.
    this.resumed = false;
    this.drawn = false;
  }

  /** @param {Draft | null} draft */
  async begin(draft) {
    this.kept = await this.offer();
    this.kind = await fact("kind", "knot");
    this.resumed = Boolean(draft);
    this.start(draft, await freshName());
    if (this.open) await this.lay();
  }

  /** What may be chosen instead of typed; gives back what was kept of the board before. */
  async offer() {
    const kept = await fact("kept", /** @type {Words} */ ({species: "", quarters: "4/4"}));
    this.known = inOrder([...(await all("boards")).map(b => b.cells.species), kept.species]);
    return kept;
  }

  /** What the board before cost comes and goes with the wood. */
  priced() {
    this.price();
    /** @type {HTMLInputElement | null} */
    const field = this.room.querySelector("#in-price_bf");
    if (field) field.value = this.cells.price_bf ?? "";
  }

  /**
   * A key of the pad was tapped: the chosen length is `text` now.
   * @param {string} text
   */
  set(text) {
    this.type(text);
    this.fill();
  }

  next() {
    this.toNext();
    this.draw();
  }

  /** @param {string} field */
  choose(field) {
    this.field = field;
    this.draw();
  }

  async save(sure = false) {
    if (this.ended) return;
    if (!this.ready(sure)) {
      this.draw();
      return;
    }
    // From here on nothing that is drawn anew brings the draft back.
    this.ended = true;
    await saveBoard(this.board, this.was);
    await this.savePhotos();
    await dropDraft(this.old?.id);
    await keep("kept", this.handedOn());
    await keep("kind", this.kind);
    if (this.old) location.hash = `#/rack/${this.board.id}`;
    else {
      await keep("name", following(this.cells.board));
      if (this.room.isConnected) await this.another();
    }
  }

  async savePhotos() {
    for (const face of ["A", "B"]) {
      const name = readFit(this.cells[cellOf(face)])?.name ?? "";
      if (this.fresh[name]) await addPhoto(this.board.id, name, this.fresh[name]);
    }
  }

  /** Ready for the next board. */
  async another() {
    await measure(this.room);
    scrollTo(0, 0);
    this.focus("length");
  }

  /** @param {string} field */
  focus(field) {
    const key = this.room.querySelector(`[data-field="${field}"]`);
    /** @type {HTMLElement | null} */ (key)?.focus({preventScroll: true});
  }

  async throwAway() {
    this.ended = true;
    await dropDraft(this.old?.id);
    await measure(this.room, this.old?.id);
  }

  /** Both faces' photos drawn straight under the marks. */
  async lay() {
    const size = extent(this.board);
    for (const face of ["A", "B"]) {
      this.photos[face] = await underlay(this.board, face, size, this.fresh);
    }
  }

  /**
   * Touch a photo's corners.
   * @param {string} name
   * @param {Blob} blob
   * @param {Point[]} corners
   */
  async fit(name, blob, corners = []) {
    const leave = () => {
      this.corners = null;
      this.draw();
    };
    const done = async (/** @type {Point[]} */ p) => {
      this.cells[cellOf(this.face)] = writeFit(name, p);
      this.bare = false;
      await this.lay();
      leave();
    };
    this.corners = await fitting(blob, this.face, corners, done, leave);
    this.draw();
  }

  /**
   * @param {string} name
   * @param {Point[]} [corners]
   */
  async fitAgain(name, corners) {
    const blob = this.fresh[name] ?? (await bytes(this.board, name));
    if (blob) await this.fit(name, blob, corners);
    else {
      this.trouble = "The photo is in the rack, which is out of reach.";
      this.draw();
    }
  }

  /** Write down what is typed. */
  note() {
    const draft = this.ended ? null : this.draft();
    if (draft) keepDraft(this.old?.id, draft);
  }

  /** Only the figures anew: the keys stay under the finger. */
  fill() {
    /** @type {NodeListOf<HTMLElement>} */
    const slots = this.room.querySelectorAll("[data-field]");
    for (const b of slots) b.firstChild?.replaceWith(this.at(b.dataset.field ?? "") || "–");
    this.drawing?.draw();
    this.note();
  }

  title() {
    if (this.corners) return `${this.cells.board}: photo of face ${this.face}`;
    if (this.open) return `${this.cells.board}: marks`;
    return this.old ? `Correct ${this.cells.board}` : "Measure a board";
  }

  draw() {
    this.drawing = null;
    const focused = /** @type {HTMLElement | null} */ (document.activeElement),
      field = focused?.dataset.field;
    show(
      this.room,
      el("h1", {}, this.title()),
      this.resumedWords(),
      alarm(this.trouble),
      this.questions(),
      this.open ? marks(this) : sizes(this),
    );
    if (field) this.focus(field);
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
    if (!this.asked.length) return null;
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
          this.asked = [];
          this.choose(first.field);
        }),
      ),
    );
  }
}
