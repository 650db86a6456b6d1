// What was, so that it can be taken back: states in the order they came, and where one stands among
// them.

const MOST = 500;

/**
 * @template T
 * @param {T} first
 */
export function history(first) {
  let states = [first];
  let at = 0;
  return {
    /** The state one stands at. */
    get now() {
      return states[at];
    },
    get undoable() {
      return at > 0;
    },
    get redoable() {
      return at < states.length - 1;
    },
    /** A new state; what had been taken back before it is gone. @param {T} state */
    add(state) {
      states = [...states.slice(0, at + 1), state].slice(-MOST);
      at = states.length - 1;
    },
    /** The state before, if there is one. */
    undo() {
      at = Math.max(0, at - 1);
      return states[at];
    },
    /** The state after, if it was taken back. */
    redo() {
      at = Math.min(states.length - 1, at + 1);
      return states[at];
    },
  };
}
