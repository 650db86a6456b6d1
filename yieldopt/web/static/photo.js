// A photo of a face, drawn straight under the marks. A cell of the board (`photo_a`, `photo_b`) names the photo and where on it the
// four corners lie: near and far edge at the datum end, far and near edge at the far end, as shares of its width and height.
import {change, get, wait} from "./store.js";
import {ask} from "./sync.js";
import {inches} from "./lengths.js";
const LONGEST = 1600, SAMPLED = 1100;
export const cellOf = face => `photo_${face.toLowerCase()}`;
export function readFit(text) {
  const m = /^(\S+)((?: [01](?:\.\d+)?){8})$/.exec(text ?? "");
  if (!m) return null;
  const n = m[2].trim().split(" ").map(Number);
  return {name: m[1], corners: [0, 2, 4, 6].map(i => [n[i], n[i + 1]])};
}
export const writeFit = (name, corners) => [name, ...corners.flat().map(v => String(Number(Math.min(Math.max(v, 0), 1).toFixed(4))))].join(" ");
// The projective map that takes four points to four others, as [a b c d e f g h]: x' = (ax + by + c) / (gx + hy + 1), y' = (dx + ey + f) /
// (gx + hy + 1) (Heckbert 1989, Fundamentals of Texture Mapping, 2.2.3); null where there is none.
export function projective(from, to) {
  const rows = from.flatMap(([x, y], i) => { const [u, v] = to[i]; return [[x, y, 1, 0, 0, 0, -x * u, -y * u, u], [0, 0, 0, x, y, 1, -x * v, -y * v, v]]; });
  for (let c = 0; c < 8; c++) {
    const best = rows.slice(c).reduce((b, r, i) => Math.abs(r[c]) > Math.abs(rows[b][c]) ? c + i : b, c);
    if (Math.abs(rows[best][c]) < 1e-12) return null;
    [rows[c], rows[best]] = [rows[best], rows[c]];
    for (let r = 0; r < 8; r++) if (r !== c) { const k = rows[r][c] / rows[c][c]; for (let j = c; j < 9; j++) rows[r][j] -= k * rows[c][j]; }
  }
  return rows.map((r, i) => r[8] / r[i]);
}
export const through = ([a, b, c, d, e, f, g, h], x, y) => { const w = g * x + h * y + 1; return [(a * x + b * y + c) / w, (d * x + e * y + f) / w]; };
// Whether four corners go round: every turn the same way, none nearly straight.
export function goRound(p) {
  const turns = p.map(([x, y], i) => { const [a, b] = p[(i + 1) % 4], [c, d] = p[(i + 2) % 4], u = [a - x, b - y], v = [c - a, d - b]; return (u[0] * v[1] - u[1] * v[0]) / (Math.hypot(...u) * Math.hypot(...v) || 1); });
  return turns.every(t => t > 0.02) || turns.every(t => t < -0.02);
}
// The board's own corners, as shares of its width (x) and length (y); a board that tapers has them elsewhere than its rectangle.
export function ownCorners(board, length, width) {
  const e = board.edges, ends = e.length ? [e[0], e.at(-1)].map(p => [inches(p.near) / width, inches(p.far) / width]) : [[0, 1], [0, 1]];
  return [[ends[0][0], 0], [ends[0][1], 0], [ends[1][1], 1], [ends[1][0], 1]];
}
// The picture drawn straight, as RGBA of w by h; what lies outside the photo stays clear.
export function straighten(photo, corners, own, w, h) {
  const map = projective(own, corners), out = new ImageData(w, h), from = new Uint32Array(photo.data.buffer), to = new Uint32Array(out.data.buffer);
  if (!map) return out;
  for (let j = 0; j < h; j++) for (let i = 0; i < w; i++) {
    const [u, v] = through(map, (i + 0.5) / w, (j + 0.5) / h), x = Math.floor(u * photo.width), y = Math.floor(v * photo.height);
    if (x >= 0 && y >= 0 && x < photo.width && y < photo.height) to[j * w + i] = from[y * photo.width + x];
  }
  return out;
}
function onCanvas(bitmap, longest) {
  const k = Math.min(1, longest / Math.max(bitmap.width, bitmap.height)), c = document.createElement("canvas");
  c.width = Math.max(1, Math.round(bitmap.width * k)); c.height = Math.max(1, Math.round(bitmap.height * k));
  const pen = c.getContext("2d", {willReadFrequently: true}); pen.imageSmoothingQuality = "high"; pen.drawImage(bitmap, 0, 0, c.width, c.height);
  return [c, pen];
}
// A photo as taken, upright and no larger than is of use; the place where it was taken goes with the rest of its particulars.
export async function shrink(file) {
  const bitmap = await createImageBitmap(file).catch(() => null);
  if (!bitmap) throw new Error("this is no picture that this phone can read");
  const [canvas] = onCanvas(bitmap, LONGEST);
  bitmap.close();
  return new Promise((yes, no) => canvas.toBlob(b => b ? yes(b) : no(new Error("the picture can't be kept")), "image/jpeg", 0.85));
}
// The photo's bytes: kept on this phone, else asked of the rack and kept then; null where neither has it.
export async function bytes(board, name) {
  const here = await get("pictures", name), ref = board.photos?.find(p => p.name === name);
  if (here || !ref) return here?.blob ?? null;
  const r = await ask(`/api/photos/${ref.digest}`, {as: "blob", patience: 60000});
  if (!r.ok) return null;
  await change(["pictures"], s => wait(s.pictures.put({name, board: board.id, blob: r.body})));
  return r.body;
}
const drawn = new Map();
// An address of the face's picture drawn straight, or null.
export async function underlay(board, face, length, width, fresh) {
  const fit = readFit(board.cells[cellOf(face)]);
  if (!fit || !(length > 0) || !(width > 0)) return null;
  const own = ownCorners(board, length, width), key = JSON.stringify([fit, own]);
  if (drawn.has(key)) return drawn.get(key);
  const blob = fresh[fit.name] ?? await bytes(board, fit.name), bitmap = blob && await createImageBitmap(blob).catch(() => null);
  if (!bitmap) return null;
  const [c, pen] = onCanvas(bitmap, SAMPLED), picture = straighten(pen.getImageData(0, 0, c.width, c.height), fit.corners, own, 453, 744);
  bitmap.close(); c.width = picture.width; c.height = picture.height; pen.putImageData(picture, 0, 0);
  const address = URL.createObjectURL(await new Promise(yes => c.toBlob(yes, "image/png")));
  if (drawn.size > 6) { const [old] = drawn.keys(); URL.revokeObjectURL(drawn.get(old)); drawn.delete(old); }
  drawn.set(key, address);
  return address;
}
