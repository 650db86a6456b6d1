// Is a sheet on paper still good? From its code, read here where the phone can, else on the machine; or
// from its revision.
import {button, el} from "./dom.js";
import {readHere} from "./scan.js";
import {ask} from "./sync.js";

/** The section of a plan's page. */
export function stillGood(number, plan) {
  const say = el("p", {class: "say", role: "status"}, "");
  const typed = el("input", {inputmode: "numeric", id: "revision"});
  const offline =
    `No signal. The plan on this phone is revision ${plan.revision}: a sheet with a lower ` +
    "number may be superseded.";
  const tell = r => {
    say.textContent = r.ok ? r.body.text : r.status ? r.body.error : offline;
  };
  const told = text =>
    ask(`/api/bench/${number}/codes`, {method: "POST", body: JSON.stringify({text})}).then(tell);
  async function picture(e) {
    const [file] = e.target.files;
    if (!file) return;
    say.textContent = "Looking for the code …";
    const text = await readHere(file);
    if (text === null)
      tell(await ask(`/api/bench/${number}/photos`, {method: "POST", body: file}));
    else await told(text);
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
