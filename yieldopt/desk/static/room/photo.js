// The photo of a board: taken in, fitted by its four corners, and what is cut drawn over it, to
// look at and to print.
import {button, choice, el, show} from "../shared/dom.js";
import {ask} from "../state/net.js";
import {cell, rowsOf, withCells} from "../state/rows.js";
import {aboutBoard, boardDrawing, patterns, scaleFor} from "../view/boards.js";
import {fitter} from "../view/fitter.js";
import {looks} from "../view/looks.js";

/** @typedef {import("../view/fitter.js").Point} Point */

/** @type {Point[]} */
const WHOLE = [
  [0.05, 0.8],
  [0.05, 0.2],
  [0.95, 0.2],
  [0.95, 0.8],
];
const FIT = /^(\S+)((?: [01](?:\.\d+)?){8})$/;

/**
 * @param {HTMLElement} room
 * @param {import("../state/job.js").Job} job
 * @param {(text: string) => void} say
 * @param {string} name the board
 */
export function photoRoom(room, job, say, name) {
  /** @type {"A" | "B"} */
  let face = "A";
  /** @type {import("./plan.js").Looked | null} */
  let looked = null;
  let fitting = false;
  const keys = el("div", {class: "keys"});
  const view = el("div", {class: "photo-view"});
  const file = el("input", {
    type: "file",
    accept: "image/jpeg,image/png,image/webp",
    "aria-label": "A photo of this face",
    onchange: e => e.target.files?.[0] && takeIn(e.target.files[0]),
  });

  const column = () => `photo_${face.toLowerCase()}`;
  const rowAt = () => rowsOf(job.tables.boards, name)[0];

  /** The photo and the corners that the board's row says. */
  function fit() {
    const {boards} = job.tables;
    const said =
      rowAt() === undefined ? null : FIT.exec(cell(boards, boards.rows[rowAt()], column()));
    if (!said) return null;
    const n = said[2].trim().split(" ").map(Number);
    return {
      photo: said[1],
      corners: [0, 2, 4, 6].map(i => /** @type {Point} */ ([n[i], n[i + 1]])),
    };
  }

  /** @param {File} chosen */
  async function takeIn(chosen) {
    try {
      const path = `/api/photos?name=${encodeURIComponent(chosen.name || "board.jpg")}`;
      const {name: kept} = await ask("POST", path, chosen);
      fitting = true;
      keep(kept, WHOLE);
      draw();
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
  }

  /** @param {string} photo @param {Point[]} corners */
  function keep(photo, corners) {
    const words = [photo, ...corners.flat().map(v => Number(v.toFixed(4)))].join(" ");
    job.edit("boards", withCells(job.tables.boards, rowAt(), {[column()]: words}));
  }

  function draw() {
    const said = fit();
    drawKeys(said !== null);
    if (rowAt() === undefined) show(view, el("p", {class: "say"}, `There is no board ${name}.`));
    else if (said && fitting) {
      const address = `/api/photos/${encodeURIComponent(said.photo)}`;
      const what = `Photo of ${name}, face ${face}`;
      show(
        view,
        fitter(address, what, said.corners, c => keep(said.photo, c)),
      );
    } else drawOver();
  }

  /** @param {boolean} there whether there is a photo of this face */
  function drawKeys(there) {
    const other = (/** @type {string} */ f) => {
      face = f === "B" ? "B" : "A";
      fitting = false;
      draw();
    };
    const turn = () => {
      fitting = !fitting;
      draw();
    };
    show(
      keys,
      choice("Face", ["A", "B"], face, other),
      el("label", {}, there ? "Another photo" : "A photo of this face", file),
      there
        ? button(fitting ? "The corners are right" : "Fit its corners", turn, {
            class: fitting ? "main" : "",
          })
        : null,
      there && !fitting ? button("Print this", () => print()) : null,
      el("a", {class: "key", href: "#/boards"}, "All boards"),
    );
  }

  /** What is cut, over the photo. */
  function drawOver() {
    const wood = job.boards?.find(b => b.name === name);
    if (!wood) {
      return show(view, el("p", {class: "what"}, "The tables are being read, or have mistakes."));
    }
    const sheet = looked?.plan.sheets.find(s => s.board === name) ?? null;
    const tints = looks((looked?.plan.sheets ?? []).flatMap(s => s.pieces.map(p => p.part)));
    const points = scaleFor([wood], Math.min(1500, view.clientWidth || 900));
    show(
      view,
      el("h2", {}, `${name}, face ${face}`),
      el("p", {class: "what"}, aboutBoard(wood)),
      boardDrawing(wood, sheet, points, {
        photo: true,
        face,
        lines: true,
        look: p => tints.get(p.part) ?? {tint: "#e3c592", pattern: ""},
        label: p => p.names.join(", "),
      }),
      wood.photos[face] ? null : el("p", {class: "what"}, "There is no photo of this face yet."),
      sheet
        ? el(
            "ul",
            {class: "moved"},
            sheet.pieces.map(p => el("li", {}, `${p.piece}: ${p.size}, ${p.thickness} thick`)),
          )
        : el("p", {class: "what"}, "The plan at hand doesn't cut this board."),
    );
  }

  async function look() {
    try {
      looked = await ask("GET", "/api/plan");
      draw();
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
  }

  show(room, patterns(), keys, view);
  const tell = () => fitting || draw();
  job.watchers.add(tell);
  draw();
  look();
  return () => job.watchers.delete(tell);
}
