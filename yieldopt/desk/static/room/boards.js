// Every board of the job, to one scale: looked through, defects drawn on it, left alone, meant
// for a part, photographed.
import {button, choice, count, el, show} from "../shared/dom.js";
import {cell, withCells} from "../state/rows.js";
import {isLeft, leftOrNot} from "../state/wishes.js";
import {aboutBoard, boardDrawing, boardFigure, scaleFor} from "../view/boards.js";
import {keepingFocus} from "../view/focus.js";
import {onWidth} from "../view/width.js";
import {flawHand} from "./flaws.js";

/** @typedef {import("../view/boards.js").Wood} Wood */

/** @type {Record<string, (a: Wood, b: Wood) => number>} */
const ORDERS = {
  name: (a, b) => a.name.localeCompare(b.name, "en", {numeric: true}),
  species: (a, b) => a.species.localeCompare(b.species) || ORDERS.name(a, b),
  place: (a, b) => a.place.localeCompare(b.place) || ORDERS.name(a, b),
  longest: (a, b) => b.length - a.length,
  widest: (a, b) => b.high - b.low - (a.high - a.low),
  dearest: (a, b) => b.price - a.price,
};
/** @type {Record<string, ("A" | "B")[]>} */
const FACES = {"face A": ["A"], "face B": ["B"], both: ["A", "B"]};
// Boards that are drawn before they come near the window's edge.
const NEAR = "600px";

/**
 * @param {HTMLElement} room
 * @param {import("../state/job.js").Job} job
 * @param {(text: string) => void} say
 */
export function boardsRoom(room, job, say) {
  let order = "name";
  let species = "";
  let words = "";
  let faces = "face A";
  let only = "";
  /** @type {Wood[] | null} */
  let shown = null;
  const frame = el("div", {class: "boards rack"});
  const keys = el("div", {class: "keys"});
  const number = el("p", {class: "what"});
  const panel = el("div", {class: "flaw-panel"});
  const hand = flawHand({job, panel, say, redraw: () => draw(true)});
  const find = el("input", {
    type: "search",
    oninput: e => ((words = e.target.value), draw(true)),
  });
  /** @type {WeakMap<Element, () => void>} */
  const later = new WeakMap();
  const watch = new IntersectionObserver(
    seen => {
      for (const s of seen) {
        if (!s.isIntersecting) continue;
        watch.unobserve(s.target);
        later.get(s.target)?.();
      }
    },
    {rootMargin: NEAR},
  );

  function drawKeys() {
    const kinds = [...new Set((job.boards ?? []).map(b => b.species))].sort();
    show(
      keys,
      choice("Order", Object.keys(ORDERS), order, o => ((order = o), draw(true))),
      choice(
        "Species",
        [["", "all"], ...kinds.map(k => /** @type {[string, string]} */ ([k, k]))],
        species,
        s => ((species = s), draw(true)),
      ),
      choice(
        "Show",
        [
          ["", "all"],
          ["free", "those not left alone"],
          ["left", "those left alone"],
        ],
        only,
        o => ((only = o), draw(true)),
      ),
      choice("Faces", Object.keys(FACES), faces, f => ((faces = f), draw(true))),
      el("label", {}, "Find", find),
      hand.keys(),
    );
  }

  /** @param {Wood} b */
  const wanted = b => {
    const left = isLeft(job.tables.leave, b.name);
    if (species && b.species !== species) return false;
    if (only && (only === "left") !== left) return false;
    const text = `${b.name} ${aboutBoard(b)} ${b.flaws.map(f => f.kind).join(" ")}`.toLowerCase();
    return words
      .toLowerCase()
      .split(/\s+/)
      .every(w => text.includes(w));
  };

  /** @param anew although the boards are those that are drawn */
  const draw = (anew = false) => {
    if (anew || shown !== job.boards) keepingFocus(room, drawAll);
  };

  function drawAll() {
    const first = shown === null;
    shown = job.boards;
    const all = job.boards ?? [];
    const some = all.filter(wanted).sort(ORDERS[order]);
    const points = scaleFor(all, Math.min(1100, frame.clientWidth || 900));
    if (first || !keys.childElementCount) drawKeys();
    number.textContent = count(some.length, "board");
    watch.disconnect();
    show(
      frame,
      job.boards === null
        ? el("p", {class: "say"}, "The tables have mistakes: mend them, and the boards are drawn.")
        : null,
      some.map(b => figure(b, points)),
    );
    for (const f of frame.querySelectorAll("figure")) watch.observe(f);
    hand.drawn();
  }

  /**
   * Its place is held at once; it is drawn when it comes near.
   * @param {Wood} b
   * @param {number} points
   */
  function figure(b, points) {
    const high = ((b.high - b.low) * points + 4) * FACES[faces].length;
    const space = el("div", {style: `min-height:${high}px`});
    const made = boardFigure(b, [aboutBoard(b), boardKeys(b)], space);
    later.set(made, () => {
      space.replaceChildren(
        ...FACES[faces].map(face => {
          const svg = boardDrawing(b, null, points, {face, photo: true});
          hand.on(svg, b, points, face);
          return svg;
        }),
      );
    });
    return made;
  }

  /** @param {Wood} b */
  function boardKeys(b) {
    const left = isLeft(job.tables.leave, b.name);
    const parts = job.tables.parts;
    const names = parts.rows.map(row => cell(parts, row, "part")).filter(Boolean);
    return el(
      "span",
      {class: "board-keys"},
      button(
        left ? "Left alone" : "Leave it alone",
        () => {
          job.edit("leave", leftOrNot(job.tables.leave, b.name));
          draw(true);
        },
        {class: "quiet", "aria-pressed": String(left), "aria-label": `Leave ${b.name} alone`},
      ),
      el(
        "select",
        {
          "aria-label": `${b.name} is meant for`,
          onchange: e => meant(b.name, e.target.value),
        },
        el("option", {value: ""}, "for a part…"),
        names.map(n =>
          el("option", {value: n}, sources(n).includes(b.name) ? `not only for ${n}` : n),
        ),
      ),
      el(
        "a",
        {href: `#/photo/${encodeURIComponent(b.name)}`},
        b.photos.A ? "photo" : "add a photo",
      ),
    );
  }

  /** @param {string} part */
  function sources(part) {
    const t = job.tables.parts;
    const row = t.rows.find(r => cell(t, r, "part") === part);
    return row
      ? cell(t, row, "from")
          .split(/[;,]/)
          .map(s => s.trim())
          .filter(Boolean)
      : [];
  }

  /**
   * The board joins, or leaves, those that the part may come from.
   * @param {string} board
   * @param {string} part
   */
  function meant(board, part) {
    if (!part) return;
    const t = job.tables.parts;
    const at = t.rows.findIndex(r => cell(t, r, "part") === part);
    const now = sources(part);
    const from = now.includes(board) ? now.filter(b => b !== board) : [...now, board];
    job.edit("parts", withCells(t, at, {from: from.join(";")}));
    say(from.length ? `${part} comes from ${from.join(" or ")}.` : `${part} comes from any board.`);
    draw(true);
  }

  show(room, keys, number, panel, frame);
  const tell = () => draw();
  job.watchers.add(tell);
  draw(true);
  const still = onWidth(room, () => draw(true));
  return () => {
    still();
    job.watchers.delete(tell);
    watch.disconnect();
  };
}
