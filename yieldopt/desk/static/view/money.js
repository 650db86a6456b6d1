// What a plan costs, what it costs at least, and how both came nearer while one looked.
import {drawn, el} from "../shared/dom.js";

/**
 * @param {{running: boolean, standings: any[], plan: any | null, before: number | null}} about
 *   `before`: what the plan before this one cost, where it is to be told
 */
export function moneyView({running, standings, plan, before}) {
  const now = standings[standings.length - 1];
  const {cost, bound} = (running ? now : plan) ?? {};
  return [
    running ? el("p", {class: "doing", role: "status"}, doing(now)) : null,
    figure("Net cost", cost?.toFixed(2) ?? "–"),
    figure("At least", bound?.toFixed(2) ?? "not known yet"),
    cost && known(bound) ? figure("Open between", share((cost - bound) / cost, 1)) : null,
    running || !plan ? null : ended(plan, before),
    plan ? figure("Boards cut", String(plan.sheets.length)) : null,
    curve(standings),
  ];
}

/**
 * @typedef {{seconds: number, cost: number | null, bound: number | null, doing: string}} Standing
 */
/** @typedef {{cost: number, yielded: number, missing: any[]}} Ended */

/** @param {number | null | undefined} f */
const known = f => f !== null && f !== undefined;
/** @param {number} f @param {number} places */
const share = (f, places) => `${(100 * f).toFixed(places)} %`;
/** @param {number} money */
const signed = money => `${money < 0 ? "−" : "+"} ${Math.abs(money).toFixed(2)}`;
/** @param {Standing | undefined} now */
const doing = now => (now ? `${now.doing}, ${now.seconds.toFixed(0)} s` : "getting ready");

/** @param {Ended} plan @param {number | null} before */
const ended = (plan, before) => [
  before !== null && !plan.missing.length
    ? figure("Against the plan before", signed(plan.cost - before))
    : null,
  figure("Yield", share(plan.yielded, 0)),
];

/** @param {string} word @param {string} value */
const figure = (word, value) =>
  el("p", {class: "figure"}, el("span", {}, word), el("b", {}, value));

const [WIDE, HIGH, MARGIN] = [260, 90, 4];

/** Cost above, bound below, over the seconds. @param {Standing[]} standings */
function curve(standings) {
  const costs = standings.filter(s => known(s.cost));
  if (costs.length < 2) return null;
  const end = Math.max(...standings.map(s => s.seconds), 1e-6);
  const figures = standings.flatMap(s => [s.cost ?? [], s.bound ?? []]).flat();
  const [low, high] = [Math.min(...figures), Math.max(...figures)];
  const scale = (HIGH - 2 * MARGIN) / Math.max(1e-9, high - low);
  const point = (/** @type {Standing} */ s, /** @type {number} */ f) =>
    `${((s.seconds / end) * WIDE).toFixed(1)},${(HIGH - MARGIN - (f - low) * scale).toFixed(1)}`;
  const line = (/** @type {"cost" | "bound"} */ key) =>
    standings.flatMap(s => (s[key] === null ? [] : [point(s, s[key])])).join(" ");
  const words = [costs[0], costs[costs.length - 1]].map(s => s.cost?.toFixed(2)).join(" to ");
  return drawn(
    "svg",
    {
      viewBox: `0 0 ${WIDE} ${HIGH}`,
      class: "curve",
      role: "img",
      "aria-label": `net cost from ${words}`,
    },
    drawn("polyline", {points: line("cost"), class: "cost"}),
    drawn("polyline", {points: line("bound"), class: "bound"}),
  );
}
