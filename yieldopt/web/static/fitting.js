// Four corners touched on a photo: the next touch sets the next corner, a drag or the arrow keys
// correct one.
import {button, el} from "./dom.js";
import {goRound} from "./photo.js";

const WORDS = [
  "datum end, near edge",
  "datum end, far edge",
  "far end, far edge",
  "far end, near edge",
];
const WAYS = {ArrowDown: [0, 1], ArrowUp: [0, -1], ArrowRight: [1, 0], ArrowLeft: [-1, 0]};
// Width of the picture on the screen; how near a finger has to come; what an arrow key moves, as a share.
const W = 360,
  REACH = 26,
  STEP = 0.002;
const WHOLE = [
  [0.02, 0.02],
  [0.98, 0.02],
  [0.98, 0.98],
  [0.02, 0.98],
];

/** The elements of the view; `done` gets the corners as shares of the photo's width and height. */
export async function fitting(blob, face, corners, done, leave) {
  const bitmap = await createImageBitmap(blob),
    [w, h] = [bitmap.width, bitmap.height];
  bitmap.close();
  // A photo that lies is stood up, as the board is: a finger has more room.
  const lying = w > h,
    k = W / Math.min(w, h),
    H = Math.max(w, h) * k;
  const points = corners.map(p => [...p]),
    address = URL.createObjectURL(blob);
  const toScreen = ([u, v]) => (lying ? [W - v * W, u * H] : [u * W, v * H]);
  const toPhoto = (x, y) =>
    (lying ? [y / H, (W - x) / W] : [x / W, y / H]).map(v => Math.min(Math.max(v, 0), 1));
  const svg = el("svg", {
    class: "board photo",
    viewBox: `0 0 ${W} ${Math.round(H)}`,
    role: "group",
    "aria-label": `Photo of face ${face}`,
  });
  const say = el("p", {class: "say", role: "status", id: "corner"}, "");
  const use = button("Use these corners", () => done(points), {class: "main"});
  let held = null;

  function spot(p, i) {
    const [x, y] = toScreen(p),
      label = {x: x + (x > W / 2 ? -32 : 22), y: y + (y > H / 2 ? -14 : 26)};
    const g = el(
      "g",
      {
        tabindex: 0,
        role: "button",
        "data-corner": i,
        "aria-label": `Corner ${i + 1}: ${WORDS[i]}`,
      },
      el("circle", {class: "aim dark", cx: x, cy: y, r: 17}),
      el("circle", {class: "aim", cx: x, cy: y, r: 17}),
      el("circle", {class: "spot", cx: x, cy: y, r: 2.5}),
      el("text", {class: "aim", ...label}, String(i + 1)),
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

  function words(round) {
    if (points.length < 4) {
      return `Touch corner ${points.length + 1} of 4 of the board: ${WORDS[points.length]}.`;
    }
    return round
      ? "Drag a corner to correct it."
      : "These corners do not go round a board. Drag them, or start again.";
  }

  function draw(focus) {
    const turn = lying ? `translate(${W} 0) rotate(90)` : null;
    svg.replaceChildren(
      el("image", {href: address, width: w * k, height: h * k, transform: turn}),
    );
    if (points.length > 1) {
      const round = points.map(p => toScreen(p).join(",")).join(" ");
      svg.append(el("polygon", {class: "round", points: round}));
    }
    svg.append(...points.map(spot));
    const round = points.length === 4 && goRound(points);
    say.textContent = words(round);
    use.disabled = !round;
    if (focus !== undefined) {
      svg.querySelector(`[data-corner="${focus}"]`)?.focus({preventScroll: true});
    }
  }

  const at = e => {
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return [p.x, p.y];
  };
  svg.addEventListener("pointerdown", e => {
    const [x, y] = at(e);
    const far = points.map(p => Math.hypot(toScreen(p)[0] - x, toScreen(p)[1] - y));
    const near = far.indexOf(Math.min(...far));
    if (near >= 0 && far[near] < REACH)
      held = {i: near, from: [x, y], was: toScreen(points[near])};
    else if (points.length < 4) {
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
  for (const end of ["pointerup", "pointercancel"])
    svg.addEventListener(end, () => {
      held = null;
    });
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
