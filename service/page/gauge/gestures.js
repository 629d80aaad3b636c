// Swipes of a finger to the left and right, and a key that is held; a dirty finger needs no more.

/** A swipe is at least so long, in CSS pixels, and so much longer than it is high; it takes no longer than this. */
const SWIPE_PX = 60;
const SLANT = 2;
const SWIPE_MS = 1000;
export const HOLD_MS = 600;

/** Tell of swipes over an element. */
export function onSwipe(element, { left, right }) {
  let begun = null;
  element.addEventListener("pointerdown", (event) => {
    begun = event.pointerType === "mouse" || !event.isPrimary ? null : event;
  });
  element.addEventListener("pointercancel", () => {
    begun = null;
  });
  element.addEventListener("pointerup", (event) => {
    if (!begun || event.pointerId !== begun.pointerId) return;
    const [across, down] = [event.clientX - begun.clientX, event.clientY - begun.clientY];
    const isSwipe = Math.abs(across) >= SWIPE_PX && Math.abs(across) >= SLANT * Math.abs(down);
    const isQuick = event.timeStamp - begun.timeStamp <= SWIPE_MS;
    begun = null;
    if (!isSwipe || !isQuick) return;
    // The finger may still be on the key that it set out from.
    element.addEventListener("click", stop, { capture: true, once: true });
    setTimeout(() => element.removeEventListener("click", stop, { capture: true }), 50);
    (across < 0 ? left : right)();
  });
}

function stop(event) {
  event.stopPropagation();
  event.preventDefault();
}

/** Tell when a button is held down. */
export function onHold(button, held) {
  let timer = 0;
  const end = () => clearTimeout(timer);
  button.addEventListener("pointerdown", () => {
    timer = setTimeout(() => {
      button.addEventListener("click", stop, { capture: true, once: true });
      held();
    }, HOLD_MS);
  });
  for (const name of ["pointerup", "pointercancel", "pointerleave"]) button.addEventListener(name, end);
  button.addEventListener("contextmenu", (event) => event.preventDefault());
}
