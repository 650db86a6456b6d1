// What is drawn anew keeps the focus where it was: whoever works by keyboard stays at their key.

/** By what an element is known again. @param {Element | null} e */
const nameOf = e =>
  e ? `${e.tagName} ${e.id || e.getAttribute("aria-label") || e.textContent?.trim()}` : "";

const CAN = "a[href], button, input, select, summary, [tabindex]";

/**
 * Draw into this element; what had the focus in it has it again, if it is still there.
 * @param {HTMLElement} root
 * @param {() => unknown} draw
 */
export function keepingFocus(root, draw) {
  const at = document.activeElement;
  const name = at && root.contains(at) ? nameOf(at) : "";
  draw();
  if (!name || root.contains(document.activeElement)) return;
  const again = [...root.querySelectorAll(CAN)].find(e => nameOf(e) === name);
  /** @type {HTMLElement | undefined} */ (again)?.focus({preventScroll: true});
}
