// What is drawn to scale is drawn again when its room becomes wider or narrower.

// A scroll bar that comes or goes is no other width.
const BAR = 24;

/**
 * @param {HTMLElement} room
 * @param {() => void} draw
 * @returns {() => void} ends it
 */
export function onWidth(room, draw) {
  let was = room.clientWidth;
  const watch = new ResizeObserver(() => {
    if (Math.abs(room.clientWidth - was) < BAR) return;
    was = room.clientWidth;
    draw();
  });
  watch.observe(room);
  return () => watch.disconnect();
}
