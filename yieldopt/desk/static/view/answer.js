// What planning round came to, before anything is written: what it costs and what moves; taken or
// left in one step.
import {button, el} from "../shared/dom.js";
import {compareView} from "./compare.js";

/**
 * @param {any} answer what the desk's server said of the trial
 * @param {{room: number, take: () => void, leave: () => void}} how
 */
export function answerView(answer, how) {
  const told = answer.told.filter((/** @type {string} */ t) => NOTABLE.test(t));
  return el(
    "section",
    {class: "answer", "aria-label": "Planned round"},
    el("p", {class: "cost", role: "status"}, answer.found.words),
    told.length
      ? el(
          "ul",
          {class: "told-list"},
          told.map((/** @type {string} */ t) => el("li", {}, t)),
        )
      : null,
    el(
      "div",
      {class: "keys"},
      button("Take it", how.take, {class: "main"}),
      button("Leave it as it was", how.leave),
    ),
    compareView(answer.found, {names: ["As it is", "Planned round"], room: how.room, told: true}),
  );
}

// Lines that a person must have read before taking it.
const NOTABLE = /^(FINISHED|SET ASIDE|SPENT|RENAMED|TURNED|FAULT|to make again|not placed)/;
