// The code on a board's label, photographed: read here where the phone can, else on the machine.
import {ask} from "../state/reach.js";
import {el} from "./dom.js";

/** @import {Typed} from "./dom.js" */

const PATIENCE = 40000;
/**
 * The last answer about a board, for its view.
 * @type {Map<string, any>}
 */
export const lately = new Map();

/**
 * What a code in a picture says, or null where this phone reads none.
 * @param {Blob} file
 * @returns {Promise<string | null>}
 */
export async function readHere(file) {
  const Detector = /** @type {any} */ (window).BarcodeDetector;
  if (!Detector) return null;
  const picture = await createImageBitmap(file).catch(() => null);
  if (!picture) return null;
  const detector = new Detector({formats: ["qr_code"]});
  const codes = await detector.detect(picture).catch(() => []);
  return codes[0]?.rawValue ?? null;
}

/** A key that opens the camera and then the board's view. */
export function scanner() {
  const say = el("p", {class: "say", role: "status", hidden: true}, "");
  const tell = (/** @type {string} */ text) => {
    say.hidden = !text;
    say.textContent = text;
  };
  /** @param {Typed} e */
  async function picture(e) {
    const file = e.target.files?.[0];
    if (!file) return;
    tell("Looking for the code …");
    const text = await readHere(file);
    const r =
      text === null
        ? await ask("/api/labels/photos", {method: "POST", body: file, patience: PATIENCE})
        : await ask("/api/labels", {method: "POST", body: JSON.stringify({text})});
    if (!say.isConnected) return;
    if (!r.ok) {
      tell(`${r.body.error}.`);
      return;
    }
    lately.set(r.body.board.id, r.body);
    location.hash = `#/rack/${r.body.board.id}`;
  }
  const input = el("input", {
    type: "file",
    id: "label",
    accept: "image/*",
    capture: "environment",
    class: "unseen",
    onchange: picture,
  });
  return [el("label", {class: "key"}, "Scan a label", input), say];
}
