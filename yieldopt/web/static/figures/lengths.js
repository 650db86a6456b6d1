// Lengths as typed, and exactly: whole 320ths of a millimetre hold 1/64 in (127 of them) and 1 mm
// (320). The rack reads the text itself; here a length is read to draw it and to count board feet.
export const INCH = 8128,
  MM = 320;

const METRIC = /^(\d+(?:\.\d+)?)\s*(mm|cm)$/;
const FEET_AND_INCHES =
  /^(?:(\d+(?:\.\d+)?)')?\s*(?:(\d+(?:\.\d+)?)(?=\s|$|"))?\s*(?:(\d+)\/(\d+))?"?$/;

/**
 * A length as a person types it, such as `7 3/8`, `8' 2`, `-1/4` or `190mm`.
 * @param {string | undefined | null} text
 * @returns {number | null} whole 320ths of a millimetre; null where it is no length
 */
export function parse(text) {
  const typed = String(text ?? "")
    .trim()
    .replace(/^[\u2212\u2013]/, "-");
  // A near edge may lie below the line snapped along a board that wanders.
  const below = typed.startsWith("-");
  const size = below ? unsigned(typed.slice(1).trim()) : unsigned(typed);
  return size === null ? null : below && size ? -size : size;
}

/** @param {string} text */
function unsigned(text) {
  const metric = METRIC.exec(text);
  if (metric) return Math.round(Number(metric[1]) * MM * (metric[2] === "cm" ? 10 : 1));
  const m = FEET_AND_INCHES.exec(text.replace(/(\d)-(\d)/, "$1 $2"));
  if (!text || !m || (m[4] !== undefined && Number(m[4]) === 0)) return null;
  const part = m[3] ? Number(m[3]) / Number(m[4]) : 0;
  return Math.round((Number(m[1] ?? 0) * 12 + Number(m[2] ?? 0) + part) * INCH);
}

/**
 * The same in inches.
 * @param {string | undefined | null} text
 */
export function inches(text) {
  const size = parse(text);
  return size === null ? null : size / INCH;
}

/**
 * Inches as the tape shows them, to the nearest 1/`finest`: `7 3/8`, `-1/4`.
 * @param {number} value
 */
export function fraction(value, finest = 16) {
  const n = Math.round(value * finest),
    whole = Math.floor(Math.abs(n) / finest);
  let top = Math.abs(n) % finest,
    bottom = finest;
  while (top && top % 2 === 0) {
    top /= 2;
    bottom /= 2;
  }
  const rest = top ? `${whole ? `${whole} ` : ""}${top}/${bottom}` : String(whole);
  return (n < 0 ? "-" : "") + rest;
}
