// Planning round: asked for from the plan at hand, looked for until it is there, then taken or
// left.
import {ask} from "./net.js";

const LOOK_EVERY = 150;

/**
 * What came of it, or null where it was given up meanwhile.
 * @param {Record<string, import("./merging.js").Table>} tables
 * @param {string[]} lines what happened
 * @param {() => boolean} over whether nobody waits any more
 * @returns {Promise<any | null>}
 */
export async function tried(tables, lines, over) {
  let now = await ask("POST", "/api/trial", {tables, lines});
  const mine = now.trial;
  while (now?.trial === mine && now.state === "working") {
    await new Promise(done => setTimeout(done, LOOK_EVERY));
    if (over()) return null;
    now = await ask("GET", "/api/trial");
  }
  if (now?.trial !== mine) return null;
  if (now.state === "failed") throw new Error(now.error);
  return now;
}

/** The plan that was tried becomes the plan. @param {number} trial */
export const take = trial => ask("POST", "/api/trial/take", {trial});

/** The plan stays as it was. */
export const leave = () => ask("POST", "/api/trial/leave", {});
