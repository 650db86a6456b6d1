// What to buy: asked for as long as one will wait; the answer with its charts, and as a list to
// take to the dealer's.
import {button, el, show} from "../shared/dom.js";
import {ask} from "../state/net.js";

const LOOK_EVERY = 1000;
const WORDS = {
  "ways.svg": "The ways to buy, with their cost",
  "chance.svg": "How likely each purchase is enough",
};

/**
 * @param {HTMLElement} room
 * @param {import("../state/job.js").Job} job
 * @param {(text: string) => void} say
 */
export function buyRoom(room, job, say) {
  let over = false;
  let timer = 0;
  const seconds = el("input", {type: "number", min: 5, max: 3600, value: 40, id: "study-seconds"});
  const keys = el("div", {class: "keys no-print"});
  const view = el("div", {class: "study"});

  async function begin() {
    try {
      const {clash} = await job.keep();
      if (Object.keys(clash).length) {
        return say("Another program wrote into the tables: settle that first, at the tables.");
      }
      await ask("POST", "/api/buy", {seconds: Number(seconds.value)});
      look();
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
  }

  async function look() {
    clearTimeout(timer);
    try {
      /** @type {{state: string, error: string | null, text: string, charts: string[]}} */
      const now = await ask("GET", "/api/buy");
      if (over) return;
      if (now.error) say(now.error);
      draw(now);
      if (now.state === "working") timer = setTimeout(look, LOOK_EVERY);
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
  }

  /** @param {{state: string, text: string, charts: string[]}} now */
  function draw(now) {
    const working = now.state === "working";
    show(
      keys,
      el("label", {for: "study-seconds"}, "Seconds ", seconds),
      button(
        working ? "Being worked out…" : now.text ? "Ask again" : "What is to be bought?",
        begin,
        {
          class: "main",
          disabled: working,
        },
      ),
      now.text ? button("Print the list", () => print()) : null,
    );
    if (!now.text) {
      const words =
        "What dealers ask stands in the table of prices. The longer you wait, the surer the " +
        "answer; a minute is a first one.";
      return show(view, el("p", {class: "what"}, words));
    }
    show(
      view,
      el("pre", {class: "list", tabindex: 0, "aria-label": "What to buy"}, now.text),
      now.charts.map(c =>
        el(
          "figure",
          {},
          el("figcaption", {}, WORDS[/** @type {keyof typeof WORDS} */ (c)]),
          el("img", {src: `/api/buy/${c}`, alt: WORDS[/** @type {keyof typeof WORDS} */ (c)]}),
        ),
      ),
    );
  }

  show(room, keys, view);
  look();
  return () => {
    over = true;
    clearTimeout(timer);
  };
}
