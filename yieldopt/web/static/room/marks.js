// The marks on a board being measured: its drawing, the figures of the chosen mark, its photo.
import {cellOf, readFit} from "../figures/corners.js";
import {KINDS} from "../figures/trade.js";
import {uuid} from "../state/identity.js";
import {button, chips, el} from "../view/dom.js";
import {boardDrawing} from "../view/drawing.js";
import {shrink} from "../view/photo.js";
import {dock, slot} from "./sizes.js";

/** @import {Flaw} from "../figures/valid.js" */
/** @import {Kid} from "../view/dom.js" */
/** @import {Measuring} from "./measure.js" */

const FIGURES = {x: "from datum", y: "from near edge", length: "long", width: "wide"};

/**
 * The elements of the view.
 * @param {Measuring} m
 * @returns {Kid[]}
 */
export function marks(m) {
  if (m.corners) return m.corners;
  const drawing = boardDrawing(m.board, m, moving => (moving ? m.fill() : m.draw()));
  m.drawing = drawing;
  const faces = chips(
    ["A", "B"],
    m.face,
    s => {
      m.face = s;
      m.draw();
    },
    "Face",
  );
  faces.append(button("Add a mark", () => add(m)));
  return [
    el("p", {}, "Tap or drag on the wood."),
    faces,
    drawing.svg,
    m.flaw && figures(m, m.flaw),
    photoKeys(m),
    dock(
      m,
      "Next",
      [
        button("Sizes", () => {
          m.open = false;
          m.choose("length");
        }),
      ],
      Boolean(m.flaw) && m.field.startsWith("flaw."),
    ),
  ];
}

/** @param {Measuring} m */
function add(m) {
  m.board.defects.push({
    kind: m.kind,
    face: m.face,
    x: "1",
    y: "0",
    length: "1",
    width: "1",
  });
  m.on = m.board.defects.length - 1;
  m.draw();
}

/**
 * @param {Measuring} m
 * @param {Flaw} f the chosen mark
 */
function figures(m, f) {
  const rubOut = () => {
    m.board.defects.splice(m.board.defects.indexOf(f), 1);
    m.on = null;
    m.choose("length");
  };
  const through = () => {
    f.face = f.face === "both" ? m.face : "both";
    m.draw();
  };
  return [
    el(
      "div",
      {class: "stick two"},
      Object.entries(FIGURES).map(([k, w]) => slot(m, `flaw.${k}`, w)),
    ),
    el(
      "div",
      {class: "row"},
      button("Through", through, {"aria-pressed": String(f.face === "both")}),
      button("Rub out", rubOut),
    ),
    chips(
      KINDS,
      f.kind,
      k => {
        f.kind = m.kind = k;
        m.draw();
      },
      "Kind of defect",
    ),
  ];
}

/**
 * @param {Measuring} m
 * @param {File | undefined} file
 */
async function take(m, file) {
  if (!file) return;
  m.trouble = "";
  const name = `face-${m.face.toLowerCase()}-${uuid().slice(0, 8)}.jpg`;
  try {
    m.fresh[name] = await shrink(file);
    await m.fit(name, m.fresh[name]);
  } catch (x) {
    m.trouble = `Not taken: ${x instanceof Error ? x.message : x}.`;
    m.draw();
  }
}

/** @param {Measuring} m */
function photoKeys(m) {
  const now = readFit(m.cells[cellOf(m.face)]);
  const fitted = ["A", "B"].map(f => readFit(m.cells[cellOf(f)])?.name);
  const loose = (m.board.photos ?? []).filter(p => !fitted.includes(p.name));
  const without = () => {
    delete m.cells[cellOf(m.face)];
    m.photos[m.face] = null;
    m.draw();
  };
  return el(
    "section",
    {},
    el("h2", {}, `Photo of face ${m.face}`),
    now &&
      el(
        "div",
        {class: "row"},
        button(
          "Under the drawing",
          () => {
            m.bare = !m.bare;
            m.draw();
          },
          {"aria-pressed": String(!m.bare)},
        ),
        button("Fit again", () => m.fitAgain(now.name, now.corners)),
        button("Without it", without),
      ),
    loose.length > 0 &&
      el(
        "div",
        {class: "row"},
        loose.map((p, i) =>
          button(`Fit photo ${i + 1}`, () => m.fitAgain(p.name), {title: p.name}),
        ),
      ),
    el(
      "label",
      {},
      now ? "Another photo" : "Take or choose a photo",
      el("input", {
        type: "file",
        id: "photo",
        accept: "image/*",
        onchange: e => take(m, e.target.files?.[0]),
      }),
    ),
  );
}
