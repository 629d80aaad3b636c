// The painted top of a seat as a picture's address: painted by a worker, by the page itself where workers are forbidden.

import { paintPixels } from "./paint-pixels.js";
import { BARE, COLOURS, STEPS_KPA } from "./pressure-scale.js";

const MOST_KEPT = 12;
const kept = [];
const waiting = new Map();
let worker = null;
let serial = 0;

/**
 * Paint a seat; resolves to the address of the picture. `sitting` may be undefined (bare wood), `everyMm` the spacing of
 * the depth lines, 0 for none. The same picture is not painted twice.
 */
export function paintSeat({ grid, sitting, everyMm = 0, perMm = 2 }) {
  const found = kept.find(
    (one) => one.grid === grid && one.sitting === sitting && one.everyMm === everyMm && one.perMm === perMm,
  );
  if (found) return found;
  const scale = { steps: STEPS_KPA, colours: COLOURS, bare: BARE };
  const made = { grid, sitting, everyMm, perMm, address: null };
  made.ready = painted({ grid: plain(grid), sitting: sitting && pressed(sitting), everyMm, perMm, scale }).then((blob) => {
    made.address = URL.createObjectURL(blob);
    return made.address;
  });
  kept.push(made);
  if (kept.length > MOST_KEPT) letGo(kept.shift());
  return made;
}

// A drawing that still shows it has read it by then.
function letGo({ ready }) {
  ready.then((address) => setTimeout(() => URL.revokeObjectURL(address), 10_000));
}

// What a painter needs of them, and no more is sent to it.
function plain({ x_mm, y_mm, depth_mm, outline_mm }) {
  return { x_mm, y_mm, depth_mm, outline_mm };
}

function pressed({ x_mm, y_mm, gap_mm, pressure_kpa }) {
  return { x_mm, y_mm, gap_mm, pressure_kpa };
}

async function painted(what) {
  const painter = hired();
  if (!painter) return blobOf(paintPixels(what));
  serial += 1;
  const number = serial;
  const done = new Promise((resolve) => waiting.set(number, { resolve, what }));
  painter.postMessage({ number, what });
  return done;
}

function hired() {
  if (worker) return worker.gone ? null : worker;
  try {
    worker = new Worker(new URL("./paint-worker.js", import.meta.url), { type: "module" });
    worker.addEventListener("message", ({ data }) => {
      const { resolve } = waiting.get(data.number) ?? {};
      waiting.delete(data.number);
      resolve?.(data.blob ?? blobOf(data));
    });
    worker.addEventListener("error", () => {
      worker = { gone: true };
      for (const { resolve, what } of waiting.values()) resolve(blobOf(paintPixels(what)));
      waiting.clear();
    });
  } catch {
    worker = { gone: true };
    return null;
  }
  return worker;
}

function blobOf({ width, height, pixels }) {
  const canvas = document.createElement("canvas");
  Object.assign(canvas, { width, height });
  canvas.getContext("2d").putImageData(new ImageData(pixels, width, height), 0, 0);
  return new Promise((resolve) => canvas.toBlob(resolve));
}
