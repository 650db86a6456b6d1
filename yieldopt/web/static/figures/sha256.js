// SHA-256 (FIPS 180-4), since a page without HTTPS is not given the browser's own.

/** @param {number} n how many primes */
function primes(n) {
  /** @type {number[]} */
  const out = [];
  for (let i = 2; out.length < n; i++) if (out.every(p => i % p)) out.push(i);
  return out;
}

/** The first 32 bits of the fractional part of a root (4.2.2, 5.3.3). */
const bits = (/** @type {number} */ root) => Math.floor((root - Math.floor(root)) * 2 ** 32) | 0;
const K = primes(64).map(p => bits(Math.cbrt(p)));
const H = primes(8).map(p => bits(Math.sqrt(p)));
const BLOCK = 64,
  LENGTH = 8;

const turn = (/** @type {number} */ x, /** @type {number} */ n) => (x >>> n) | (x << (32 - n));

/**
 * The message, a single 1 bit, zeros, and its length in bits (5.1.1).
 * @param {Uint8Array} bytes
 */
function padded(bytes) {
  const size = Math.ceil((bytes.length + 1 + LENGTH) / BLOCK) * BLOCK,
    out = new DataView(new ArrayBuffer(size));
  new Uint8Array(out.buffer).set(bytes);
  out.setUint8(bytes.length, 0x80);
  out.setUint32(size - 8, Math.floor(bytes.length / 2 ** 29));
  out.setUint32(size - 4, bytes.length << 3);
  return out;
}

/**
 * The 64 words made of one block (6.2.2, step 1), into `w`.
 * @param {DataView} message
 * @param {number} at
 * @param {Int32Array} w
 */
function schedule(message, at, w) {
  for (let i = 0; i < 16; i++) w[i] = message.getInt32(at + 4 * i);
  for (let i = 16; i < 64; i++) {
    const a = w[i - 15],
      b = w[i - 2];
    const near = turn(a, 7) ^ turn(a, 18) ^ (a >>> 3),
      far = turn(b, 17) ^ turn(b, 19) ^ (b >>> 10);
    w[i] = (w[i - 16] + near + w[i - 7] + far) | 0;
  }
}

/**
 * @param {Uint8Array} bytes
 * @returns {string} in hexadecimal
 */
export function sha256(bytes) {
  const message = padded(bytes),
    hash = Int32Array.from(H),
    w = new Int32Array(64);
  for (let at = 0; at < message.byteLength; at += BLOCK) {
    schedule(message, at, w);
    let [a, b, c, d, e, f, g, h] = hash;
    for (let i = 0; i < 64; i++) {
      const chosen = (e & f) ^ (~e & g),
        most = (a & b) ^ (a & c) ^ (b & c);
      const one = (h + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + chosen + K[i] + w[i]) | 0;
      const two = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + most) | 0;
      [h, g, f, e, d, c, b, a] = [g, f, e, (d + one) | 0, c, b, a, (one + two) | 0];
    }
    [a, b, c, d, e, f, g, h].forEach((v, i) => {
      hash[i] = (hash[i] + v) | 0;
    });
  }
  return [...hash].map(v => (v >>> 0).toString(16).padStart(8, "0")).join("");
}
