// SHA-256 (FIPS 180-4), since a page without HTTPS is not given the browser's own.
const primes = n => { const out = []; for (let i = 2; out.length < n; i++) if (out.every(p => i % p)) out.push(i); return out; };
const part = root => { const f = root - Math.floor(root); return Math.floor(f * 2 ** 32) | 0; };
const K = primes(64).map(p => part(Math.cbrt(p))), H = primes(8).map(p => part(Math.sqrt(p)));
const turn = (x, n) => x >>> n | x << 32 - n;
export function sha256(bytes) {
  const length = bytes.length, padded = new Uint8Array(Math.ceil((length + 9) / 64) * 64), view = new DataView(padded.buffer);
  padded.set(bytes); padded[length] = 0x80;
  view.setUint32(padded.length - 8, Math.floor(length / 2 ** 29)); view.setUint32(padded.length - 4, length << 3);
  const h = Int32Array.from(H), w = new Int32Array(64);
  for (let at = 0; at < padded.length; at += 64) {
    for (let i = 0; i < 16; i++) w[i] = view.getInt32(at + 4 * i);
    for (let i = 16; i < 64; i++) { const a = w[i - 15], b = w[i - 2]; w[i] = w[i - 16] + (turn(a, 7) ^ turn(a, 18) ^ a >>> 3) + w[i - 7] + (turn(b, 17) ^ turn(b, 19) ^ b >>> 10) | 0; }
    let [a, b, c, d, e, f, g, k] = h;
    for (let i = 0; i < 64; i++) {
      const one = k + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + (e & f ^ ~e & g) + K[i] + w[i] | 0, two = (turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + (a & b ^ a & c ^ b & c) | 0;
      [k, g, f, e, d, c, b, a] = [g, f, e, d + one | 0, c, b, a, one + two | 0];
    }
    [a, b, c, d, e, f, g, k].forEach((v, i) => { h[i] = h[i] + v | 0; });
  }
  return [...h].map(v => (v >>> 0).toString(16).padStart(8, "0")).join("");
}
