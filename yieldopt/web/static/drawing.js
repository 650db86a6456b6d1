// A board stood on its datum end, wider than it is so that a finger can work: length down the screen, width across. Face B is seen
// through the board, so marks keep their place. Tap puts a mark, a drag on the wood draws one, its grip sizes it, keys move it.
import {el} from "./dom.js";
import {fraction, inches} from "./lengths.js";
const W = 360, H = 520, LEFT = 46, TOP = 12, STEP = 0.25;
const snap = v => Math.round(v / STEP) * STEP;
export const THROUGH = ["pith", "split", "wane"];
export const extent = board => ({length: inches(board.cells.length) ?? 96, width: inches(board.cells.width) ?? Math.max(8, ...board.edges.map(e => inches(e.far) ?? 0))});
export function boardDrawing(board, view, changed) {
  const {length, width} = extent(board);
  const kx = (W - LEFT - 12) / width, ky = (H - 2 * TOP) / length;
  const svg = el("svg", {class: "board", viewBox: `0 0 ${W} ${H}`, role: "group", "aria-label": `Face ${view.face}, datum end at the top`});
  const pos = e => { const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(svg.getScreenCTM().inverse()); return {x: (p.y - TOP) / ky, y: (p.x - LEFT) / kx}; };
  const clamp = d => { const l = Math.min(Math.max(d.length, STEP), length), w = Math.min(Math.max(d.width, STEP), width);
    return {length: l, width: w, x: Math.min(Math.max(d.x, 0), length - l), y: Math.min(Math.max(d.y, 0), width - w)}; };
  const read = f => ({x: inches(f.x), y: inches(f.y), length: inches(f.length), width: inches(f.width)});
  const write = (f, d) => Object.entries(clamp(d)).forEach(([k, v]) => { f[k] = fraction(v, 16); });
  const here = f => f.face === "both" || !f.face || f.face === view.face || THROUGH.includes(f.kind);
  let drag = null;
  function draw() {
    const points = board.edges.length ? board.edges.map(e => [inches(e.x), inches(e.near), inches(e.far)]) : [[0, 0, width], [length, 0, width]];
    const outline = [[0, ...points[0].slice(1)], ...points, [length, ...points.at(-1).slice(1)]];
    const at = (x, y) => `${LEFT + y * kx},${TOP + x * ky}`;
    svg.replaceChildren(el("polygon", {class: "wood", points: [...outline.map(p => at(p[0], p[1])), ...outline.map(p => at(p[0], p[2])).reverse()].join(" ")}));
    const photo = view.bare ? null : view.photos?.[view.face];
    if (photo) svg.append(el("image", {class: "under", href: photo, x: LEFT, y: TOP, width: width * kx, height: length * ky, preserveAspectRatio: "none"}));
    const every = length > 60 ? 12 : 6;
    for (let x = 0; x <= length; x += every) svg.append(el("line", {class: "tick", x1: LEFT - 12, x2: LEFT - 2, y1: TOP + x * ky, y2: TOP + x * ky}), el("text", {x: 4, y: TOP + x * ky + 5}, String(x)));
    board.defects.forEach((f, i) => {
      const d = read(f), on = i === view.on;
      const g = el("g", {tabindex: 0, role: "button", "data-flaw": i, "aria-label": `${f.kind}, ${f.x} from the datum end, ${f.y} from the near edge, ${f.length} long, ${f.width} wide`, "aria-pressed": String(on)});
      g.append(el("rect", {class: `flaw${here(f) ? "" : " other"}${on ? " on" : ""}`, x: LEFT + d.y * kx, y: TOP + d.x * ky, width: d.width * kx, height: Math.max(3, d.length * ky)}));
      g.append(el("rect", {x: LEFT + d.y * kx - 12, y: TOP + d.x * ky - 12, width: d.width * kx + 24, height: d.length * ky + 24, fill: "transparent"}));
      if (on) g.append(el("circle", {class: "grip", "data-grip": i, r: 15, cx: LEFT + (d.y + d.width) * kx + 8, cy: TOP + (d.x + d.length) * ky + 8}));
      g.addEventListener("keydown", e => key(e, i));
      svg.append(g);
    });
    if (drag?.fresh) { const d = clamp(drag.now); svg.append(el("rect", {class: "flaw on", x: LEFT + d.y * kx, y: TOP + d.x * ky, width: d.width * kx, height: d.length * ky})); }
  }
  function key(e, i) {
    const f = board.defects[i], d = read(f), way = {ArrowDown: [1, 0], ArrowUp: [-1, 0], ArrowRight: [0, 1], ArrowLeft: [0, -1]}[e.key];
    if (way) { const k = e.shiftKey ? ["length", "width"] : ["x", "y"]; d[k[0]] += way[0] * STEP; d[k[1]] += way[1] * STEP; write(f, d); view.on = i; }
    else if (e.key === "Delete") { board.defects.splice(i, 1); view.on = null; } else if (e.key === "Enter" || e.key === " ") view.on = i; else return;
    e.preventDefault(); changed(); draw(); svg.querySelector(`[data-flaw="${i}"]`)?.focus();
  }
  svg.addEventListener("pointerdown", e => {
    svg.setPointerCapture(e.pointerId);
    const p = pos(e), grip = e.target.dataset?.grip, flaw = e.target.closest?.("[data-flaw]")?.dataset.flaw;
    const i = grip ?? flaw;
    if (i !== undefined) { view.on = Number(i); drag = {grip: grip !== undefined, from: p, was: read(board.defects[i])}; } else drag = {fresh: true, from: p, now: {x: snap(p.x), y: snap(p.y), length: 0, width: 0}, moved: false};
    e.preventDefault();
  });
  svg.addEventListener("pointermove", e => {
    if (!drag) return;
    const p = pos(e), dx = p.x - drag.from.x, dy = p.y - drag.from.y;
    if (Math.abs(dx * ky) + Math.abs(dy * kx) > 8) drag.moved = true;
    if (!drag.moved) return;
    if (drag.fresh) drag.now = {x: snap(Math.min(p.x, drag.from.x)), y: snap(Math.min(p.y, drag.from.y)), length: snap(Math.abs(dx)), width: snap(Math.abs(dy))};
    else { const w = drag.was, f = board.defects[view.on]; write(f, drag.grip ? {...w, length: snap(w.length + dx), width: snap(w.width + dy)} : {...w, x: snap(w.x + dx), y: snap(w.y + dy)}); }
    changed(true); draw();
  });
  const lift = () => {
    if (!drag) return;
    if (drag.fresh) {
      const f = {kind: view.kind, face: view.face}, p = drag.from, d = drag.now;
      write(f, drag.moved ? d : {x: snap(p.x - 0.5), y: snap(p.y - 0.5), length: 1, width: 1});
      board.defects.push(f); view.on = board.defects.length - 1;
    }
    drag = null; changed(); draw();
  };
  svg.addEventListener("pointerup", lift); svg.addEventListener("pointercancel", () => { drag = null; draw(); });
  draw();
  return {svg, draw};
}
