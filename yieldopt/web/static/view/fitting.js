// Four corners touched on a photo: the next touch sets the next corner, a drag or the arrow keys
// correct one.
import {goRound} from "../figures/corners.js";
import {button, drawn, el, onDrawing} from "./dom.js";

/** @import {Point} from "../figures/corners.js" */

const WORDS = [
  "datum end, near edge",
  "datum end, far edge",
  "far end, far edge",
  "far end, near edge",
];
/** @type {Record<string, Point>} */
const WAYS = {ArrowDown: [0, 1], ArrowUp: [0, -1], ArrowRight: [1, 0], ArrowLeft: [-1, 0]};
// Width of the picture on the screen; how near a finger has to come; what an arrow key moves, as a
// share.
const W = 360,
  REACH = 26,
  STEP = 0.002;
/** @type {Point[]} */
const WHOLE = [
  [0.02, 0.02],
  [0.98, 0.02],
  [0.98, 0.98],
  [0.02, 0.98],
];

/**
 * The elements of the view; corners are shares of the photo's width and height.
 * @param {Blob} blob
 * @param {string} face
 * @param {Point[]} corners
 * @param {(corners: Point[]) => unknown} done
 * @param {() => unknown} leave
 */
export async function fitting(blob, face, corners, done, leave) {
  const bitmap = await createImageBitmap(blob),
    [w, h] = [bitmap.width, bitmap.height];
  bitmap.close();
  // A photo that lies is stood up, as the board is: a finger has more room.
  const lying = w > h,
    k = W / Math.min(w, h),
    H = Math.max(w, h) * k;
  /** @type {Point[]} */
  const points = corners.map(([x, y]) => [x, y]);
  const address = URL.createObjectURL(blob);
  /** @type {(p: Point) => Point} */
  const toScreen = ([u, v]) => (lying ? [W - v * W, u * H] : [u * W, v * H]);
  const share = (/** @type {number} */ v) => Math.min(Math.max(v, 0), 1);
  /** @type {(x: number, y: number) => Point} */
  const toPhoto = (x, y) =>
    lying ? [share(y / H), share((W - x) / W)] : [share(x / W), share(y / H)];
  const svg = drawn("svg", {
    class: "board photo",
    viewBox: `0 0 ${W} ${Math.round(H)}`,
    role: "group",
    "aria-label": `Photo of face ${face}`,
  });
  const say = el("p", {class: "say", role: "status", id: "corner"}, "");
  const use = button("Use these corners", () => done(points), {class: "main"});
  /** @type {{i: number, from: Point, was: Point} | null} */
  let held = null;

  /**
   * @param {Point} p
   * @param {number} i
   */
  function spot(p, i) {
    const [x, y] = toScreen(p),
      label = {x: x + (x > W / 2 ? -32 : 22), y: y + (y > H / 2 ? -14 : 26)};
    const g = drawn(
      "g",
      {
        tabindex: 0,
        role: "button",
        "data-corner": i,
        "aria-label": `Corner ${i + 1}: ${WORDS[i]}`,
      },
      drawn("circle", {class: "aim dark", cx: x, cy: y, r: 17}),
      drawn("circle", {class: "aim", cx: x, cy: y, r: 17}),
      drawn("circle", {class: "spot", cx: x, cy: y, r: 2.5}),
      drawn("text", {class: "aim", ...label}, String(i + 1)),
    );
    g.addEventListener("keydown", e => {
      const way = WAYS[e.key];
      if (!way) return;
      e.preventDefault();
      const [a, b] = toScreen(points[i]);
      points[i] = toPhoto(a + way[0] * STEP * W, b + way[1] * STEP * W);
      draw(i);
    });
    return g;
  }

  /** @param {boolean} round whether the four corners go round a board */
  function words(round) {
    if (points.length < 4) {
      return `Touch corner ${points.length + 1} of 4 of the board: ${WORDS[points.length]}.`;
    }
    return round
      ? "Drag a corner to correct it."
      : "These corners do not go round a board. Drag them, or start again.";
  }

  /** @param {number} [focus] the corner that has the keys */
  function draw(focus) {
    const turn = lying ? `translate(${W} 0) rotate(90)` : null;
    svg.replaceChildren(
      drawn("image", {href: address, width: w * k, height: h * k, transform: turn}),
    );
    if (points.length > 1) {
      const round = points.map(p => toScreen(p).join(",")).join(" ");
      svg.append(drawn("polygon", {class: "round", points: round}));
    }
    svg.append(...points.map(spot));
    const round = points.length === 4 && goRound(points);
    say.textContent = words(round);
    use.disabled = !round;
    if (focus !== undefined) {
      const corner = svg.querySelector(`[data-corner="${focus}"]`);
      /** @type {SVGElement | null} */ (corner)?.focus({preventScroll: true});
    }
  }

  /** @type {(e: PointerEvent) => Point} */
  const at = e => {
    const p = onDrawing(svg, e);
    return [p.x, p.y];
  };
  svg.addEventListener("pointerdown", e => {
    const [x, y] = at(e);
    const far = points.map(p => Math.hypot(toScreen(p)[0] - x, toScreen(p)[1] - y));
    const near = far.indexOf(Math.min(...far));
    if (near >= 0 && far[near] < REACH) {
      held = {i: near, from: [x, y], was: toScreen(points[near])};
    } else if (points.length < 4) {
      points.push(toPhoto(x, y));
      held = {i: points.length - 1, from: [x, y], was: [x, y]};
    }
    if (held) svg.setPointerCapture(e.pointerId);
    e.preventDefault();
    draw();
  });
  svg.addEventListener("pointermove", e => {
    if (!held) return;
    const [x, y] = at(e);
    points[held.i] = toPhoto(held.was[0] + x - held.from[0], held.was[1] + y - held.from[1]);
    draw();
  });
  for (const end of ["pointerup", "pointercancel"]) {
    svg.addEventListener(end, () => {
      held = null;
    });
  }
  draw();
  return [
    say,
    svg,
    el(
      "div",
      {class: "row"},
      use,
      button("Start again", () => {
        points.length = 0;
        draw();
      }),
      button("All four at the picture's corners", () => {
        points.splice(0, 4, ...WHOLE);
        draw(0);
      }),
      button("Leave it", leave),
    ),
  ];
}
