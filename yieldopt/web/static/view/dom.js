// Elements without markup in strings: what a person typed can never become markup.

/** @typedef {Node | string | null | undefined | false | any[]} Kid left out where there is none */
/** @typedef {Event & {target: HTMLInputElement}} Typed */
/**
 * Attributes by name (true: present; false, null, undefined: left out), and listeners.
 * @typedef {object} Given
 * @property {(e: MouseEvent) => unknown} [onclick]
 * @property {(e: Typed) => unknown} [oninput]
 * @property {(e: Typed) => unknown} [onchange]
 * @property {(e: Event & {target: HTMLDetailsElement}) => unknown} [ontoggle]
 */
/** @typedef {Given & {[name: string]: any}} Props */

const SVG = "http://www.w3.org/2000/svg";

/**
 * @template {HTMLElement | SVGElement} E
 * @param {E} e
 * @param {Record<string, any>} props
 * @param {Kid[]} kids
 * @returns {E}
 */
function fit(e, props, kids) {
  for (const [k, v] of Object.entries(props)) {
    if (k.startsWith("on")) e.addEventListener(k.slice(2), v);
    // Set this way, since the page forbids styles in its markup.
    else if (k === "style") e.style.cssText = v;
    else if (v === true) e.setAttribute(k, "");
    else if (v !== false && v !== null && v !== undefined) e.setAttribute(k, v);
  }
  e.append(...there(kids));
  return e;
}

/**
 * An element of the page.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} name
 * @param {Props} props
 * @param {...Kid} kids
 */
export const el = (name, props = {}, ...kids) => fit(document.createElement(name), props, kids);

/**
 * An element of a drawing.
 * @template {keyof SVGElementTagNameMap} K
 * @param {K} name
 * @param {Record<string, any>} props
 * @param {...Kid} kids
 */
export const drawn = (name, props = {}, ...kids) =>
  fit(document.createElementNS(SVG, name), props, kids);

/**
 * Where a finger is, in the drawing's own measure.
 * @param {SVGSVGElement} svg
 * @param {PointerEvent} e
 */
export const onDrawing = (svg, e) =>
  new DOMPoint(e.clientX, e.clientY).matrixTransform(svg.getScreenCTM()?.inverse());

/**
 * @param {Kid[]} kids
 * @returns {(Node | string)[]}
 */
const there = kids => kids.flat(3).filter(k => k !== null && k !== undefined && k !== false);

/**
 * Put these in place of what a room shows.
 * @param {HTMLElement} room
 * @param {...Kid} kids
 */
export const show = (room, ...kids) => room.replaceChildren(...there(kids));

/**
 * @param {Kid} text
 * @param {() => unknown} act
 * @param {Props} more
 */
export const button = (text, act, more = {}) =>
  el("button", {type: "button", onclick: () => act(), ...more}, text);

/**
 * @param {string} text
 * @param {string} hash where it leads
 * @param {Props} more
 */
export const link = (text, hash, more = {}) => el("a", {class: "key", href: hash, ...more}, text);

/**
 * Keys of which one is chosen.
 * @param {string[]} list
 * @param {string | undefined} now
 * @param {(s: string) => unknown} pick
 * @param {string} word what they are about
 */
export const chips = (list, now, pick, word) =>
  el(
    "div",
    {class: "row", role: "group", "aria-label": word},
    list.map(s => button(s, () => pick(s), {"aria-pressed": String(now === s)})),
  );

/**
 * A list to choose from; `options` are texts, or pairs of value and text.
 * @param {string} word
 * @param {(string | [string | number, string])[]} options
 * @param {string | number | undefined} now
 * @param {(value: string) => unknown} pick
 * @param {Props} more
 */
export const choice = (word, options, now, pick, more = {}) =>
  el(
    "label",
    {},
    word,
    el(
      "select",
      {onchange: e => pick(e.target.value), ...more},
      options.map(o => {
        const [value, text] = Array.isArray(o) ? o : [o, o];
        return el("option", {value, selected: String(value) === String(now)}, text);
      }),
    ),
  );

/**
 * Words for the person, read out at once; nothing where there are none.
 * @param {string} text
 */
export const alarm = text => (text ? el("p", {class: "say", role: "alert"}, text) : null);

/**
 * A list of lines; nothing where there are none.
 * @template T
 * @param {T[] | null | undefined} things
 * @param {(thing: T) => Kid} line
 */
export const lines = (things, line) =>
  things?.length
    ? el(
        "ul",
        {},
        things.map(t => el("li", {}, line(t))),
      )
    : null;

/**
 * `1 board`, `2 boards`.
 * @param {number} n
 * @param {string} one
 */
export const count = (n, one, many = `${one}s`) =>
  `${n.toLocaleString("en")} ${n === 1 ? one : many}`;
