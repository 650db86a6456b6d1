// Measuring: the sizes on a stick, one keypad, the last answers kept. Nothing leaves the phone before "Chalk it".
import {button, el, uuid} from "./dom.js";
import {boardDrawing, extent} from "./drawing.js";
import {all, fact, get, keep} from "./store.js";
import {addPhoto, saveBoard} from "./sync.js";
import {fitting} from "./fitting.js";
import {pad} from "./pad.js";
import {bytes, cellOf, readFit, shrink, underlay, writeFit} from "./photo.js";
const CLASSES = ["4/4", "5/4", "6/4", "8/4"], WARP = ["bow", "cup", "crook", "twist"], TEXTS = [["price_bf", "Price a board foot", "decimal"], ["cost", "Price of this board", "decimal"], ["dealer", "Dealer", "text"], ["place", "Where it lies", "text"], ["moisture", "Moisture %", "decimal"], ["remarks", "Remarks", "text"]];
const KEPT = ["species", "quarters", "price_bf", "dealer", "place"];
const following = name => name.replace(/(\d+)(\D*)$/, (_, n, rest) => String(Number(n) + 1).padStart(n.length, "0") + rest);
export async function measure(room, id) {
  const kept = await fact("kept", {species: "", quarters: "4/4"}), known = await fact("species", []), old = id ? await get("boards", id) : null;
  const taken = new Set((await all("boards")).map(b => b.cells.board));
  let name = await fact("name", "B1"); while (taken.has(name)) name = following(name) === name ? `${name}2` : following(name);
  const board = old ? structuredClone(old) : {id: uuid(), cells: {...kept, board: name}, defects: [], edges: []};
  board.photos ??= [];
  const view = {face: "A", on: null, kind: await fact("kind", "knot"), photos: {}}, fresh = {};
  let field = "length", more = Boolean(old), drawing = null, edge = null, trouble = "";
  const c = board.cells, kinds = document.body.dataset.kinds.split(";");
  const flaw = () => board.defects[view.on];
  const FIELDS = () => ["length", "width", ...(more ? ["thickness", ...WARP] : [])];
  const value = () => field === "at" ? edge.x : field === "far" ? edge.far : field.startsWith("flaw.") ? flaw()?.[field.slice(5)] ?? "" : c[field] ?? "";
  const set = v => { if (field === "at") edge.x = v; else if (field === "far") edge.far = v; else if (field.startsWith("flaw.")) flaw()[field.slice(5)] = v; else if (v) c[field] = v; else delete c[field]; fill(); };
  async function save() {
    trouble = !c.species ? "Which species is it?" : !c.length ? "How long is it?" : !c.width && !board.edges.length ? "How wide is it?" : "";
    if (trouble) { draw(); return; }
    for (const k of Object.keys(c)) if (!c[k]) delete c[k];
    await saveBoard(board);
    for (const face of ["A", "B"]) { const n = readFit(c[cellOf(face)])?.name; if (fresh[n]) await addPhoto(board.id, n, fresh[n]); }
    await keep("kept", Object.fromEntries(KEPT.filter(k => c[k]).map(k => [k, c[k]]))); await keep("name", old ? name : following(c.board)); await keep("kind", view.kind);
    await keep("species", [c.species, ...known.filter(s => s !== c.species)].slice(0, 8));
    if (old) location.hash = "#/rack"; else { await measure(room); room.querySelector("[data-field=length]")?.focus(); }
  }
  const next = () => {
    if (field === "at") field = "far"; else if (field === "far") { if (edge.x && edge.far) board.edges.push({x: edge.x, near: "0", far: edge.far}); edge = {x: "", far: ""}; field = "at"; }
    else if (field.startsWith("flaw.")) { const o = ["x", "y", "length", "width"]; field = "flaw." + o[(o.indexOf(field.slice(5)) + 1) % 4]; }
    else { const o = FIELDS(); field = o[(o.indexOf(field) + 1) % o.length]; }
    draw();
  };
  const slot = (k, word, v) => button([v || "–", el("small", {}, word)], () => { field = k; draw(); }, {"data-field": k, "aria-pressed": String(field === k)});
  function fill() { for (const b of room.querySelectorAll("[data-field]")) { const k = b.dataset.field; b.firstChild.textContent = (k === "at" ? edge?.x : k === "far" ? edge?.far : k.startsWith("flaw.") ? flaw()?.[k.slice(5)] : c[k]) || "–"; } drawing?.draw(); }
  function chips(list, now, pick, word) { return el("div", {class: "row", role: "group", "aria-label": word}, list.map(s => button(s, () => pick(s), {"aria-pressed": String(now === s)}))); }
  async function fit(name, blob, corners = []) {
    const leave = () => { view.fit = null; draw(); };
    view.fit = await fitting(blob, view.face, corners, async p => { c[cellOf(view.face)] = writeFit(name, p); view.bare = false; await lay(); leave(); }, leave);
    draw();
  }
  async function lay() { const {length, width} = extent(board); for (const face of ["A", "B"]) view.photos[face] = await underlay(board, face, length, width, fresh); }
  async function again(name, corners) { const blob = fresh[name] ?? await bytes(board, name); if (blob) await fit(name, blob, corners); else { trouble = "The photo is in the rack, which is out of reach."; draw(); } }
  async function takePhoto(e) {
    const file = e.target.files[0];
    if (!file) return;
    trouble = "";
    const name = `face-${view.face.toLowerCase()}-${uuid().slice(0, 8)}.jpg`;
    try { fresh[name] = await shrink(file); await fit(name, fresh[name]); } catch (x) { trouble = `Not taken: ${x.message}.`; draw(); }
  }
  function photoKeys() {
    const now = readFit(c[cellOf(view.face)]), named = ["A", "B"].map(f => readFit(c[cellOf(f)])?.name), loose = board.photos.filter(p => !named.includes(p.name));
    return el("section", {}, el("h2", {}, `Photo of face ${view.face}`), now && el("div", {class: "row"}, button("Under the drawing", () => { view.bare = !view.bare; draw(); }, {"aria-pressed": String(!view.bare)}), button("Fit again", () => again(now.name, now.corners)), button("Without it", () => { delete c[cellOf(view.face)]; view.photos[view.face] = null; draw(); })),
      loose.length ? el("div", {class: "row"}, loose.map((p, i) => button(`Fit photo ${i + 1}`, () => again(p.name), {title: p.name}))) : null,
      el("label", {}, now ? "Another photo" : "Take or choose a photo", el("input", {type: "file", id: "photo", accept: "image/*", onchange: takePhoto})));
  }
  function wood() {
    if (view.fit) return view.fit;
    drawing = boardDrawing(board, view, moving => moving ? fill() : draw());
    const f = flaw();
    const faces = chips(["A", "B"], view.face, s => { view.face = s; draw(); }, "Face");
    const add = button("Add a mark", () => { board.defects.push({kind: view.kind, face: view.face, x: "1", y: "0", length: "1", width: "1"}); view.on = board.defects.length - 1; draw(); });
    faces.append(add);
    return [el("h2", {}, "Marks: tap or drag on the wood"), faces, drawing.svg, f && el("div", {class: "stick two"}, ["x", "y", "length", "width"].map(k => slot("flaw." + k, {x: "from datum", y: "from near edge", length: "long", width: "wide"}[k], f[k]))), f && el("div", {class: "row"}, button("Through", () => { f.face = f.face === "both" ? view.face : "both"; draw(); }, {"aria-pressed": String(f.face === "both")}), button("Rub out", () => { board.defects.splice(view.on, 1); view.on = null; field = "length"; draw(); })),
      f && chips(kinds, f.kind, k => { f.kind = view.kind = k; draw(); }, "Kind of defect"), f && field.startsWith("flaw.") && pad(value, set, next, "Next"),
      el("div", {class: "row"}, el("button", {type: "button", class: "main wide", onclick: save}, "Chalk it"), button("Sizes", () => { view.open = false; field = "length"; draw(); })), photoKeys()];
  }
  function sizes() {
    const input = (k, word, mode) => { const i = el("input", {id: `in-${k}`, inputmode: mode, value: c[k] ?? "", oninput: e => { c[k] = e.target.value; }}); return el("label", {}, word, i); };
    return [el("div", {class: "row"}, el("div", {class: "wide"}, input("board", "Name chalked on it", "text"))),
      known.length ? chips(known, c.species, s => { c.species = s; draw(); }, "Species") : null,
      !known.length || more ? input("species", "Species", "text") : null,
      chips([...new Set([...CLASSES, c.quarters].filter(Boolean))], c.quarters, q => { c.quarters = q; draw(); }, "Quarters"),
      el("div", {class: "stick"}, FIELDS().map(k => slot(k, k, c[k]))),
      pad(value, set, next, field === "at" ? "Width there" : "Next", /mm$/.test(c.length ?? "") && !value()),
      el("div", {class: "row"}, el("button", {type: "button", class: "main wide", onclick: save}, "Chalk it"), button(`Marks (${board.defects.length})`, async () => { view.open = true; await lay(); draw(); }), button(more ? "Less" : "More", () => { more = !more; if (!more) field = "length"; draw(); }, {"aria-expanded": String(more)})),
      more && [el("h2", {}, "Width at several points"), board.edges.map((e, i) => el("div", {class: "row"}, el("span", {class: "wide"}, `${e.far} wide at ${e.x}`), button("Rub out", () => { board.edges.splice(i, 1); draw(); }, {"aria-label": `Rub out the width at ${e.x}`}))),
        el("div", {class: "stick"}, slot("at", "at", edge?.x), slot("far", "wide there", edge?.far)), el("h2", {}, "Sawing and stress"),
        chips(["flat", "rift", "quarter"], c.sawn, s => { c.sawn = c.sawn === s ? "" : s; draw(); }, "Sawn"), chips(["tested", "unknown", "no resaw"], c.stress ?? "unknown", s => { c.stress = s; draw(); }, "Stress"),
        chips(["none", "datum", "far", "both"], c.sound_ends ?? "none", s => { c.sound_ends = s; draw(); }, "Sound ends"), TEXTS.map(t => input(...t))]];
  }
  function draw() {
    edge ??= {x: "", far: ""}; drawing = null;
    const focus = document.activeElement?.dataset?.field;
    room.replaceChildren(...[el("h1", {}, old ? `Correct ${c.board}` : view.fit ? `${c.board}: photo of face ${view.face}` : view.open ? `${c.board}: marks` : "Measure a board"), trouble && el("p", {class: "say", role: "alert"}, trouble), ...(view.open ? wood() : sizes())].flat(3).filter(Boolean));
    if (focus) room.querySelector(`[data-field="${focus}"]`)?.focus({preventScroll: true});
  }
  draw();
}
