// Lengths as typed, and exactly: whole 320ths of a millimetre hold 1/64 in (127) and 1 mm (320). The rack reads the text itself.
export const INCH = 8128, MM = 320;
const PATTERN = /^(?:(\d+(?:\.\d+)?)')?\s*(?:(\d+(?:\.\d+)?)(?=\s|$|"))?\s*(?:(\d+)\/(\d+))?"?$/;
export function parse(text) {
  const t = String(text ?? "").trim();
  const metric = /^(\d+(?:\.\d+)?)\s*(mm|cm)$/.exec(t);
  if (metric) return Math.round(Number(metric[1]) * MM * (metric[2] === "cm" ? 10 : 1));
  const m = PATTERN.exec(t.replace(/(\d)-(\d)/, "$1 $2"));
  if (!t || !m || (m[4] !== undefined && Number(m[4]) === 0)) return null;
  const inches = Number(m[1] ?? 0) * 12 + Number(m[2] ?? 0) + (m[3] ? Number(m[3]) / Number(m[4]) : 0);
  return Math.round(inches * INCH);
}
export const inches = text => { const n = parse(text); return n === null ? null : n / INCH; };
export function fraction(value, finest = 16) {
  const n = Math.round(value * finest), sign = n < 0 ? "-" : "", whole = Math.floor(Math.abs(n) / finest);
  let top = Math.abs(n) % finest, bottom = finest;
  while (top && top % 2 === 0) { top /= 2; bottom /= 2; }
  return sign + (top ? (whole ? `${whole} ` : "") + `${top}/${bottom}` : String(whole));
}
