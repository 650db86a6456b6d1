// Which job: those known, a new one, the demo's.
import {button, choice, el, show} from "../shared/dom.js";
import {ask} from "../state/net.js";

/**
 * @param {HTMLElement} room
 * @param {(text: string) => void} say
 */
export function shelfRoom(room, say) {
  let units = "in";
  const name = el("input", {id: "new-name", maxlength: 60, autocomplete: "off"});

  /** @param {string} path @param {any} body */
  async function open(path, body) {
    try {
      await ask("POST", path, body);
      location.hash = "";
      location.reload();
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
  }

  async function draw() {
    try {
      /** @type {{jobs: {name: string, folder: string, planned: boolean}[], beside: string,
       *   open: string | null}} */
      const {jobs, beside, open: now} = await ask("GET", "/api/shelf");
      show(
        room,
        el("h2", {}, "Which job?"),
        jobs.length
          ? el(
              "ul",
              {class: "shelf"},
              jobs.map(j =>
                el(
                  "li",
                  {},
                  button(j.name, () => open("/api/shelf/open", {folder: j.folder}), {
                    class: j.folder === now ? "main" : "",
                  }),
                  ` ${j.folder}${j.planned ? ", planned" : ""}`,
                ),
              ),
            )
          : el("p", {class: "what"}, "None is known yet."),
        el("h3", {}, "A new one"),
        el(
          "form",
          {
            class: "keys",
            onsubmit: (/** @type {Event} */ e) => (
              e.preventDefault(),
              open("/api/shelf/new", {name: name.value, units})
            ),
          },
          el("label", {for: "new-name"}, "Name", name),
          choice(
            "Lengths in",
            [
              ["in", "inches"],
              ["mm", "millimetres"],
            ],
            units,
            u => (units = u),
          ),
          el("button", {type: "submit", class: "main"}, "Begin it"),
        ),
        el("p", {class: "what"}, `It becomes a folder in ${beside}.`),
        el("h3", {}, "To try things on"),
        button("The demo's sideboard", () => open("/api/shelf/demo", {})),
      );
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
  }

  draw();
  return () => {};
}
