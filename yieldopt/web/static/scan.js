// The code on a board's label, photographed: read here where the phone can, else on the machine.
import {el} from "./dom.js";
import {ask} from "./sync.js";

const PATIENCE = 40000;
/** The last answer about a board, for its view. */
export const lately = new Map();

/** What a code in a picture says, or null where this phone reads none. */
export async function readHere(file) {
  if (!("BarcodeDetector" in window)) return null;
  const picture = await createImageBitmap(file).catch(() => null);
  if (!picture) return null;
  const detector = new window.BarcodeDetector({formats: ["qr_code"]});
  const codes = await detector.detect(picture).catch(() => []);
  return codes[0]?.rawValue ?? null;
}

/** A key that opens the camera and then the board's view. */
export function scanner() {
  const say = el("p", {class: "say", role: "status", hidden: true}, "");
  const tell = text => {
    say.hidden = !text;
    say.textContent = text;
  };
  async function picture(e) {
    const [file] = e.target.files;
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
