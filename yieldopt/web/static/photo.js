// A photo of a face, drawn straight under the marks. A cell of the board (`photo_a`, `photo_b`) names
// the photo and where on it the four corners lie: near and far edge at the datum end, far and near edge
// at the far end, as shares of its width and height.
import {change, get, wait} from "./store.js";
import {ask} from "./sync.js";
import {outline} from "./wood.js";

// Pixels: of a photo as kept, of the same while it is drawn straight, and of the straight picture.
const LONGEST = 1600,
  SAMPLED = 1100,
  STRAIGHT = [453, 744];
const KEPT = 6,
  QUALITY = 0.85,
  PATIENCE = 60000;
// A turn whose sine is less is nearly straight, and a pivot this small is none.
const STRAIGHT_ON = 0.02,
  NOTHING = 1e-12;

export const cellOf = face => `photo_${face.toLowerCase()}`;

/** The cell's photo and corners, or null. */
export function readFit(text) {
  const m = /^(\S+)((?: [01](?:\.\d+)?){8})$/.exec(text ?? "");
  if (!m) return null;
  const n = m[2].trim().split(" ").map(Number);
  return {name: m[1], corners: [0, 2, 4, 6].map(i => [n[i], n[i + 1]])};
}

export function writeFit(name, corners) {
  const shares = corners.flat().map(v => Number(Math.min(Math.max(v, 0), 1).toFixed(4)));
  return [name, ...shares].join(" ");
}

/**
 * The projective map that takes four points to four others, as [a b c d e f g h]:
 * x' = (ax + by + c) / (gx + hy + 1), y' = (dx + ey + f) / (gx + hy + 1) (Heckbert 1989, Fundamentals
 * of Texture Mapping and Image Warping, 2.2.3); null where there is none.
 */
export function projective(from, to) {
  const rows = from.flatMap(([x, y], i) => {
    const [u, v] = to[i];
    return [
      [x, y, 1, 0, 0, 0, -x * u, -y * u, u],
      [0, 0, 0, x, y, 1, -x * v, -y * v, v],
    ];
  });
  for (let c = 0; c < 8; c++) {
    let best = c;
    for (let r = c; r < 8; r++) if (Math.abs(rows[r][c]) > Math.abs(rows[best][c])) best = r;
    if (Math.abs(rows[best][c]) < NOTHING) return null;
    [rows[c], rows[best]] = [rows[best], rows[c]];
    for (let r = 0; r < 8; r++) {
      if (r === c) continue;
      const k = rows[r][c] / rows[c][c];
      for (let j = c; j < 9; j++) rows[r][j] -= k * rows[c][j];
    }
  }
  return rows.map((r, i) => r[8] / r[i]);
}

export function through([a, b, c, d, e, f, g, h], x, y) {
  const w = g * x + h * y + 1;
  return [(a * x + b * y + c) / w, (d * x + e * y + f) / w];
}

/** Whether four corners go round: every turn the same way, none nearly straight. */
export function goRound(p) {
  const turns = p.map(([x, y], i) => {
    const [a, b] = p[(i + 1) % 4],
      [c, d] = p[(i + 2) % 4],
      u = [a - x, b - y],
      v = [c - a, d - b];
    return (u[0] * v[1] - u[1] * v[0]) / (Math.hypot(...u) * Math.hypot(...v) || 1);
  });
  return turns.every(t => t > STRAIGHT_ON) || turns.every(t => t < -STRAIGHT_ON);
}

/**
 * The board's own corners as shares of its width (x, from `low` to `high`) and length (y); a board that
 * tapers has them elsewhere than its rectangle.
 */
export function ownCorners(board, low, high) {
  const rows = outline(board),
    share = y => (y - low) / (high - low);
  const [near, far] = rows[0].slice(1).map(share),
    [nearEnd, farEnd] = rows.at(-1).slice(1).map(share);
  return [
    [near, 0],
    [far, 0],
    [farEnd, 1],
    [nearEnd, 1],
  ];
}

/** The picture drawn straight, as RGBA of w by h; what lies outside the photo stays clear. */
export function straighten(photo, corners, own, w, h) {
  const map = projective(own, corners),
    out = new ImageData(w, h);
  const from = new Uint32Array(photo.data.buffer),
    to = new Uint32Array(out.data.buffer);
  if (!map) return out;
  for (let j = 0; j < h; j++) {
    for (let i = 0; i < w; i++) {
      const [u, v] = through(map, (i + 0.5) / w, (j + 0.5) / h);
      const x = Math.floor(u * photo.width),
        y = Math.floor(v * photo.height);
      const inside = x >= 0 && y >= 0 && x < photo.width && y < photo.height;
      if (inside) to[j * w + i] = from[y * photo.width + x];
    }
  }
  return out;
}

function onCanvas(bitmap, longest) {
  const k = Math.min(1, longest / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(bitmap.width * k));
  canvas.height = Math.max(1, Math.round(bitmap.height * k));
  const pen = canvas.getContext("2d", {willReadFrequently: true});
  pen.imageSmoothingQuality = "high";
  pen.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  return [canvas, pen];
}

/** A photo as taken, upright and no larger than is of use; place and time of it are left behind. */
export async function shrink(file) {
  const bitmap = await createImageBitmap(file).catch(() => null);
  if (!bitmap) throw new Error("this is not a picture that this phone can read");
  const [canvas] = onCanvas(bitmap, LONGEST);
  bitmap.close();
  return new Promise((yes, no) =>
    canvas.toBlob(
      b => (b ? yes(b) : no(new Error("the picture can't be kept"))),
      "image/jpeg",
      QUALITY,
    ),
  );
}

/** The photo's bytes: kept on this phone, else asked of the rack and kept then; null: neither has it. */
export async function bytes(board, name) {
  const here = await get("pictures", name),
    ref = board.photos?.find(p => p.name === name);
  if (here || !ref) return here?.blob ?? null;
  const r = await ask(`/api/photos/${ref.digest}`, {as: "blob", patience: PATIENCE});
  if (!r.ok) return null;
  await change(["pictures"], s => wait(s.pictures.put({name, board: board.id, blob: r.body})));
  return r.body;
}

const drawn = new Map();

/** An address of the face's picture drawn straight, or null. `fresh`: photos taken and not kept yet. */
export async function underlay(board, face, length, low, high, fresh) {
  const fit = readFit(board.cells[cellOf(face)]);
  if (!fit || !(length > 0) || !(high > low)) return null;
  const own = ownCorners(board, low, high),
    key = JSON.stringify([fit, own]);
  if (drawn.has(key)) return drawn.get(key);
  const blob = fresh[fit.name] ?? (await bytes(board, fit.name));
  const bitmap = blob && (await createImageBitmap(blob).catch(() => null));
  if (!bitmap) return null;
  const [canvas, pen] = onCanvas(bitmap, SAMPLED);
  const seen = pen.getImageData(0, 0, canvas.width, canvas.height);
  const picture = straighten(seen, fit.corners, own, ...STRAIGHT);
  bitmap.close();
  [canvas.width, canvas.height] = STRAIGHT;
  pen.putImageData(picture, 0, 0);
  const made = await new Promise(yes => canvas.toBlob(yes, "image/png"));
  if (drawn.size > KEPT) {
    const [oldest] = drawn.keys();
    URL.revokeObjectURL(drawn.get(oldest));
    drawn.delete(oldest);
  }
  drawn.set(key, URL.createObjectURL(made));
  return drawn.get(key);
}
