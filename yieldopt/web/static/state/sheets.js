// The sheets of a plan: their addresses, and a copy of each for when there is no signal.
import {fact, keep} from "./store.js";

/** @import {Plan, PlanBoard} from "../figures/ticked.js" */

/**
 * Named with the plan it belongs to: without signal, a sheet kept of an older plan must not pass
 * for one of this plan.
 * @param {string} number
 * @param {Plan} plan
 * @param {PlanBoard} board
 * @param {number} page
 */
export const sheetOf = (number, plan, board, page) =>
  `/api/bench/${number}/sheets/${encodeURIComponent(board.stem)}/${page}.svg?plan=${plan.plan}`;

/**
 * Every sheet of the plan is fetched once while there is signal; the service worker keeps them.
 * @param {string} number
 * @param {Plan} plan
 */
export async function keepSheets(number, plan) {
  const name = `sheets ${number}`;
  if (!navigator.serviceWorker?.controller || (await fact(name, "")) === plan.plan) return;
  for (const b of plan.boards) {
    for (let i = 0; i < b.pages.length; i++) {
      const r = await fetch(sheetOf(number, plan, b, i)).catch(() => null);
      if (!r?.ok) return;
    }
  }
  await keep(name, plan.plan);
}
