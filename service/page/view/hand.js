// The seat in the hand: a mouse or a finger turns it, two fingers pinch and turn, wheel and keys likewise; a tap asks how
// deep it is there. Up and down with one finger is left to the page, so that it can be scrolled past.

import { nearer, standAtFirst, turned } from "./camera.js";
import { show, shown } from "./scene.js";

const [PER_PIXEL_DEG, KEY_DEG, STEP_NEARER] = [0.4, 7.5, 0.85];
const TAP_PX = 7;

export function turn(around, up) {
  show({ stand: turned(shown.stand, around, up) });
}

export function come(factor) {
  show({ stand: nearer(shown.stand, factor) });
}

export function asAtFirst() {
  show({ stand: standAtFirst() });
}

export function standAt(around, up) {
  show({ stand: { ...standAtFirst(), around, up } });
}

const KEYS = {
  ArrowLeft: () => turn(-KEY_DEG, 0),
  ArrowRight: () => turn(KEY_DEG, 0),
  ArrowUp: () => turn(0, KEY_DEG),
  ArrowDown: () => turn(0, -KEY_DEG),
  "+": () => come(STEP_NEARER),
  "=": () => come(STEP_NEARER),
  "-": () => come(1 / STEP_NEARER),
  Home: asAtFirst,
};

/** Let a canvas be turned. `point` is told the place that was tapped or pointed at in pixels, null when no longer. */
export function takeInHand(canvas, point) {
  canvas.addEventListener("keydown", (event) => {
    const act = !event.ctrlKey && !event.metaKey && !event.altKey && KEYS[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  });
  canvas.addEventListener(
    "wheel",
    (event) => {
      // The page scrolls past a seat that nobody took hold of.
      if (document.activeElement !== canvas && !event.ctrlKey) return;
      event.preventDefault();
      come(Math.exp(Math.min(Math.max(event.deltaY * (event.deltaMode ? 30 : 1), -240), 240) / 700));
    },
    { passive: false },
  );
  canvas.addEventListener("touchmove", (event) => event.touches.length > 1 && event.preventDefault(), {
    passive: false,
  });
  fingers(canvas, point);
}

function fingers(canvas, point) {
  const down = new Map();
  let tap = null;
  canvas.addEventListener("pointerdown", (event) => {
    down.set(event.pointerId, [event.clientX, event.clientY]);
    tap = down.size === 1 ? { x: event.clientX, y: event.clientY } : null;
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (event) => {
    const before = down.get(event.pointerId);
    const now = [event.clientX, event.clientY];
    if (!before) {
      if (event.pointerType === "mouse") point(...now);
      return;
    }
    if (tap && Math.hypot(now[0] - tap.x, now[1] - tap.y) > TAP_PX) tap = null;
    const other = [...down].find(([id]) => id !== event.pointerId)?.[1];
    down.set(event.pointerId, now);
    if (other) twoFingers(before, now, other);
    else if (!tap) turn(PER_PIXEL_DEG * (before[0] - now[0]), event.pointerType === "touch" ? 0 : PER_PIXEL_DEG * (now[1] - before[1]));
  });
  const end = (event) => {
    if (!down.delete(event.pointerId)) return;
    if (event.type === "pointerup" && tap) point(tap.x, tap.y);
    tap = null;
  };
  canvas.addEventListener("pointerup", end);
  canvas.addEventListener("pointercancel", end);
  canvas.addEventListener("pointerleave", (event) => event.pointerType === "mouse" && !down.size && point(null));
}

// One of two fingers moved: their distance brings the seat nearer, their turn and their way turn it.
function twoFingers(before, now, other) {
  const [was, is] = [before, now].map(([x, y]) => [x - other[0], y - other[1]]);
  const [long, longer] = [was, is].map(([x, y]) => Math.max(Math.hypot(x, y), 20));
  const twist = Math.atan2(was[0] * is[1] - was[1] * is[0], was[0] * is[0] + was[1] * is[1]);
  const stand = turned(
    shown.stand,
    (twist * 180) / Math.PI - 0.5 * PER_PIXEL_DEG * (now[0] - before[0]),
    0.5 * PER_PIXEL_DEG * (now[1] - before[1]),
  );
  show({ stand: nearer(stand, long / longer) });
}
