// Choosing by eye: a piece or its blank is carried elsewhere, kept where it lies, exchanged for
// another; a board is kept as it is or left alone. Each is a row of a table of the job.
import {button, el} from "../shared/dom.js";
import {typed, whyNot} from "../state/ground.js";
import {ask} from "../state/net.js";
import {leftOrNot, wished, without, withWishes} from "../state/wishes.js";
import {carry} from "../view/carry.js";

/** @typedef {import("../view/boards.js").Laid & {board: string}} There */
/** @typedef {import("../view/boards.js").Sheet} Sheet */

const NEXT = "Plan round it, and the rest makes way.";

/**
 * @param {{job: import("../state/job.js").Job, picture: HTMLElement, say: (text: string) => void,
 *   looked: () => import("./plan.js").Looked | null, points: () => number,
 *   tell: (text: string, barred?: boolean) => void, changed: () => void}} about
 */
export function wishing(about) {
  const {job, picture, say, tell} = about;
  /** @type {(() => void) | null} */
  let carrying = null;
  /** @type {There | null} the piece that waits for the one that it is exchanged for */
  let exchanging = null;
  // Steps of this room since the plan at hand, so that leaving an answer takes them back.
  let made = 0;

  /** @param {Record<string, any>} changes @param {string} words */
  function wish(changes, words) {
    made += 1;
    job.editAll(changes);
    about.changed();
    tell(`${words} ${NEXT}`);
  }

  /** @param {string} name */
  const woodOf = name => about.looked()?.boards.find(b => b.name === name);

  /** @param {There} piece @param {boolean} whole */
  const placesOf = (piece, whole) =>
    ask("GET", `/api/places?piece=${encodeURIComponent(piece.piece)}&whole=${whole}`);

  /** @param {There} piece @param {boolean} whole */
  async function takeUp(piece, whole) {
    try {
      const grounds = await placesOf(piece, whole);
      /** @type {Map<string, any>} */
      const boards = new Map();
      for (const svg of picture.querySelectorAll("svg.board")) {
        const name = /** @type {SVGSVGElement} */ (svg).dataset.board ?? "";
        boards.set(name, {svg, wood: woodOf(name)});
      }
      const sheet = about.looked()?.plan.sheets.find(s => s.board === piece.board);
      const mine = sheet?.pieces.filter(p => grounds.pieces.includes(p.piece)) ?? [piece];
      const start = {
        board: piece.board,
        x: Math.min(...mine.map(p => p.x)),
        y: Math.min(...mine.map(p => p.y)),
      };
      carrying = carry({
        frame: picture,
        boards,
        points: about.points(),
        units: job.units,
        start,
        grounds,
        say: tell,
        ended: () => {
          carrying = null;
          tell("");
          about.changed();
        },
        put: at => putDown(piece, whole, at),
      });
      about.changed();
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
  }

  /**
   * @param {There} piece
   * @param {boolean} whole
   * @param {import("../view/carry.js").At} at
   */
  async function putDown(piece, whole, at) {
    const asked = new URLSearchParams({
      piece: piece.piece,
      board: at.board,
      x: typed(at.x, job.units),
      y: typed(at.y, job.units),
      whole: String(whole),
    });
    try {
      const rows = await ask("GET", `/api/wishes?${asked}`);
      const name = whole ? `Blank ${piece.blank}` : piece.piece;
      wish({pins: withWishes(job.tables.pins, rows)}, `${name} is asked for on ${at.board}.`);
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
  }

  /** @param {There} one @param {There} other */
  async function exchange(one, other) {
    try {
      const [ours, theirs] = await Promise.all([placesOf(one, false), placesOf(other, false)]);
      const barred = [
        [one, ours, other],
        [other, theirs, one],
      ].flatMap(([piece, places, at]) => {
        const ground = places.grounds.find((/** @type {any} */ g) => g.board === at.board);
        const why = ground ? whyNot(ground, at.x, at.y) : "this board is left alone";
        return why ? [`${piece.piece} can't lie where ${at.piece} lies: ${why}`] : [];
      });
      if (barred.length) return tell(barred[0], true);
      const rows = [
        {...other.wish, piece: one.piece},
        {...one.wish, piece: other.piece},
      ];
      const words = `${one.piece} and ${other.piece} change places.`;
      wish({pins: withWishes(job.tables.pins, rows)}, words);
    } catch (/** @type {any} */ error) {
      say(error.message);
    }
  }

  /** @param {string} name @returns {There | undefined} */
  const find = name =>
    about
      .looked()
      ?.plan.sheets.flatMap(s => s.pieces.map(p => ({...p, board: s.board})))
      .find(p => p.piece === name);

  return {
    get made() {
      return made > 0;
    },
    /** One step takes back all that was wished for since the plan at hand. */
    takeBack() {
      for (; made > 0; made--) job.undo();
      tell("Taken back: the wishes and the plan are what they were.");
      about.changed();
    },
    letGo: () => carrying?.(),
    /** What was wished for is in the plan. */
    forget: () => (made = 0),
    /** Whether a click on a piece was meant for an exchange. @param {string} name */
    picked(name) {
      const one = exchanging;
      exchanging = null;
      const other = find(name);
      if (!one || !other || other.piece === one.piece) return false;
      exchange(one, other);
      return true;
    },
    /** Keys for a piece. @param {There} piece */
    keys(piece) {
      const {pins} = job.tables;
      if (piece.state === "done") return [];
      if (carrying) return [button("Let it go", () => carrying?.())];
      return [
        button("Carry it elsewhere", () => takeUp(piece, false)),
        button("Carry its whole blank", () => takeUp(piece, true)),
        button("Exchange it for…", () => {
          exchanging = piece;
          tell(`Choose the piece that ${piece.piece} changes places with.`);
        }),
        wished(pins, piece.piece)
          ? button("Let it move again", () =>
              wish({pins: {rows: without(pins, [piece.piece])}}, `${piece.piece} may move.`),
            )
          : button("Keep it where it lies", () =>
              wish({pins: withWishes(pins, [piece.wish])}, `${piece.piece} stays where it lies.`),
            ),
      ];
    },
    /** Keys for a whole board of the plan. @param {Sheet} sheet */
    boardKeys(sheet) {
      const names = sheet.pieces.map(p => p.piece);
      const kept = () => names.every(n => wished(job.tables.pins, n));
      return el(
        "span",
        {class: "board-keys"},
        button(
          "Keep as it is",
          () => {
            const {pins} = job.tables;
            if (kept()) {
              return wish({pins: {rows: without(pins, names)}}, `${sheet.board} may change.`);
            }
            const rows = sheet.pieces.map(p => p.wish);
            wish({pins: withWishes(pins, rows)}, `${sheet.board} stays as it is.`);
          },
          {class: "quiet", "aria-label": `Keep ${sheet.board} as it is`},
        ),
        button(
          "Leave it alone",
          () => {
            const rows = without(
              job.tables.pins,
              names.filter(n => wished(job.tables.pins, n)),
            );
            wish(
              {leave: leftOrNot(job.tables.leave, sheet.board), pins: {rows}},
              `${sheet.board} is to be left alone.`,
            );
          },
          {class: "quiet", "aria-label": `Leave ${sheet.board} alone`},
        ),
      );
    },
  };
}
