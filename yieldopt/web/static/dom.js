// Elements without markup in strings: what a person typed can never become markup.
const SVG = "http://www.w3.org/2000/svg";
const DRAWN = new Set(["svg", "g", "rect", "line", "path", "text", "circle", "polygon", "polyline", "image", "pattern", "title"]);

/**
 * An element with its attributes (`on...`: listeners; true: present; false, null: left out).
 * @param {string} name
 * @param {Object<string, *>} props
 * @param {...*} kids elements, texts, lists of them; null, undefined and false are left out
 * @returns {HTMLElement | SVGElement}
 */
export function el(name, props = {}, ...kids) {
  const e = DRAWN.has(name) ? document.createElementNS(SVG, name) : document.createElement(name);
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

const there = kids => kids.flat(3).filter(k => k !== null && k !== undefined && k !== false);

/** Put these in place of what a room shows. */
export const show = (room, ...kids) => room.replaceChildren(...there(kids));

export const button = (text, act, more = {}) =>
  el("button", {type: "button", onclick: act, ...more}, text);

export const link = (text, hash, more = {}) => el("a", {class: "key", href: hash, ...more}, text);

/** Keys of which one is chosen. */
export const chips = (list, now, pick, word) =>
  el(
    "div",
    {class: "row", role: "group", "aria-label": word},
    list.map(s => button(s, () => pick(s), {"aria-pressed": String(now === s)})),
  );

/** A list to choose from; `options` are texts, or pairs of value and text. */
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

/** Words for the person, read out at once. */
export const alarm = text => (text ? el("p", {class: "say", role: "alert"}, text) : null);

/** `1 board`, `2 boards`. */
export const count = (n, one, many = `${one}s`) =>
  `${n.toLocaleString("en")} ${n === 1 ? one : many}`;

/** A random identity (RFC 9562, version 4); `crypto.randomUUID` wants HTTPS. */
export function uuid() {
  const b = crypto.getRandomValues(new Uint8Array(16));
  b[6] = (b[6] & 15) | 64;
  b[8] = (b[8] & 63) | 128;
  const h = [...b].map(x => x.toString(16).padStart(2, "0")).join("");
  return [h.slice(0, 8), h.slice(8, 12), h.slice(12, 16), h.slice(16, 20), h.slice(20)].join("-");
}
