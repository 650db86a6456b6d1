// A table that is typed into: arrows and Tab move, typing writes, blocks are copied, pasted and
// emptied; all by keyboard or mouse.
import {el} from "../shared/dom.js";
import {each, putIn} from "../state/blocks.js";
import {copied, pasted} from "../state/clip.js";

/** @typedef {import("../state/merging.js").Table} Table */
/** @typedef {import("../state/blocks.js").Change} Change */

// Rows that Page Up and Page Down go.
const PAGE = 15;

/**
 * @param {{word: string, table: () => Table, edit: (change: Partial<Table>) => void, undo: () =>
 *   void, redo: () => void,
 *   wrong: (row: number, column: string) => string[], rowWrong: (row: number) => string[],
 *   needed: string[], choices: (column: string) => string[], say: (text: string) => void}} about
 */
export function grid(about) {
  let at = {row: 0, col: 0};
  let far = at;
  /** @type {{input: HTMLInputElement, row: number, col: number} | null} */
  let editing = null;
  const body = el("tbody");
  const head = el("thead");
  const list = el("datalist", {id: `choices-${about.word.replace(/\W/g, "-")}`});
  const root = el(
    "div",
    {class: "grid-frame"},
    el("table", {role: "grid", "aria-label": about.word}, head, body),
    list,
  );

  const block = () => ({
    r0: Math.min(at.row, far.row),
    r1: Math.max(at.row, far.row),
    c0: Math.min(at.col, far.col),
    c1: Math.max(at.col, far.col),
  });
  /** @type {(r: number, c: number) => HTMLElement | undefined} */
  const cell = (r, c) => /** @type {any} */ (body.children[r]?.children[c + 1]);
  const text = (/** @type {number} */ r, /** @type {number} */ c) =>
    about.table().rows[r]?.[c] ?? "";

  /**
   * Rows as they are with these cells changed; rows are added as far as is written.
   * @param {Change[]} changes
   */
  function written(changes) {
    const {columns, rows} = about.table();
    const out = rows.map(r => [...r]);
    for (const [r, c, value] of changes) {
      while (out.length <= r) out.push(columns.map(() => ""));
      out[r][c] = value;
    }
    while (out.length && out[out.length - 1].every(v => v === "")) out.pop();
    return out;
  }

  /** @param {Change[]} changes */
  function put(changes) {
    const real = changes.filter(([r, c, value]) => text(r, c) !== value);
    if (real.length) about.edit({rows: written(real)});
  }

  function draw() {
    const {columns, rows} = about.table();
    const many = rows.length + 1;
    at = {row: Math.min(at.row, many - 1), col: Math.min(at.col, columns.length - 1)};
    far = {row: Math.min(far.row, many - 1), col: Math.min(far.col, columns.length - 1)};
    head.replaceChildren(
      el(
        "tr",
        {},
        el("th", {class: "number", scope: "col"}, el("span", {class: "unseen"}, "row")),
        columns.map(c =>
          el("th", {scope: "col", class: about.needed.includes(c) ? "needed" : ""}, c),
        ),
      ),
    );
    body.replaceChildren(...Array.from({length: many}, (_, r) => line(r, columns)));
    mark();
  }

  /** @param {number} r @param {string[]} columns */
  function line(r, columns) {
    const words = about.rowWrong(r);
    return el(
      "tr",
      {},
      el(
        "th",
        {
          scope: "row",
          class: words.length ? "number wrong" : "number",
          title: words.join("\n") || null,
        },
        String(r + 2),
      ),
      columns.map((column, c) => {
        const wrong = about.wrong(r, column);
        return el(
          "td",
          {
            role: "gridcell",
            tabindex: "-1",
            class: wrong.length ? "wrong" : "",
            "aria-invalid": wrong.length ? "true" : null,
            title: wrong.join("\n") || null,
            "data-r": r,
            "data-c": c,
          },
          text(r, c),
        );
      }),
    );
  }

  function mark() {
    const b = block();
    for (const td of body.querySelectorAll("td")) {
      const [r, c] = [Number(td.dataset.r), Number(td.dataset.c)];
      td.classList.toggle("chosen", r >= b.r0 && r <= b.r1 && c >= b.c0 && c <= b.c1);
      td.tabIndex = r === at.row && c === at.col ? 0 : -1;
    }
    const {columns} = about.table();
    about.say([...about.wrong(at.row, columns[at.col]), ...about.rowWrong(at.row)].join(" "));
  }

  /** @param {number} row @param {number} col */
  function go(row, col, extend = false) {
    const {columns, rows} = about.table();
    at = {
      row: Math.max(0, Math.min(row, rows.length)),
      col: Math.max(0, Math.min(col, columns.length - 1)),
    };
    if (!extend) far = at;
    mark();
    cell(at.row, at.col)?.focus({preventScroll: false});
  }

  /** @param {string} [start] what was typed on the cell; without, what it holds */
  function begin(start) {
    const td = cell(at.row, at.col);
    if (!td) return;
    const column = about.table().columns[at.col];
    list.replaceChildren(...about.choices(column).map(value => el("option", {value})));
    const input = el("input", {
      value: start ?? text(at.row, at.col),
      "aria-label": `${column}, row ${at.row + 2}`,
      list: list.id,
      autocomplete: "off",
      spellcheck: "false",
    });
    editing = {input, row: at.row, col: at.col};
    td.replaceChildren(input);
    input.focus();
    if (start === undefined) input.select();
    else input.setSelectionRange(start.length, start.length);
    input.addEventListener("blur", () => end(true, false));
  }

  /** @param {boolean} take */
  function end(take, focus = true) {
    if (!editing) return;
    const {input, row, col} = editing;
    editing = null;
    const value = input.value;
    if (take && value !== text(row, col)) put([[row, col, value]]);
    else {
      const td = cell(row, col);
      if (td) td.textContent = text(row, col);
    }
    if (focus) cell(at.row, at.col)?.focus();
  }

  /** @type {Record<string, [number, number]>} */
  const STEPS = {ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1]};

  /** What keys do by themselves; each returns false where it is none of the grid's. */
  /** @type {Record<string, (e: KeyboardEvent) => unknown>} */
  const plain = {
    Tab: e => along(e.shiftKey ? -1 : 1),
    Enter: () => begin(),
    F2: () => begin(),
    Home: e => go(e.ctrlKey || e.metaKey ? 0 : at.row, 0, e.shiftKey),
    End: e => go(e.ctrlKey || e.metaKey ? 1e6 : at.row, 1e6, e.shiftKey),
    PageDown: e => go(at.row + PAGE, at.col, e.shiftKey),
    PageUp: e => go(at.row - PAGE, at.col, e.shiftKey),
    Delete: () => empty(),
    Backspace: () => empty(),
  };

  /** What letters do with Control held. */
  /** @type {Record<string, (e: KeyboardEvent) => unknown>} */
  const held = {
    z: e => (e.shiftKey ? about.redo() : about.undo()),
    y: () => about.redo(),
    d: () => down(),
  };

  /** To the next cell, over the ends of rows; false at the ends of the table, which Tab leaves. */
  /** @param {number} step */
  function along(step) {
    const last = about.table().columns.length - 1;
    const next = at.col + step;
    if (next < 0 && at.row === 0) return false;
    if (next > last && at.row === about.table().rows.length) return false;
    if (next < 0) go(at.row - 1, last);
    else if (next > last) go(at.row + 1, 0);
    else go(at.row, next);
    return true;
  }

  /** @param {KeyboardEvent} e */
  function keys(e) {
    const step = STEPS[e.key];
    if (editing) typing(e, step);
    else if (e.altKey || handled(e, step) === false) return;
    else e.preventDefault();
  }

  /** @param {KeyboardEvent} e @param {[number, number] | undefined} step */
  function handled(e, step) {
    const control = e.ctrlKey || e.metaKey;
    if (step) {
      const leap = control ? 1e6 : 1;
      return go(at.row + step[0] * leap, at.col + step[1] * leap, e.shiftKey);
    }
    if (plain[e.key]) return plain[e.key](e);
    if (control) return held[e.key.toLowerCase()] ? held[e.key.toLowerCase()](e) : false;
    return e.key.length === 1 ? begin(e.key) : false;
  }

  /** @param {KeyboardEvent} e @param {[number, number] | undefined} step */
  function typing(e, step) {
    if (e.key === "Escape") end(false);
    else if (e.key === "Enter") {
      end(true);
      go(at.row + 1, at.col);
    } else if (e.key === "Tab") {
      end(true);
      keys(e);
    } else if (step && step[0] && !e.shiftKey && !e.altKey) {
      end(true);
      go(at.row + step[0], at.col);
    } else return;
    e.preventDefault();
  }

  const empty = () => put(each(block(), () => "").filter(([r]) => r < about.table().rows.length));

  /** The first row of the block into the rows below it. */
  function down() {
    const b = block();
    put(each({...b, r0: b.r0 + 1}, (_, c) => text(b.r0, c)));
  }

  const chosenText = () => {
    const b = block();
    const rows = [];
    for (let r = b.r0; r <= b.r1; r++) {
      rows.push(Array.from({length: b.c1 - b.c0 + 1}, (_, n) => text(r, b.c0 + n)));
    }
    return copied(rows);
  };

  root.addEventListener("keydown", keys);
  root.addEventListener("copy", e => {
    if (editing) return;
    e.clipboardData?.setData("text/plain", chosenText());
    e.preventDefault();
  });
  root.addEventListener("cut", e => {
    if (editing) return;
    e.clipboardData?.setData("text/plain", chosenText());
    e.preventDefault();
    empty();
  });
  root.addEventListener("paste", e => {
    if (editing) return;
    e.preventDefault();
    paste(e.clipboardData?.getData("text/plain") ?? "");
  });

  /** @param {string} what */
  function paste(what) {
    const cells = pasted(what);
    const {columns} = about.table();
    const b = block();
    const {changes, single} = putIn(cells, b, columns.length);
    put(changes);
    if (!single) {
      far = {
        row: b.r0 + cells.length - 1,
        col: Math.min(columns.length - 1, b.c0 + cells[0].length - 1),
      };
      at = {row: b.r0, col: b.c0};
      mark();
    }
  }

  const cellOf = (/** @type {Event} */ e) =>
    /** @type {HTMLElement | null} */ (/** @type {Element} */ (e.target).closest("td"));

  root.addEventListener("pointerdown", e => {
    const td = cellOf(e);
    if (!td || /** @type {Element} */ (e.target).tagName === "INPUT") return;
    end(true, false);
    go(Number(td.dataset.r), Number(td.dataset.c), e.shiftKey);
    const over = (/** @type {PointerEvent} */ m) => {
      const other = document.elementFromPoint(m.clientX, m.clientY)?.closest("td");
      if (other && root.contains(other)) {
        far = {row: Number(other.dataset.r), col: Number(other.dataset.c)};
        mark();
      }
    };
    addEventListener("pointermove", over);
    addEventListener("pointerup", () => removeEventListener("pointermove", over), {once: true});
    e.preventDefault();
  });
  root.addEventListener("dblclick", e => cellOf(e) && !editing && begin());

  return {
    root,
    /** Draw anew, unless a cell is being typed into: then only what is wrong. */
    refresh() {
      if (editing) return;
      const focused = root.contains(document.activeElement);
      draw();
      if (focused) cell(at.row, at.col)?.focus();
    },
    /** The rows that are chosen. */
    rows: () => ({from: block().r0, to: block().r1}),
    go,
  };
}
