// Motion: a value from 0 to 1 over some time, at once where the maker asked for less motion.

const still = matchMedia("(prefers-reduced-motion: reduce)");
const running = new Map();

/** Call `step` with 0 to 1, eased; a motion of the same name ends where it is. */
export function move(name, ms, step) {
  stop(name);
  if (still.matches) return step(1);
  const begun = performance.now();
  const next = (now) => {
    const share = Math.min(Math.max((now - begun) / ms, 0), 1);
    step(share * share * (3 - 2 * share));
    if (share < 1) running.set(name, requestAnimationFrame(next));
    else running.delete(name);
  };
  running.set(name, requestAnimationFrame(next));
}

export function stop(name) {
  cancelAnimationFrame(running.get(name));
  running.delete(name);
}
