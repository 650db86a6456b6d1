// A defect that came up at the bench: touched on the drawing, its figures corrected on the keypad,
// and taken back where it was none.
import {fraction, inches} from "../figures/lengths.js";
import {areaOf} from "../figures/marking.js";
import {KINDS} from "../figures/trade.js";
import {sheetOf} from "../state/sheets.js";
import {takeBack, tickOff} from "../state/ticks.js";
import {alarm, button, chips, el} from "../view/dom.js";
import {pad} from "../view/pad.js";
import {sheetPart} from "../view/sheetpart.js";

/** @import {Place} from "../figures/marking.js" */
/** @import {Found, Strip} from "../figures/ticked.js" */
/** @import {Cutting, Note} from "./cutting.js" */
/** @typedef {"x" | "y" | "length" | "width"} Field */

/** @type {Field[]} */
const FIELDS = ["x", "y", "length", "width"];
const SIZED = new Set(["length", "width"]);
const SIZES = {x: "From the datum end", y: "From the near edge", length: "Long", width: "Wide"};
const SHORT = {x: "from datum", y: "near edge", length: "long", width: "wide"};
// A touch marks an inch of wood; figures from a touch are to the quarter inch.
const TOUCH = 1,
  STEP = 4;

/**
 * What is noted so far, with the drawing to touch and the keys to correct it.
 * @param {Cutting} c
 * @param {Note} n
 */
export function noteForm(c, n) {
  const set = (/** @type {Partial<Note>} */ v) => {
    Object.assign(n, v);
    c.noted();
    c.now();
  };
  const {field} = n;
  const put = (/** @type {string} */ v) => {
    if (field) n[field] = v;
    c.noted();
    for (const k of FIELDS) {
      const key = c.room.querySelector(`[data-note="${k}"]`);
      key?.firstChild?.replaceWith(n[k] || "–");
    }
  };
  const next = () => set({field: FIELDS[(FIELDS.findIndex(k => k === field) + 1) % FIELDS.length]});
  const slot = (/** @type {Field} */ k) =>
    button([n[k] || "–", el("small", {}, SHORT[k])], () => set({field: k}), {
      "data-note": k,
      "aria-pressed": String(field === k),
    });
  return [
    el("h2", {}, "A defect came up: touch it on the drawing"),
    alarm(c.trouble),
    drawing(c, n),
    el("div", {class: "stick four"}, FIELDS.map(slot)),
    chips(["both", "A", "B"], n.face, face => set({face}), "Face"),
    chips(KINDS, n.kind, kind => set({kind}), "Kind of defect"),
    el(
      "div",
      {class: "dock"},
      field && pad(() => n[field], put, next, "Next", {minus: field === "y"}),
      el(
        "div",
        {class: "row"},
        button("Note it", () => noteIt(c, n), {class: "main wide"}),
        button("Leave it", () => c.leaveNote()),
      ),
    ),
  ];
}

/**
 * The rows of the drawing one below the other: a touch or a drag on the wood is a place on the
 * board.
 * @param {Cutting} c
 * @param {Note} n
 */
function drawing(c, n) {
  const {number, plan, board} = c;
  return el(
    "div",
    {
      class: "rows",
      id: "touch",
      tabindex: 0,
      role: "group",
      "aria-label": "The board's drawing, row by row",
    },
    board.strips.map(s => {
      const part = sheetPart(
        sheetOf(number, plan, board, s.page),
        board.pages[s.page],
        s.upper,
        s.lower,
        marked(n, s),
        `Part of the sheet of ${board.board}: touch the defect`,
      );
      touchable(part, s, board.pages[s.page][0], at => {
        Object.assign(n, at);
        c.noted();
        c.now();
      });
      return part;
    }),
  );
}

/**
 * Where the noted defect lies on a row, in points; nothing where it lies elsewhere.
 * @param {Note} n
 * @param {Strip} s
 */
