// A photo of a face, made small enough to keep, and drawn straight under the marks.
import {cellOf, ownCorners, projective, readFit, through} from "../figures/corners.js";
import {bytes} from "../state/pictures.js";

/** @import {Point} from "../figures/corners.js" */
/** @import {Board} from "../figures/valid.js" */

// Pixels: of a photo as kept, of the same while it is drawn straight, and of the straight picture.
const LONGEST = 1600,
  SAMPLED = 1100,
  STRAIGHT = {width: 453, height: 744};
const KEPT = 6,
  QUALITY = 0.85;

/**
 * The picture drawn straight, as RGBA of w by h; what lies outside the photo stays clear.
 * @param {ImageData} photo
 * @param {Point[]} corners
 * @param {Point[]} own the board's own corners
 * @param {number} w
 * @param {number} h
 */
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

/**
 * @param {ImageBitmap} bitmap
 * @param {number} longest pixels of its longer side at most
 * @returns {[HTMLCanvasElement, CanvasRenderingContext2D]}
 */
function onCanvas(bitmap, longest) {
  const k = Math.min(1, longest / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(bitmap.width * k));
  canvas.height = Math.max(1, Math.round(bitmap.height * k));
  const pen = canvas.getContext("2d", {willReadFrequently: true});
  if (!pen) throw new Error("this phone draws no pictures");
  pen.imageSmoothingQuality = "high";
  pen.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  return [canvas, pen];
}

/**
 * A photo as taken, upright and no larger than is of use; place and time of it are left behind.
 * @param {Blob} file
 * @returns {Promise<Blob>}
 */
export async function shrink(file) {
  const bitmap = await createImageBitmap(file).catch(() => null);
  if (!bitmap) throw new Error("this is not a picture that this phone can read");
  const [canvas] = onCanvas(bitmap, LONGEST);
  bitmap.close();
  return asBlob(canvas, "image/jpeg");
}

/**
 * @param {HTMLCanvasElement} canvas
 * @param {string} type
 * @returns {Promise<Blob>}
 */
function asBlob(canvas, type) {
  const lost = new Error("the picture can't be kept");
  return new Promise((yes, no) => canvas.toBlob(b => (b ? yes(b) : no(lost)), type, QUALITY));
}

/**
 * Addresses of pictures drawn straight, the oldest first.
 * @type {Map<string, string>}
 */
const made = new Map();

/**
 * An address of the face's picture drawn straight, or null.
 * @param {Board} board
 * @param {string} face
 * @param {{length: number, low: number, high: number}} extent
 * @param {Record<string, Blob>} fresh photos taken and not kept yet
 */
export async function underlay(board, face, {length, low, high}, fresh) {
  const fit = readFit(board.cells[cellOf(face)]);
  if (!fit || !(length > 0) || !(high > low)) return null;
  const own = ownCorners(board, low, high),
    key = JSON.stringify([fit, own]);
  const known = made.get(key);
  if (known) return known;
  const blob = fresh[fit.name] ?? (await bytes(board, fit.name));
  const bitmap = blob && (await createImageBitmap(blob).catch(() => null));
  if (!bitmap) return null;
  const [canvas, pen] = onCanvas(bitmap, SAMPLED);
  const seen = pen.getImageData(0, 0, canvas.width, canvas.height);
  const picture = straighten(seen, fit.corners, own, STRAIGHT.width, STRAIGHT.height);
  bitmap.close();
  Object.assign(canvas, STRAIGHT);
  pen.putImageData(picture, 0, 0);
  const address = URL.createObjectURL(await asBlob(canvas, "image/png"));
  made.set(key, address);
  dropOldest();
  return address;
}

function dropOldest() {
  if (made.size <= KEPT + 1) return;
  const [[key, address]] = made;
  URL.revokeObjectURL(address);
  made.delete(key);
}
