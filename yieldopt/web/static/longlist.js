// A list of thousands: only the lines in sight are in the page.
import {el} from "./dom.js";

const SPARE = 6;

/**
 * @param {Object[]} items
 * @param {number} height of one line, in CSS pixels
 * @param {(item: Object) => HTMLElement[]} line what a line holds
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
  function fill() {
    if (!list.isConnected && first >= 0) {
      removeEventListener("scroll", fill);
      return;
    }
    const top = list.isConnected ? -list.getBoundingClientRect().top : 0;
    const from = Math.max(0, Math.floor(top / height) - SPARE);
    const to = Math.min(items.length, Math.ceil((top + innerHeight) / height) + SPARE);
    if (from === first && to === last) return;
    // A line that has the focus stays, so that the keyboard goes on from it.
    const held = list.contains(document.activeElement) && document.activeElement.closest("li");
    const at = held ? Number(held.dataset.at) : -1;
    const lines = [];
    for (let i = from; i < to; i++) lines.push(i === at ? held : one(i));
    if (held && (at < from || at >= to)) lines.push(held);
    list.replaceChildren(...lines);
    if (held)
      held.contains(document.activeElement) || held.querySelector("a, button, input")?.focus();
    [first, last] = [from, to];
  }
  const one = i =>
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
  fill();
  addEventListener("scroll", fill, {passive: true});
  requestAnimationFrame(() => {
    first = Math.max(first, 0);
    fill();
  });
  return list;
}
