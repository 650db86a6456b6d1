// A list of thousands: only the lines in sight are in the page.
import {el} from "./dom.js";

/** @import {Kid} from "./dom.js" */

const SPARE = 6;

/**
 * Which lines are in sight, and some more; `top` is how far the list is scrolled beyond the
 * screen's top.
 * @param {number} top
 * @param {number} height of one line
 * @param {number} many
 * @returns {[number, number]} from, and up to
 */
function inSight(top, height, many) {
  const from = Math.floor(top / height) - SPARE,
    to = Math.ceil((top + innerHeight) / height) + SPARE;
  return [Math.max(0, from), Math.min(many, to)];
}

/**
 * A line that has the focus stays, so that the keyboard goes on from it.
 * @param {HTMLElement} list
 */
function focused(list) {
  const on = document.activeElement;
  return on && list.contains(on) ? on.closest("li") : null;
}

/**
 * @template {{id: string}} T
 * @param {T[]} items
 * @param {number} height of one line, in CSS pixels
 * @param {(item: T) => Kid[]} line what a line holds
 * @param {string} word what the list is, for who can't see it
 */
export function longList(items, height, line, word) {
  const list = el("ul", {
    class: "long",
    "aria-label": word,
    style: `height:${items.length * height}px`,
  });
  let first = -1,
    last = -1;

  const one = (/** @type {number} */ i) =>
    el(
      "li",
      {
        "data-at": i,
        "aria-posinset": i + 1,
        "aria-setsize": items.length,
        style: `top:${i * height}px;height:${height}px`,
        "data-board": items[i].id,
      },
      line(items[i]),
    );

  function fill() {
    const there = list.isConnected;
    if (!there && first >= 0) {
      removeEventListener("scroll", fill);
      return;
    }
    const top = there ? -list.getBoundingClientRect().top : 0,
      [from, to] = inSight(top, height, items.length);
    if (from !== first || to !== last) put(from, to);
    [first, last] = [from, to];
  }

  /**
   * @param {number} from
   * @param {number} to
   */
  function put(from, to) {
    const held = focused(list),
      at = held ? Number(held.dataset.at) : -1;
    const lines = [];
    for (let i = from; i < to; i++) lines.push(held && i === at ? held : one(i));
    if (held && (at < from || at >= to)) lines.push(held);
    list.replaceChildren(...lines);
    if (!held || held.contains(document.activeElement)) return;
    const key = /** @type {HTMLElement | null} */ (held.querySelector("a, button, input"));
    key?.focus();
  }

  fill();
  addEventListener("scroll", fill, {passive: true});
  requestAnimationFrame(() => {
    first = Math.max(first, 0);
    fill();
  });
  return list;
}
