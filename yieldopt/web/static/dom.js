// Elements without markup in strings: what a person typed can never become markup.
const SVG = "http://www.w3.org/2000/svg";
export function el(name, props = {}, ...kids) {
  const svg = ["svg", "g", "rect", "line", "path", "text", "circle", "polygon", "image"].includes(name);
  const e = svg ? document.createElementNS(SVG, name) : document.createElement(name);
  for (const [k, v] of Object.entries(props)) {
    if (k.startsWith("on")) e.addEventListener(k.slice(2), v);
    else if (v === true) e.setAttribute(k, "");
    else if (v !== false && v !== null && v !== undefined) e.setAttribute(k, v);
  }
  e.append(...kids.flat().filter(k => k !== null && k !== undefined && k !== false));
  return e;
}
export const button = (text, act, more = {}) => el("button", {type: "button", onclick: act, ...more}, text);
export const uuid = () => { const b = crypto.getRandomValues(new Uint8Array(16)); b[6] = b[6] & 15 | 64; b[8] = b[8] & 63 | 128;
  const h = [...b].map(x => x.toString(16).padStart(2, "0")).join(""); return `${h.slice(0, 8)}-${h.slice(8, 12)}-${h.slice(12, 16)}-${h.slice(16, 20)}-${h.slice(20)}`; };
