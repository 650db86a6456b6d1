// What stands beside the picture of a plan: parts without a place, the piece pointed at, the parts.
import {button, count, el, lines, show} from "../shared/dom.js";
import {ask} from "../state/net.js";

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
          whyKey(one.piece),
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

/**
 * Why it is as large as it is, what is tight, and where else it could lie: asked for once it is
 * opened.
 * @param {string} piece
 */
function whyKey(piece) {
  const body = el("div", {class: "why"});
  async function tell() {
    /** @type {{sizes: string[], tight: string[], elsewhere: string[]}} */
    const said = await ask("GET", `/api/piece?name=${encodeURIComponent(piece)}`);
    show(
      body,
      lines(said.sizes, t => t),
      lines(said.tight, t => t),
      el("p", {}, "Second places:"),
      lines(said.elsewhere, t => t),
    );
  }
  const failed = (/** @type {Error} */ error) => show(body, error.message);
  return el(
    "details",
    {ontoggle: e => e.target.open && tell().catch(failed)},
    el("summary", {}, "Why so, and where else"),
    body,
  );
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
