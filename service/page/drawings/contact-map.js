// The contact map of one sitter: pressure in bands on the plan, the front at the top, left and right the sitter's.

import { h } from "../parts/element.js";
import { boxOf } from "./read-grids.js";
import { job } from "../job/job.js";
import { peakSquare, writeArea, writeLength } from "../parts/lengths.js";
import { paintSeat } from "./painted-top.js";

const MARGIN = 34;

/**
 * Draw a map. `spots` are numbered places, `marks` small crosses, `chosen` a circle {x_mm, y_mm, radius_mm, both};
 * `onPlace` is told where the map was pressed.
 */
export function contactMap({
  grid,
  sitting,
  spots = [],
  marks = [],
  chosen = null,
  everyMm = 0,
  words,
  onPlace = null,
}) {
  const [left, right, rear, front] = boxOf(grid.outline_mm);
  const painted = paintSeat({ grid, sitting, everyMm });
  const picture = h("image", {
    href: painted.address,
    x: left,
    y: 0,
    width: right - left,
    height: front - rear,
    preserveAspectRatio: "none",
  });
  if (!painted.address) painted.ready.then((address) => picture.setAttribute("href", address));
  const at = (x, y) => [x, front - y];
  const drawing = h(
    "svg",
    {
      viewBox: `${left - MARGIN} ${-MARGIN} ${right - left + 2 * MARGIN} ${front - rear + 1.6 * MARGIN}`,
      class: onPlace ? "drawing map pressed" : "drawing map",
      role: "img",
      "aria-label": words,
    },
    picture,
    h("polygon", { points: grid.outline_mm.map(([x, y]) => at(x, y).join()).join(" "), class: "outline-line" }),
    h("line", { x1: 0, x2: 0, y1: 0, y2: front - rear, class: "centre on-map" }),
    h("text", { x: 0, y: -12, class: "letter strong middle" }, "FRONT"),
    h("text", { x: left, y: -12, class: "letter" }, "LEFT"),
    h("text", { x: right, y: -12, class: "letter end" }, "RIGHT"),
    chosen && circles(chosen, at),
    marks.map(({ x_mm: x, y_mm: y }) => cross(...at(x, y))),
    spots.map((spot) => number(spot, ...at(spot.x_mm, spot.y_mm))),
  );
  if (onPlace) {
    drawing.addEventListener("click", (event) => {
      const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(drawing.getScreenCTM().inverse());
      onPlace(point.x, front - point.y);
    });
  }
  return drawing;
}

function number(spot, x, y) {
  return h(
    "g",
    {},
    h("circle", { cx: x, cy: y, r: 12, class: "spot" }),
    h("text", { x, y: y + 5.5, class: "spot-number" }, spot.number),
  );
}

function cross(x, y) {
  return h("path", { d: `M${x - 7} ${y}h14M${x} ${y - 7}v14`, class: "cross" });
}

function circles({ x_mm: x, y_mm: y, radius_mm: radius, both }, at) {
  const one = (side) => {
    const [cx, cy] = at(side * x, y);
    return h("circle", { cx, cy, r: radius, class: "chosen" });
  };
  return h("g", {}, one(1), both && x !== 0 ? one(-1) : null);
}

/** Say of a map in words what it shows. */
export function mapWords(sitting) {
  const share = sitting.load_share;
  const percent = (value) => `${Math.round(100 * value)} %`;
  return (
    `Contact map of ${sitting.body}: ${writeArea(sitting.contact_area_cm2, job.units)} of contact, peak ${sitting.peak_kpa.toFixed(0)} kPa over ${peakSquare(job.units)}. ` +
    `The sit bones carry ${percent(share.left_sit_bone + share.right_sit_bone)}, the thighs ${percent(share.left_thigh + share.right_thigh)}, the tailbone ${percent(share.tailbone)}.`
  );
}

/** A place in words: so far to a side of the centre line, so far from the rear edge. */
export function placeWords(x, y, twin = false) {
  const across =
    Math.abs(x) < 0.5
      ? "on the centre line"
      : `${writeLength(Math.abs(x), job.units, 0)} ${twin ? "either side" : x < 0 ? "left" : "right"} of the centre line`;
  return `${across}, ${writeLength(y, job.units, 0)} from the rear edge`;
}
