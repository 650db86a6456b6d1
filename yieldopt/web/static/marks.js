// The marks on a board being measured: its drawing, the figures of the chosen mark, its photo.
import {button, chips, el, uuid} from "./dom.js";
import {boardDrawing} from "./drawing.js";
import {cellOf, readFit, shrink} from "./photo.js";
import {dock, slot} from "./sizes.js";

const FIGURES = {x: "from datum", y: "from near edge", length: "long", width: "wide"};

/** The elements of the view; `m` is the `Measuring`. */
export function marks(m) {
  if (m.view.fit) return m.view.fit;
  m.drawing = boardDrawing(m.board, m.view, moving => (moving ? m.fill() : m.draw()));
  const faces = chips(
    ["A", "B"],
    m.view.face,
    s => {
      m.view.face = s;
      m.draw();
    },
    "Face",
  );
  faces.append(button("Add a mark", () => add(m)));
  return [
    el("p", {}, "Tap or drag on the wood."),
    faces,
    m.drawing.svg,
    m.flaw && figures(m),
    photoKeys(m),
    dock(
      m,
      "Next",
      [
        button("Sizes", () => {
          m.view.open = false;
          m.choose("length");
        }),
      ],
      Boolean(m.flaw) && m.field.startsWith("flaw."),
    ),
  ];
}

function add(m) {
  m.board.defects.push({
    kind: m.view.kind,
    face: m.view.face,
    x: "1",
    y: "0",
    length: "1",
    width: "1",
  });
  m.view.on = m.board.defects.length - 1;
  m.draw();
}

function figures(m) {
  const f = m.flaw,
    kinds = document.body.dataset.kinds.split(";");
  const rubOut = () => {
    m.board.defects.splice(m.view.on, 1);
    m.view.on = null;
    m.choose("length");
  };
  const through = () => {
    f.face = f.face === "both" ? m.view.face : "both";
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
      kinds,
      f.kind,
      k => {
        f.kind = m.view.kind = k;
        m.draw();
      },
      "Kind of defect",
    ),
  ];
}

async function take(m, e) {
  const file = e.target.files[0];
  if (!file) return;
  m.trouble = "";
  const name = `face-${m.view.face.toLowerCase()}-${uuid().slice(0, 8)}.jpg`;
  try {
    m.fresh[name] = await shrink(file);
    await m.fit(name, m.fresh[name]);
  } catch (x) {
    m.trouble = `Not taken: ${x.message}.`;
    m.draw();
  }
}

function photoKeys(m) {
  const now = readFit(m.cells[cellOf(m.view.face)]);
  const fitted = ["A", "B"].map(f => readFit(m.cells[cellOf(f)])?.name);
  const loose = m.board.photos.filter(p => !fitted.includes(p.name));
  const without = () => {
    delete m.cells[cellOf(m.view.face)];
    m.view.photos[m.view.face] = null;
    m.draw();
  };
  return el(
    "section",
    {},
    el("h2", {}, `Photo of face ${m.view.face}`),
    now &&
      el(
        "div",
        {class: "row"},
        button(
          "Under the drawing",
          () => {
            m.view.bare = !m.view.bare;
            m.draw();
          },
          {"aria-pressed": String(!m.view.bare)},
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
      el("input", {type: "file", id: "photo", accept: "image/*", onchange: e => take(m, e)}),
    ),
  );
}