function marked(n, s) {
  const {x, y, length, width} = areaOf(n);
  if (!n.x || !n.y || !length || !width) return [];
  const end = s.start + s.width / s.points,
    from = Math.max(x, s.start),
    to = Math.min(x + length, end);
  if (from >= to) return [];
  return [
    {
      left: s.left + (from - s.start) * s.points,
      top: s.top + (s.high - y - width) * s.points,
      width: (to - from) * s.points,
      height: width * s.points,
    },
  ];
}

/**
 * @param {HTMLElement} part
 * @param {Strip} s
 * @param {number} pageWidth points
 * @param {(at: {x: string, y: string, length: string, width: string}) => void} done
 */
function touchable(part, s, pageWidth, done) {
  /** @type {Place | null} */
  let from = null;
  const place = (/** @type {MouseEvent} */ e) => {
    const box = part.getBoundingClientRect(),
      k = pageWidth / box.width;
    return {
      x: s.start + ((e.clientX - box.left) * k - s.left) / s.points,
      y: s.high - ((e.clientY - box.top) * k + s.upper - s.top) / s.points,
    };
  };
  const quarter = (/** @type {number} */ v) => fraction(Math.round(v * STEP) / STEP, STEP);
  part.addEventListener("click", e => {
    const p = place(e);
    done({
      x: quarter(Math.max(0, p.x - TOUCH / 2)),
      y: quarter(p.y - TOUCH / 2),
      length: quarter(TOUCH),
      width: quarter(TOUCH),
    });
  });
  // A mouse or a pen draws the rectangle; a finger's drag scrolls the page.
  part.addEventListener("pointerdown", e => {
    from = e.pointerType === "touch" ? null : place(e);
  });
  part.addEventListener("pointerup", e => {
    if (!from) return;
    const p = place(e),
      length = Math.abs(p.x - from.x),
      width = Math.abs(p.y - from.y);
    if (length * STEP >= 1 && width * STEP >= 1) {
      e.preventDefault();
      done({
        x: quarter(Math.max(0, Math.min(p.x, from.x))),
        y: quarter(Math.min(p.y, from.y)),
        length: quarter(length),
        width: quarter(width),
      });
    }
    from = null;
  });
}

/**
 * @param {Cutting} c
 * @param {Note} n
 */
async function noteIt(c, n) {
  const {field: _, ...found} = n;
  const odd = FIELDS.find(k => {
    const size = inches(found[k]);
    return size === null || (SIZED.has(k) && size <= 0);
  });
  if (odd) {
    c.trouble = `${SIZES[odd]}: a length is wanted, such as 3 1/2.`;
    n.field = odd;
    c.now();
    return;
  }
  // The form goes at once, so that a second tap doesn't note it twice; the draft goes once it is
  // noted.
  c.note = null;
  c.trouble = "";
  c.at.open.add("found");
  c.now();
  await tickOff(c.number, c.plan, c.board.board, {found});
  if (!c.note) await c.leaveNote();
  await c.again();
}

/**
 * What was noted on this board, by whom, and a key to take each back.
 * @param {Cutting} c
 */
export function defects(c) {
  const words = (/** @type {Found} */ d) =>
    `${d.kind}, face ${d.face || "both"}, ${d.x} from the datum end, ${d.y} from the near ` +
    `edge, ${d.length} by ${d.width}${d.by ? `, ${d.by}` : ""}`;
  const back = async (/** @type {Found} */ d) => {
    await takeBack(c.number, c.plan, c.board.board, d.id);
    await c.again();
  };
  return [
    el(
      "ul",
      {class: "list", id: "found"},
      c.board.found.map(d =>
        el(
          "li",
          {},
          el(
            "div",
            {class: "row"},
            el(
              "span",
              {class: "wide"},
              words(d),
              d.pending && el("span", {class: "phone"}, " only on this phone"),
            ),
            button("Take back", () => back(d), {
              "aria-label": `Take back the ${d.kind} at ${d.x}`,
            }),
          ),
        ),
      ),
    ),
    button("Note a defect", () => c.begin()),
  ];
}
