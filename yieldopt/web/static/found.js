// A defect that came up at the bench: touched on the drawing, its figures corrected on the keypad, and
// taken back where it was none.
import {alarm, button, chips, el} from "./dom.js";
import {fraction, INCH, parse} from "./lengths.js";
import {pad} from "./pad.js";
import {sheetPart} from "./sheetpart.js";
import {sheetOf} from "./bench.js";
import {takeBack, tickOff} from "./ticks.js";

const SIZES = {x: "From the datum end", y: "From the near edge", length: "Long", width: "Wide"};
const SHORT = {x: "from datum", y: "near edge", length: "long", width: "wide"};
// A touch marks an inch of wood; figures from a touch are to the quarter inch.
const TOUCH = 1,
  STEP = 4;

/** What is noted so far, with the drawing to touch and the keys to correct it; `c` is the `Cutting`. */
export function noteForm(c) {
  const n = c.note,
    kinds = document.body.dataset.kinds.split(";");
  const set = (k, v) => {
    n[k] = v;
    c.noted();
    c.now();
  };
  const put = v => {
    n[n.field] = v;
    c.noted();
    for (const b of c.room.querySelectorAll("[data-note]"))
      b.firstChild.textContent = n[b.dataset.note] || "–";
  };
  const fields = Object.keys(SIZES);
  const next = () => set("field", fields[(fields.indexOf(n.field) + 1) % fields.length]);
  const slot = k =>
    button([n[k] || "–", el("small", {}, SHORT[k])], () => set("field", k), {
      "data-note": k,
      "aria-pressed": String(n.field === k),
    });
  return [
    el("h2", {}, "A defect came up: touch it on the drawing"),
    alarm(c.trouble),
    drawing(c),
    el("div", {class: "stick four"}, fields.map(slot)),
    chips(["both", "A", "B"], n.face, f => set("face", f), "Face"),
    chips(kinds, n.kind, k => set("kind", k), "Kind of defect"),
    el(
      "div",
      {class: "dock"},
      n.field && pad(() => n[n.field], put, next, "Next", {minus: n.field === "y"}),
      el(
        "div",
        {class: "row"},
        button("Note it", () => noteIt(c), {class: "main wide"}),
        button("Leave it", () => c.leaveNote()),
      ),
    ),
  ];
}

/** The rows of the drawing one below the other: a touch or a drag on the wood is a place on the board. */
function drawing(c) {
  const {number, plan, board} = c,
    n = c.note;
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

/** Where the noted defect lies on a row, in points; nothing where it lies elsewhere. */
function marked(n, s) {
  const [x, y, length, width] = [n.x, n.y, n.length, n.width].map(v => parse(v) / INCH);
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

function touchable(part, s, pageWidth, done) {
  let from = null;
  const place = e => {
    const box = part.getBoundingClientRect(),
      k = pageWidth / box.width;
    return {
      x: s.start + ((e.clientX - box.left) * k - s.left) / s.points,
      y: s.high - ((e.clientY - box.top) * k + s.upper - s.top) / s.points,
    };
  };
  const quarter = v => fraction(Math.round(v * STEP) / STEP, STEP);
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

async function noteIt(c) {
  const {field: _, ...found} = c.note;
  const odd = Object.keys(SIZES).find(
    k => parse(found[k]) === null || (["length", "width"].includes(k) && !(parse(found[k]) > 0)),
  );
  if (odd) {
    c.trouble = `${SIZES[odd]}: a length is wanted, such as 3 1/2.`;
    c.note.field = odd;
    c.now();
    return;
  }
  // The form goes at once, so that a second tap doesn't note it twice; the draft goes once it is noted.
  c.note = null;
  c.trouble = "";
  c.at.open.add("found");
  c.now();
  await tickOff(c.number, c.plan, c.board.board, {found});
  if (!c.note) await c.leaveNote();
  await c.again();
}

/** What was noted on this board, by whom, and a key to take each back. */
export function defects(c) {
  const words = d =>
    `${d.kind}, face ${d.face || "both"}, ${d.x} from the datum end, ${d.y} from the near ` +
    `edge, ${d.length} by ${d.width}${d.by ? `, ${d.by}` : ""}`;
  const back = async d => {
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
