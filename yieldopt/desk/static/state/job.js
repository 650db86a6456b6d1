// The job at hand: its tables as typed, every step of which can be taken back, what is wrong with
// them, and their keeping.
import {history} from "./history.js";
import {merged, same} from "./merging.js";
import {ask} from "./net.js";

/** @typedef {import("./merging.js").Table} Table */
/** @typedef {{table: string, row: number | null, column: string | null, text: string}} Mistake */

const CHECK_AFTER = 250;

export class Job {
  /** @param {any} said what the server knows of the job */
  constructor(said) {
    this.name = said.name;
    this.folder = said.folder;
    /** @type {string[]} kinds of defect */
    this.kinds = said.kinds;
    this.units = said.units;
    this.known = said.columns;
    /** @type {Record<string, Table>} as last read or written */
    this.kept = said.tables;
    this.past = history({tables: /** @type {Record<string, Table>} */ (said.tables)});
    /** @type {Mistake[]} */
    this.mistakes = [];
    /** @type {string[]} */
    this.remarks = [];
    /** @type {any[] | null} the boards as the newest sound tables have them */
    this.boards = null;
    /** @type {Set<() => void>} */
    this.watchers = new Set();
    this.timer = 0;
    this.asked = 0;
    /** Whether what is known of mistakes and boards is of the tables as they stand. */
    this.settled = false;
    this.check();
  }

  get tables() {
    return this.past.now.tables;
  }

  /** Tables that differ from what is kept. */
  get changed() {
    return Object.keys(this.tables).filter(stem => !same(this.tables[stem], this.kept[stem]));
  }

  /** Another state of one table. @param {string} stem @param {Partial<Table>} change */
  edit(stem, change) {
    this.past.add({tables: {...this.tables, [stem]: {...this.tables[stem], ...change}}});
    this.tell();
    this.soon();
  }

  /** Several tables in one step. @param {Record<string, Partial<Table>>} changes */
  editAll(changes) {
    const tables = {...this.tables};
    for (const [stem, change] of Object.entries(changes)) {
      tables[stem] = {...tables[stem], ...change};
    }
    this.past.add({tables});
    this.tell();
    this.soon();
  }

  undo() {
    this.past.undo();
    this.tell();
    this.soon();
  }

  redo() {
    this.past.redo();
    this.tell();
    this.soon();
  }

  tell() {
    for (const w of this.watchers) w();
  }

  soon() {
    this.settled = false;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.check(), CHECK_AFTER);
  }

  /** Ask what is wrong; an answer that another question has overtaken is not looked at. */
  async check() {
    const mine = ++this.asked;
    try {
      const said = await ask("POST", "/api/check", {tables: this.tables});
      if (mine !== this.asked) return;
      this.settled = true;
      this.mistakes = said.mistakes;
      this.remarks = said.remarks;
      if (said.boards) this.boards = said.boards;
      this.tell();
    } catch (error) {
      this.failed = error;
      this.tell();
    }
  }

  /**
   * Write what was changed. What another program wrote meanwhile is put together with it where the
   *   two don't meet.
   * @returns {Promise<{together: string[], clash: Record<string, Table>}>} tables that were put
   *   together, and those that clash
   */
  async keep() {
    /** @type {Record<string, Table>} */
    const out = {};
    for (const stem of this.changed) {
      out[stem] = {...this.tables[stem], digest: this.kept[stem].digest};
    }
    if (!Object.keys(out).length) return {together: [], clash: {}};
    try {
      this.took(await ask("PUT", "/api/tables", {tables: out}));
      return {together: [], clash: {}};
    } catch (/** @type {any} */ error) {
      if (error.status !== 409) throw error;
      return this.meet(error.body.theirs);
    }
  }

  /** @param {Record<string, Table>} theirs */
  async meet(theirs) {
    /** @type {Record<string, Table>} */
    const clash = {};
    const tables = {...this.tables};
    const together = [];
    for (const [stem, table] of Object.entries(theirs)) {
      const both = merged(this.kept[stem], this.tables[stem], table);
      if (both === null) clash[stem] = table;
      else {
        tables[stem] = both;
        this.kept = {...this.kept, [stem]: table};
        together.push(stem);
      }
    }
    if (together.length) {
      this.past.add({tables});
      this.tell();
    }
    if (Object.keys(clash).length) return {together, clash};
    const again = await this.keep();
    return {together: [...together, ...again.together], clash: again.clash};
  }

  /**
   * Of a table that clashes: theirs instead of mine, or mine over theirs.
   * @param {string} stem
   * @param {Table} theirs
   * @param {boolean} mine
   */
  settle(stem, theirs, mine) {
    this.kept = {...this.kept, [stem]: theirs};
    if (!mine) this.past.add({tables: {...this.tables, [stem]: theirs}});
    this.tell();
    this.soon();
  }

  /** @param {Record<string, Table>} said as written */
  took(said) {
    this.kept = {...this.kept, ...said};
    this.tell();
  }
}
