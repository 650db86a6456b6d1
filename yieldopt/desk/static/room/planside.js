// What stands beside the picture of a plan: parts without a place, the piece pointed at, the parts.
import {button, count, el} from "../shared/dom.js";

/** @typedef {import("../view/boards.js").Laid} Laid */

/**
 * @param {{looked: import("./plan.js").Looked | null, chosen: string | null,
 *   lookOf: (name: string) => {tint: string, pattern: string},
 *   nameOf: (p: Laid) => string, pick: (piece: string) => void,
 *   keys: (p: Laid & {board: string}) => any[]}} about
 */
export function planSide({looked, chosen, lookOf, nameOf, pick, keys}) {
  const plan = looked?.plan;
  if (!plan) return el("p", {}, "No plan yet.");
  const pieces = plan.sheets.flatMap(s => s.pieces.map(p => ({...p, board: s.board})));
  const one = pieces.find(p => p.piece === chosen);
  /** @type {Map<string, typeof pieces>} */
  const parts = new Map();
  for (const p of pieces) parts.set(nameOf(p), [...(parts.get(nameOf(p)) ?? []), p]);
  const names = [...parts.keys()].sort();
  return [
    plan.missing.length
      ? el(
          "div",
          {class: "say", role: "alert"},
          el("h3", {}, "Without a place"),
          el(
            "ul",
            {},
            plan.missing.map(m => el("li", {}, `${m.qty} x ${m.part}: ${m.why}`)),
          ),
        )
      : null,
    one
      ? el(
          "div",
          {class: "one"},
          el("h3", {}, one.piece),
          el("p", {}, aboutPiece(one)),
          el("div", {class: "keys"}, keys(one)),
        )
      : null,
    el("h3", {}, count(pieces.length, "piece")),
    el(
      "ul",
      {class: "parts"},
      names.map((name, n) => {
        const of = parts.get(name) ?? [];
        return el(
          "li",
          {},
          button(`${of.length} x ${name}`, () => pick(of[0].piece), {
            class: one && nameOf(one) === name ? "quiet chosen" : "quiet",
          }),
          el("span", {class: "tint", style: `background:${lookOf(name).tint}`}, String(n + 1)),
        );
      }),
    ),
  ];
}

/** @param {Laid & {board: string}} p */
export const aboutPiece = p =>
  [
    p.size,
    `${p.thickness} thick`,
    `on ${p.board}`,
    `blank ${p.blank}`,
    ...(p.layers > 1 ? [`layer ${p.layer} of ${p.layers}`] : []),
    ...(p.set ? [`set ${p.set}`] : []),
    ...(p.state === "done" ? ["finished"] : []),
  ].join(", ");
