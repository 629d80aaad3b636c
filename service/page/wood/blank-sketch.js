// A sketch of the blank: plan from above with the front at the top, and the section along the centre line.

import { h } from "../parts/element.js";
import { job } from "../job/job.js";
import { writeLength } from "../parts/lengths.js";
import { knownOutline } from "../seat/shaped-seat.js";
import { vocabulary } from "../order/vocabulary.js";
import { BLANK, lengthOf, OUTLINE } from "../order/usual-values.js";
import { glueLines } from "./glue-lines.js";

const MARGIN = 40;

const SIZES = ["width_mm", "depth_mm", "thickness_mm", "floor_mm", "deck_mm"];
// The sizes that were drawn last, of which job: what cannot be read leaves them standing.
let drawn = { of: "", sizes: null };

export function blankSketch() {
  const unread = SIZES.filter((key) => typeof job.blank[key] === "string");
  if (!unread.length) drawn = { of: job.id, sizes: SIZES.map((key) => lengthOf(job, "blank", key)) };
  const known = drawn.of === job.id ? drawn.sizes : null;
  const heading = h("h2", {}, "Your blank");
  const words = unread.length ? h("p", { class: "small", role: "status" }, unreadWords(unread, known)) : null;
  if (!known) return [heading, words];
  const [width, depth, thick, floor, deck] = known;
  const drawings = [plan(width, depth, deck), section(depth, thick, floor, deck)];
  return [heading, words, h("div", { class: unread.length ? "unread" : null }, drawings)];
}

function unreadWords(keys, known) {
  const what = keys.map((key) => BLANK[key].label.toLowerCase()).join(" and ");
  return `${what[0].toUpperCase()}${what.slice(1)} cannot be read: ${known ? "drawn as it was before" : "nothing is drawn until it can"}.`;
}

function plan(width, depth, deck) {
  const known = knownOutline();
  const drawn = known ?? usualOutline(width, depth);
  const at = ([x, y]) => `${x},${depth - y}`;
  const legs = (job.others.joint ?? []).filter(
    (one) => one.kind === "leg mortise" && typeof one.x_mm === "number" && typeof one.y_mm === "number",
  );
  const lines = glueLines(job, width);
  const glued = lines.length ? `, and ${lines.length} glue line${lines.length > 1 ? "s" : ""}` : "";
  const words = `Plan of the blank, ${writeLength(width, job.units)} wide and ${writeLength(depth, job.units)} deep, with a deck of ${writeLength(deck, job.units)} at the rear${glued}.`;
  return h(
    "svg",
    {
      viewBox: `${-width / 2 - MARGIN} ${-MARGIN} ${width + 2 * MARGIN} ${depth + 2 * MARGIN}`,
      class: "drawing",
      role: "img",
      "aria-label": words,
    },
    h("polygon", { points: drawn.map(at).join(" "), class: "wood-face" }),
    deck > 0 && h("line", { x1: -width / 2, x2: width / 2, y1: depth - deck, y2: depth - deck, class: "dashed" }),
    h("line", { x1: 0, x2: 0, y1: 0, y2: depth, class: "centre" }),
    lines.map((x) => glueLine(x, drawn, depth)),
    legs.flatMap((leg) =>
      [-1, 1].map((side) =>
        h("circle", {
          cx: side * leg.x_mm,
          cy: depth - leg.y_mm,
          r: (leg.diameter_mm ?? 25) / 2,
          class: "hidden-edge",
        }),
      ),
    ),
    h("text", { x: 0, y: -14, class: "letter strong middle" }, "FRONT"),
    h("text", { x: -width / 2, y: -14, class: "letter" }, "LEFT"),
    h("text", { x: width / 2, y: -14, class: "letter end" }, "RIGHT"),
    deck > 24 && h("text", { x: -width / 2 + 70, y: depth - deck / 2 + 6, class: "letter faint" }, "deck"),
    h(
      "text",
      { x: 0, y: depth + 28, class: "letter faint middle" },
      `${writeLength(width, job.units)} × ${writeLength(depth, job.units)}`,
    ),
  );
}

// Until the seat is shaped: the outline of that name, stretched to the blank's size.
function usualOutline(width, depth) {
  const points = vocabulary.outlines[job.blank.outline ?? OUTLINE];
  const [wide, deep] = [0, 1].map((axis) => Math.max(...points.map((point) => point[axis])));
  return points.map(([x, y]) => [(x * width) / (2 * wide), (y * depth) / deep]);
}

// From rear to front, as far as the outline reaches there.
function glueLine(x, outline, depth) {
  const [rear, front] = reachAt(x, outline);
  return h("line", { x1: x, x2: x, y1: depth - rear, y2: depth - front, class: "glue-line" });
}

function reachAt(x, outline) {
  const met = outline.flatMap(([x1, y1], at) => {
    const [x2, y2] = outline[(at + 1) % outline.length];
    if (x1 === x2 || (x - x1) * (x - x2) > 0) return [];
    return [y1 + ((y2 - y1) * (x - x1)) / (x2 - x1)];
  });
  return met.length ? [Math.min(...met), Math.max(...met)] : [0, 0];
}

// The section stands for a hollow; heights are drawn twice as large as lengths.
function section(depth, thick, floor, deck) {
  const tall = 2;
  const hollow = Math.max(0, Math.min(lengthOf(job, "wishes", "depth_mm"), thick - floor));
  const path = `M0 0H${deck}Q${deck + 40} ${hollow * tall * 1.1} ${depth * 0.38} ${hollow * tall}T${depth - 20} ${4 * tall}Q${depth} ${7 * tall} ${depth} ${18 * tall}V${thick * tall}H0z`;
  const words = `Section along the centre line, not to scale: ${writeLength(thick, job.units)} thick, at least ${writeLength(floor, job.units)} left under the hollow.`;
  return h(
    "figure",
    {},
    h(
      "svg",
      { viewBox: `-30 -18 ${depth + 60} ${thick * tall + 44}`, class: "drawing", role: "img", "aria-label": words },
      h("path", { d: path, class: "wood-cut" }),
      h("line", { x1: 0, x2: depth, y1: (thick - floor) * tall, y2: (thick - floor) * tall, class: "dashed" }),
      h(
        "text",
        { x: depth / 2, y: thick * tall - (floor * tall) / 2 + 6, class: "letter middle" },
        `floor ${writeLength(floor, job.units)}`,
      ),
      h("text", { x: 0, y: thick * tall + 22, class: "letter faint" }, "REAR"),
      h("text", { x: depth, y: thick * tall + 22, class: "letter faint end" }, "FRONT"),
    ),
    h(
      "figcaption",
      { class: "small" },
      "Along the centre line, heights doubled; the hollow is only sketched.",
    ),
  );
}
