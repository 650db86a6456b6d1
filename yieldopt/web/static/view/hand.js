// Whether a finger is on the screen: what comes late from the store or the rack is not drawn under
// it.
const AFTER = 50; // milliseconds: the tap that a lifted finger made is dealt with by then
let down = false;
/** @type {Set<(value: void) => void>} */
const waiting = new Set();

function lifted() {
  down = false;
  for (const go of waiting) go();
  waiting.clear();
}

/** Begin to look; once for the page. */
export function watchHand() {
  const press = () => {
    down = true;
  };
  addEventListener("pointerdown", press, true);
  for (const end of ["pointerup", "pointercancel"]) {
    addEventListener(end, () => setTimeout(lifted, AFTER), true);
  }
}

/** Once no finger is down. */
export async function handOff() {
  if (down) await new Promise(go => waiting.add(go));
}
