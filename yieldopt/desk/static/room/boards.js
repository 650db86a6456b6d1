// Every board of the job, to one scale.
import {choice, count, el, show} from "../shared/dom.js";
import {boardDrawing, scaleFor} from "../view/boards.js";

const ORDERS = {
  name: (a, b) => a.name.localeCompare(b.name, "en", {numeric: true}),
  species: (a, b) => a.species.localeCompare(b.species) || ORDERS.name(a, b),
  longest: (a, b) => b.length - a.length,
  widest: (a, b) => b.high - b.low - (a.high - a.low),
  dearest: (a, b) => b.price - a.price,
};

/** @param {HTMLElement} room @param {import("../state/job.js").Job} job */
export function boardsRoom(room, job) {
  let order = "name";
  let species = "";
  const frame = el("div", {class: "boards"});
  const keys = el("div", {class: "keys"});

  function draw() {
    const all = job.boards ?? [];
    const kinds = [...new Set(all.map(b => b.species))].sort();
    const some = all.filter(b => !species || b.species === species).sort(ORDERS[order]);
    const points = scaleFor(all, Math.min(1100, frame.clientWidth || 900));
    show(
      keys,
      choice("Order", Object.keys(ORDERS), order, o => ((order = o), draw())),
      choice(
        "Species",
        [["", "all"], ...kinds.map(k => [k, k])],
        species,
        s => ((species = s), draw()),
      ),
      el("p", {class: "what"}, count(some.length, "board")),
    );
    show(
      frame,
      job.boards === null
        ? el("p", {class: "say"}, "The tables have mistakes: mend them, and the boards are drawn.")
        : null,
      some.map(b => figure(b, points)),
    );
  }

  show(room, keys, frame);
  job.watchers.add(draw);
  draw();
  return () => job.watchers.delete(draw);
}

const figure = (b, points) =>
  el(
    "figure",
    {},
    el("figcaption", {}, el("b", {}, b.name), ` ${aboutBoard(b)}`),
    boardDrawing(b, null, points),
  );

const aboutBoard = b =>
  [`${b.species} ${b.quarters}`, b.size, b.place, b.price ? b.price.toFixed(2) : ""]
    .filter(Boolean)
    .join(", ");
