// Where the four corners of a board's face lie on a photo. A cell of the board (`photo_a`,
// `photo_b`) names the photo and the corners: near and far edge at the datum end, far and near edge
// at the far end, as shares of its width and height.
import {outline} from "./wood.js";

/** @import {Version} from "./valid.js" */
/** @typedef {[number, number]} Point */

// A turn whose sine is less is nearly straight, and a pivot this small is none.
const STRAIGHT_ON = 0.02,
  NOTHING = 1e-12;

/** The cell of a face. */
export const cellOf = (/** @type {string} */ face) => `photo_${face.toLowerCase()}`;

/**
 * The cell's photo and corners, or null.
 * @param {string | undefined} text
 * @returns {{name: string, corners: Point[]} | null}
 */
export function readFit(text) {
  const m = /^(\S+)((?: [01](?:\.\d+)?){8})$/.exec(text ?? "");
  if (!m) return null;
  const n = m[2].trim().split(" ").map(Number);
  return {name: m[1], corners: [0, 2, 4, 6].map(i => point(n[i], n[i + 1]))};
}

/**
 * @param {number} x
 * @param {number} y
 * @returns {Point}
 */
const point = (x, y) => [x, y];

/**
 * @param {string} name
 * @param {Point[]} corners
 */
export function writeFit(name, corners) {
  const shares = corners.flat().map(v => Number(Math.min(Math.max(v, 0), 1).toFixed(4)));
  return [name, ...shares].join(" ");
}

/**
 * The projective map that takes four points to four others, as [a b c d e f g h]:
 * x' = (ax + by + c) / (gx + hy + 1), y' = (dx + ey + f) / (gx + hy + 1) (Heckbert 1989,
 * Fundamentals of Texture Mapping and Image Warping, 2.2.3); null where there is none.
 * @param {Point[]} from
 * @param {Point[]} to
 * @returns {number[] | null}
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

/**
 * Where a point goes by such a map.
 * @param {number[]} map
 * @param {number} x
 * @param {number} y
 * @returns {Point}
 */
export function through([a, b, c, d, e, f, g, h], x, y) {
  const w = g * x + h * y + 1;
  return [(a * x + b * y + c) / w, (d * x + e * y + f) / w];
}

/**
 * Whether four corners go round: every turn the same way, none nearly straight.
 * @param {Point[]} p
 */
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
 * The board's own corners as shares of its width (x, from `low` to `high`) and length (y); a board
 * that tapers has them elsewhere than its rectangle.
 * @param {Version} board
 * @param {number} low
 * @param {number} high
 * @returns {Point[]}
 */
export function ownCorners(board, low, high) {
  const rows = outline(board),
    [, near, far] = rows[0],
    [, nearEnd, farEnd] = rows[rows.length - 1];
  const share = (/** @type {number} */ y) => (y - low) / (high - low);
  return [
    [share(near), 0],
    [share(far), 0],
    [share(farEnd), 1],
    [share(nearEnd), 1],
  ];
}
