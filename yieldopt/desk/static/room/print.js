// Choose what to print, and see it first.
import {choice, el, show} from "../shared/dom.js";
import {ask} from "../state/net.js";

/** @param {HTMLElement} room @param {any} _job @param {(text: string) => void} say */
export function printRoom(room, _job, say) {
  let paper = "letter";
  let wanted = new Set();
  const keys = el("div", {class: "keys"});
  const link = el("a", {class: "key main", target: "_blank", rel: "noopener"}, "Show the packet");

  /** @param {Record<string, string>} sections */
  function draw(sections) {
    link.setAttribute("href", `/api/packet.pdf?paper=${paper}&only=${[...wanted].join(",")}`);
    show(
      keys,
      choice("Paper", ["letter", "a4"], paper, p => ((paper = p), draw(sections))),
      el(
        "fieldset",
        {},
        el("legend", {}, "What to print"),
        Object.entries(sections).map(([name, what]) =>
          el(
            "label",
            {class: "tick"},
            el("input", {
              type: "checkbox",
              checked: wanted.has(name),
              onchange: e => (
                e.target.checked ? wanted.add(name) : wanted.delete(name),
                draw(sections)
              ),
            }),
            ` ${name}: ${what}`,
          ),
        ),
      ),
      link,
    );
  }

  show(room, keys);
  ask("GET", "/api/sections")
    .then(said => {
      wanted = new Set(said.usual);
      draw(said.sections);
    })
    .catch(error => say(error.message));
  return () => {};
}
