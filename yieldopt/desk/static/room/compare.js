// Two plans of the job's folder beside each other.
import {choice, el, show} from "../shared/dom.js";
import {ask} from "../state/net.js";
import {patterns} from "../view/boards.js";
import {compareView} from "../view/compare.js";

/**
 * @param {HTMLElement} room
 * @param {any} _job
 * @param {(text: string) => void} say
 */
export function compareRoom(room, _job, say) {
  let [first, second] = [1, 0];
  const keys = el("div", {class: "keys"});
  const view = el("div", {});

  async function draw() {
    try {
      /** @type {{plan: number, words: string}[]} */
      const plans = await ask("GET", "/api/plans");
      if (plans.length < 2) {
        const words =
          "There is one plan at most so far. Plan again, or plan round a wish: the plan before " +
          "stays beside the new one.";
        return show(view, el("p", {class: "what"}, words));
      }
      const options = plans.map(p => /** @type {[string, string]} */ ([String(p.plan), p.words]));
      show(
        keys,
        choice("This plan", options, first, v => ((first = Number(v)), draw())),
        choice("Against this one", options, second, v => ((second = Number(v)), draw())),
      );
      const found = await ask("GET", `/api/compare?first=${first}&second=${second}`);
      const names = /** @type {[string, string]} */ ([plans[first].words, plans[second].words]);
      show(view, compareView(found, {names, room: room.clientWidth}));
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
  }

  show(room, patterns(), keys, view);
  draw();
  return () => {};
}
