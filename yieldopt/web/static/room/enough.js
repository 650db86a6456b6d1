// The rack's answer to "is this enough?": yes, no or not known, and what one more board should be
// like. The search goes on at the rack for as long as one looks, and the answer here gets better
// with it.
import {ask} from "../state/reach.js";
import {fact, keep} from "../state/store.js";
import {el, lines, show} from "../view/dom.js";

/** @import {Answer} from "../state/reach.js" */
/**
 * @typedef {object} Question
 * @property {{number: number, name: string}} job
 * @property {object} body which boards
 * @property {number} mine boards counted that are only on this phone
 * @property {boolean} none no board counted is in the rack
 */
/**
 * @typedef {object} Told the rack's answer, or what stands in for it
 * @property {string} answer `yes`, `no`, `not known`
 * @property {string} words
 * @property {string} [ask]
 * @property {string} [state]
 * @property {string | null} [error]
 * @property {number} [seconds]
 * @property {{part: string, qty: number, why: string, certain: boolean}[]} [missing]
 * @property {string[]} [shopping]
 * @property {{board: string, job: string}[]} [held]
 * @property {string[]} [boards]
 * @property {number | null} [net_cost]
 */

// Milliseconds: a changed choice settles first; the rack is asked again while it searches.
const SETTLE = 700,
  AGAIN = 1500,
  SLOWER = 5000;
/** @type {Record<string, string>} */
const WORDS = {yes: "Yes, enough", no: "No, not enough", "not known": "Not known"};

/**
 * The answer as it stands, and how to ask anew.
 * @param {() => Question | null} question
 */
export function enough(question) {
  const box = el("section", {id: "enough", "aria-live": "polite", hidden: true});
  let turn = 0,
    timer = 0,
    asked = "";
  /** @type {Told | null} */
  let last = null;

  function start() {
    const q = question();
    box.hidden = !q;
    if (!q) return;
    const wanted = JSON.stringify([q.job.number, q.body]);
    if (wanted === asked && last) {
      draw(q, last);
      return;
    }
    asked = wanted;
    clearTimeout(timer);
    const mine = ++turn;
    draw(q, null);
    timer = setTimeout(() => first(q, mine), SETTLE);
  }

  /**
   * @param {Question} q
   * @param {number} mine which question it is: a later one takes its place
   */
  async function first(q, mine) {
    if (q.none) {
      settle(q, mine, {
        answer: "not known",
        words: "None of the boards counted is in the rack yet.",
      });
      return;
    }
    const r = await ask(`/api/jobs/${q.job.number}/enough`, {
      method: "POST",
      body: JSON.stringify(q.body),
    });
    if (r.ok) follow(q, mine, r.body);
    else await unanswered(q, mine, r);
  }

  /**
   * @param {Question} q
   * @param {number} mine
   * @param {Answer} r
   */
  async function unanswered(q, mine, r) {
    const before = await fact(`enough ${q.job.number}`, /** @type {string | null} */ (null));
    const words = before
      ? `${r.body.error}. The last answer, to the boards counted then: ${before}`
      : `${r.body.error}.`;
    settle(q, mine, {answer: "not known", words});
    if (mine === turn) again(() => first(q, mine), SLOWER);
  }

  /**
   * @param {Question} q
   * @param {number} mine
   * @param {Told} body
   */
  async function follow(q, mine, body) {
    settle(q, mine, body);
    if (mine !== turn || !body.ask) return;
    if (body.state === "done") {
      if (body.words) {
        await keep(`enough ${q.job.number}`, `${WORDS[body.answer]}. ${body.words}`);
      }
      return;
    }
    again(async () => {
      const r = await ask(`/api/jobs/${q.job.number}/enough/${body.ask}`);
      if (r.ok) follow(q, mine, r.body);
      else if (r.status === 404) first(q, mine);
      else again(() => follow(q, mine, body), SLOWER);
    }, AGAIN);
  }

  /**
   * Who looks elsewhere lets the search end; who comes back asks again.
   * @param {() => unknown} what
   * @param {number} after milliseconds
   */
  function again(what, after) {
    clearTimeout(timer);
    timer = setTimeout(() => {
      if (!box.isConnected) asked = "";
      else if (document.hidden) again(what, after);
      else what();
    }, after);
  }

  /**
   * @param {Question} q
   * @param {number} mine
   * @param {Told} body
   */
  function settle(q, mine, body) {
    if (mine !== turn) return;
    last = body;
    draw(q, body);
  }

  /**
   * @param {Question} q
   * @param {Told | null} body
   */
  function draw(q, body) {
    const mine = q.mine
      ? `${q.mine} of the boards counted ${q.mine === 1 ? "is" : "are"} only on this ` +
        "phone and not looked at yet."
      : "";
    show(
      box,
      el("h2", {}, `Is this enough for ${q.job.name}?`),
      body ? answered(body) : asking(),
      mine && el("p", {}, mine),
    );
  }
  return {box, ask: start};
}

const asking = () => el("p", {class: "answer", id: "answer"}, "Asking the rack …");

/** @param {Told} a */
function answered(a) {
  const going = a.state === "running" || a.state === "waiting";
  return [
    el(
      "p",
      {class: `answer ${a.answer.replace(" ", "-")}`, id: "answer", role: "status"},
      WORDS[a.answer],
    ),
    el("p", {id: "words"}, a.error ?? a.words),
    going &&
      el(
        "p",
        {class: "quiet"},
        a.state === "waiting"
          ? "Waiting for its turn at the rack …"
          : `Searched for ${Math.round(a.seconds ?? 0)} s, and still looking for something better.`,
      ),
    lines(a.missing, m => `${m.qty} × ${m.part}: ${m.why}${m.certain ? " (certain)" : ""}`),
    (a.shopping?.length ?? 0) > 0 && el("h3", {}, "One more board"),
    lines(a.shopping, line => line),
    lines(a.held, h => `${h.board} is held for ${h.job} and was left out`),
    a.answer === "yes" &&
      el(
        "p",
        {},
        `${a.boards?.length} boards, net cost ${a.net_cost?.toFixed(2)}. ` +
          "This is no plan to cut from.",
      ),
  ];
}
