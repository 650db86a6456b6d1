// Is this enough? The rack's answer comes first and gets better while one looks; below it board
// feet and money of the boards chosen, worked out on this phone.
import {byName} from "../figures/finding.js";
import {cost, feet} from "../figures/wood.js";
import {ask} from "../state/reach.js";
import {all, fact, keep} from "../state/store.js";
import {button, choice, count, el, show} from "../view/dom.js";
import {longList} from "../view/longlist.js";
import {enough} from "./enough.js";

/** @import {Board, Holder} from "../figures/valid.js" */
/** @import {Typed} from "../view/dom.js" */
/** @typedef {{number: number, name: string, error?: string}} Job */

const LINE = 60;

/**
 * The room. Gives back how to show it anew.
 * @param {HTMLElement} room
 */
export async function countRoom(room) {
  const c = new Counting(room);
  await c.load();
  return () => c.load();
}

class Counting {
  /** @param {HTMLElement} room */
  constructor(room) {
    this.room = room;
    /** @type {Board[]} */
    this.boards = [];
    /** @type {Set<string | undefined>} boards with changes on their way to the rack */
    this.waiting = new Set();
    /** @type {Record<string, Holder>} */
    this.holds = {};
    /** @type {Job[]} */
    this.jobs = [];
    /** @type {Job | null} */
    this.job = null;
    /** @type {Set<string>} boards left out by hand */
    this.left = new Set();
    this.drawn = false;
    this.sum = el("div", {"aria-live": "polite"});
    this.dealer = el("div", {"aria-live": "polite"});
    this.keys = el("div", {class: "row", role: "group", "aria-label": "Boards to count"});
    this.list = el("div", {});
    this.answer = enough(() => this.question());
  }

  /** Boards are counted unless they were left out by hand: one logged just now is in. */
  async load() {
    this.boards = (await all("boards")).sort(byName);
    this.waiting = new Set((await all("ops")).map(o => o.board));
    this.holds = await fact("holds", {});
    const jobs = await fact("jobs", /** @type {Job[]} */ ([]));
    this.jobs = jobs.filter(j => !j.error);
    this.left = new Set(await fact("left out", /** @type {string[]} */ ([])));
    const first = !this.drawn,
      number = this.job?.number ?? this.jobs[0]?.number;
    this.job = this.jobs.find(j => j.number === number) ?? null;
    if (first) this.draw();
    this.total();
    this.lines();
    this.answer.ask();
  }

  /** @param {Board} b */
  heldFor(b) {
    const hold = this.holds[b.id];
    return hold && hold.job !== this.job?.name ? hold : null;
  }

  get chosen() {
    return this.boards.filter(b => !this.left.has(b.id) && !this.heldFor(b));
  }

  /**
   * What to ask the rack: the job, and the boards by the shorter list of ids; null without a job.
   */
  question() {
    if (!this.job) return null;
    const there = (/** @type {Board} */ b) => b.version && !this.waiting.has(b.id);
    const known = this.boards.filter(there),
      ids = known.filter(b => !this.left.has(b.id)).map(b => b.id);
    const out = known.filter(b => this.left.has(b.id)).map(b => b.id);
    return {
      job: this.job,
      body: out.length < ids.length ? {all_but: out} : {boards: ids},
      mine: this.chosen.filter(b => !there(b)).length,
      none: !ids.length,
    };
  }

  /** @param {Iterable<string>} left */
  async leave(left) {
    this.left = new Set(left);
    await keep("left out", [...this.left]);
    this.total();
    this.lines();
    this.answer.ask();
  }

  draw() {
    this.drawn = true;
    const pick = (/** @type {string} */ n) => {
      this.job = this.jobs.find(j => String(j.number) === n) ?? null;
      this.load();
    };
    show(
      this.room,
      el("h1", {}, "Count"),
      this.jobs.length > 1 &&
        choice(
          "Job",
          this.jobs.map(j => /** @type {[number, string]} */ ([j.number, j.name])),
          this.job?.number,
          pick,
        ),
      this.answer.box,
      this.sum,
      el(
        "div",
        {class: "row"},
        button("As the dealer counts", () => this.counted()),
      ),
      this.dealer,
      el("h2", {}, "Boards counted"),
      this.keys,
      this.list,
    );
  }

  total() {
    const mine = this.chosen,
      prices = mine.map(cost),
      known = prices.filter(p => p !== null);
    const held = this.boards.filter(b => !this.left.has(b.id) && this.heldFor(b)).length;
    const sum = (/** @type {number[]} */ values) => values.reduce((s, v) => s + v, 0).toFixed(2);
    const unpriced = prices.length - known.length;
    show(
      this.sum,
      el("p", {class: "big", id: "feet"}, `${sum(mine.map(feet))} board feet`),
      el("p", {class: "big", id: "money"}, `${sum(known)} to pay`),
      el(
        "p",
        {},
        `${count(mine.length, "board")}, exact measure, worked out on this phone`,
        unpriced > 0 && `; ${unpriced} without a price`,
        held > 0 && `; ${held} held for another job ${held === 1 ? "is" : "are"} not counted`,
        ".",
      ),
    );
    const species = [...new Set(this.boards.map(b => b.cells.species).filter(Boolean))].sort();
    const only = (/** @type {string} */ s) =>
      this.boards.filter(b => b.cells.species !== s).map(b => b.id);
    show(
      this.keys,
      button("All", () => this.leave([])),
      button("None", () => this.leave(this.boards.map(b => b.id))),
      species.map(s => button(`Only ${s}`, () => this.leave(only(s)))),
    );
  }

  lines() {
    show(
      this.list,
      longList(this.boards, LINE, b => this.line(b), "Boards counted"),
    );
  }

  /** @param {Board} b */
  line(b) {
    const hold = this.heldFor(b),
      {board, quarters, species} = b.cells;
    const tick = async (/** @type {Typed} */ e) => {
      const left = new Set(this.left);
      if (e.target.checked) left.delete(b.id);
      else left.add(b.id);
      await this.leave(left);
    };
    return [
      el(
        "label",
        {class: "pick"},
        el("input", {
          type: "checkbox",
          checked: !hold && !this.left.has(b.id),
          disabled: hold,
          onchange: tick,
        }),
        el(
          "span",
          {},
          el("strong", {}, board),
          ` ${quarters ?? ""} ${species ?? ""}, ${feet(b).toFixed(2)}`,
          hold && el("span", {class: "held"}, ` held for ${hold.job} by ${hold.who}`),
        ),
      ),
    ];
  }

  async counted() {
    const q = this.question(),
      known = this.chosen.filter(b => b.version && !this.waiting.has(b.id));
    const body = q?.body ?? {boards: known.map(b => b.id)};
    const r = await ask("/api/tally", {method: "POST", body: JSON.stringify(body)}),
      t = r.body;
    const held = r.ok && t.held?.length ? ` Held for another job: ${names(t.held)}.` : "";
    show(
      this.dealer,
      el(
        "p",
        {class: "say"},
        r.ok
          ? `As the dealer counts, the ${count(t.boards, "board")} in the rack: ` +
              `${t.counted} board feet, ${t.price_counted.toFixed(2)} to pay.${held}`
          : `Not counted: ${t.error}.`,
      ),
    );
  }
}

const names = (/** @type {{board: string, job: string}[]} */ held) =>
  held.map(h => `${h.board} (${h.job})`).join(", ");
