// The place where the seat stands in 3D: the one canvas, a word while there is nothing yet, and how deep it is under the finger.

import { h, fill } from "../parts/element.js";
import { placeWords } from "../drawings/contact-map.js";
import { job } from "../job/job.js";
import { writeLength } from "../parts/lengths.js";
import { rayThrough } from "./camera.js";
import { forget } from "./card.js";
import { theContext } from "./context.js";
import { takeInHand } from "./hand.js";
import { cameraNow, canDraw, onDrawn, planeNow, show, shown } from "./scene.js";
import { touchedPlace } from "./touched-place.js";

const LOST = "The browser took the drawing away; it comes back by itself.";
let here = null;
let depths = null;

/**
 * A place for the view, with words while there is nothing drawn; the canvas leaves the place where it was before. Null
 * where the browser cannot draw in 3D; `instead` is called when that turns out later.
 */
export function viewPlace({ small, waiting, instead }) {
  const { canvas, gl } = theContext();
  if (!canDraw()) return null;
  if (!here) begin(canvas, gl);
  canvas.className = small ? "view small-view" : "view";
  const word = h("p", { class: "view-word" }, waiting);
  const told = h("output", { class: "view-told" });
  here = { word, told, instead };
  depths = null;
  return h("div", { class: "view-place" }, canvas, word, told);
}

/** The grid that a depth under the finger is read from; null where what is drawn is no seat of the service's. */
export function readDepthsFrom(grid) {
  if (depths === grid) return;
  depths = grid;
  point(null);
}

function begin(canvas, gl) {
  canvas.tabIndex = 0;
  canvas.setAttribute("role", "img");
  takeInHand(canvas, point);
  canvas.addEventListener("webglcontextlost", (event) => {
    event.preventDefault();
    forget();
    say(LOST);
  });
  canvas.addEventListener("webglcontextrestored", () => show());
  new ResizeObserver(() => show()).observe(canvas);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => show());
  onDrawn((camera, share) => {
    if (!camera) return here.instead();
    say("");
    const { around, up, away } = shown.stand;
    Object.assign(canvas.dataset, { around: around.toFixed(1), up: up.toFixed(1), away: away.toFixed(3) });
    canvas.dataset.lift = shown.sitter ? shown.lift.toFixed(1) : "";
    canvas.dataset.cut = shown.cut ? `${shown.cut.name} ${shown.cut.at}` : "";
    canvas.dataset.share = share;
    canvas.dataset.now = shown.now.toFixed(2);
    canvas.dataset.drawn = Number(canvas.dataset.drawn ?? 0) + 1;
    return undefined;
  });
}

function say(words) {
  if (!here) return;
  if (here.word.textContent !== words) here.word.textContent = words;
  here.word.hidden = !words;
}

// Told in pixels of the window; null when nothing is pointed at any more.
function point(x, y) {
  const found = x === null || !depths ? null : placeAt(x, y);
  if (!found && !shown.touched) return;
  show({ touched: found });
  fill(here.told, found && `${writeLength(found.depth, job.units)} deep, ${placeWords(found.x, found.y)}`);
}

function placeAt(x, y) {
  const { canvas } = theContext();
  const box = canvas.getBoundingClientRect();
  const camera = cameraNow();
  const [right, up] = [(2 * (x - box.left)) / box.width - 1, 1 - (2 * (y - box.top)) / box.height];
  return touchedPlace(camera.eye, rayThrough(camera, right, up), depths, planeNow(camera.eye));
}
