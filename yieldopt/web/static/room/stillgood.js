// Is a sheet on paper still good? From its code, read here where the phone can, else on the
// machine; or from its revision.
import {ask} from "../state/reach.js";
import {button, el} from "../view/dom.js";
import {readHere} from "../view/scan.js";

/** @import {Plan} from "../figures/ticked.js" */
/** @import {Answer} from "../state/reach.js" */
/** @import {Typed} from "../view/dom.js" */

/**
 * The section of a plan's page.
 * @param {string} number
 * @param {Plan} plan
 */
export function stillGood(number, plan) {
  const say = el("p", {class: "say", role: "status"}, "");
  const typed = el("input", {inputmode: "numeric", id: "revision"});
  const offline =
    `No signal. The plan on this phone is revision ${plan.revision}: a sheet with a lower ` +
    "number may be superseded.";
  const tell = (/** @type {Answer} */ r) => {
    say.textContent = r.ok ? r.body.text : r.status ? r.body.error : offline;
  };
  const told = (/** @type {string} */ text) =>
    ask(`/api/bench/${number}/codes`, {method: "POST", body: JSON.stringify({text})}).then(tell);
  /** @param {Typed} e */
  async function picture(e) {
    const file = e.target.files?.[0];
    if (!file) return;
    say.textContent = "Looking for the code …";
    const text = await readHere(file);
    if (text === null) {
      tell(await ask(`/api/bench/${number}/photos`, {method: "POST", body: file}));
    } else await told(text);
  }
  return el(
    "details",
    {},
    el("summary", {}, "Is a sheet still good?"),
    el(
      "label",
      {},
      "Picture of the code on it",
      el("input", {type: "file", accept: "image/*", capture: "environment", onchange: picture}),
    ),
    el("label", {}, "or its plan revision", typed),
    button("Ask", () => told(typed.value)),
    say,
  );
}
