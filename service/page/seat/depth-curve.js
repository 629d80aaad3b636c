// What each millimetre of depth buys: the peak against the depth of the hollow, drawn and in words.

import { h } from "../parts/element.js";
import { job } from "../job/job.js";
import { figure, writeLength } from "../parts/lengths.js";

const [WIDTH, HEIGHT, LEFT, BELOW, ABOVE, RIGHT] = [560, 320, 56, 62, 24, 130];
const FELT = 0.1; // a lesser difference of pressure cannot be felt (Goossens et al. 2005)
const APART = 24; // of names at the ends of curves, in units of the drawing
const DASHES = ["", "10 5", "3 4", "12 4 3 4"];

export function depthCurve(sitters, depthNow) {
  const rows = sitters.flatMap((one) => one.peak_by_depth);
  const most = Math.max(...rows.map((one) => one.depth_mm), depthNow ?? 0, 1);
  const top = 10 * Math.ceil(Math.max(...rows.map((one) => one.peak_kpa)) / 10);
  const x = (depth) => LEFT + ((WIDTH - LEFT - RIGHT) * depth) / most;
  const y = (kpa) => HEIGHT - BELOW - ((HEIGHT - BELOW - ABOVE) * kpa) / top;
  const ends = spread(sitters.map((one) => y(one.peak_by_depth.at(-1).peak_kpa)));
  return h(
    "svg",
    {
      viewBox: `0 0 ${WIDTH} ${HEIGHT}`,
      class: "drawing chart",
      role: "img",
      "aria-label": "Peak pressure against depth of the hollow; the table below says the same.",
    },
    levels(top).map((kpa) => [
      h("line", { x1: LEFT, x2: WIDTH - RIGHT, y1: y(kpa), y2: y(kpa), class: "thin" }),
      h("text", { x: LEFT - 8, y: y(kpa) + 5, class: "chart-letter end" }, kpa),
    ]),
    sitters[0].peak_by_depth
      .filter((_, number) => job.units === "mm" || number % 2 === 0)
      .map((one) =>
        h("text", { x: x(one.depth_mm), y: HEIGHT - BELOW + 22, class: "chart-letter middle" }, short(one.depth_mm)),
      ),
    depthNow !== null && [
      h("line", { x1: x(depthNow), x2: x(depthNow), y1: ABOVE, y2: HEIGHT - BELOW, class: "dashed" }),
      h("text", { x: x(depthNow), y: ABOVE - 6, class: "chart-letter middle" }, "asked for"),
    ],
    sitters.map((one, number) => line(one, number, x, y, ends[number])),
    h(
      "text",
      { x: (LEFT + WIDTH - RIGHT) / 2, y: HEIGHT - 6, class: "chart-letter middle" },
      `depth of the hollow, ${job.units === "in" ? "inches" : "mm"}`,
    ),
    h("text", { x: LEFT + 6, y: ABOVE - 6, class: "chart-letter" }, "kPa"),
  );
}

function short(mm) {
  return writeLength(mm, job.units).replace(" mm", "");
}

function levels(top) {
  const step = top > 40 ? 20 : 10;
  return Array.from({ length: Math.floor(top / step) + 1 }, (_, number) => number * step);
}

function line(one, number, x, y, at) {
  const points = one.peak_by_depth.map((row) => `${x(row.depth_mm)},${y(row.peak_kpa)}`);
  const last = one.peak_by_depth.at(-1);
  return h(
    "g",
    {},
    h("polyline", {
      points: points.join(" "),
      class: "curve",
      "stroke-dasharray": DASHES[number % DASHES.length] || null,
    }),
    one.peak_by_depth.map((row) => h("circle", { cx: x(row.depth_mm), cy: y(row.peak_kpa), r: 4, class: "dot" })),
    h("text", { x: x(last.depth_mm) + 12, y: at + 5, class: "chart-letter" }, one.name),
  );
}

// Names at the curves' ends are moved apart where they would cover one another.
function spread(places) {
  const order = places.map((_, number) => number).sort((a, b) => places[a] - places[b]);
  const out = [...places];
  order.forEach((number, rank) => {
    if (rank) out[number] = Math.max(out[number], out[order[rank - 1]] + APART);
  });
  // The lowest stays clear of the figures below; those above make room.
  let most = HEIGHT - BELOW - 8;
  for (const number of order.reverse()) {
    out[number] = Math.min(out[number], most);
    most = out[number] - APART;
  }
  return out;
}

/** The same as a table for one sitter, in the words of the report. */
export function depthWords(sitter) {
  let last = sitter.peak_by_depth[0];
  const rows = sitter.peak_by_depth.map((row, number) => {
    const than = writeLength(last.depth_mm, job.units);
    const other = last.depth_mm ? than : "the bare blank";
    const change = row.peak_kpa / last.peak_kpa - 1;
    let words = number ? `feels the same as ${other}` : "the bare blank";
    if (number && Math.abs(change) >= FELT) {
      words = `feels ${change < 0 ? "softer" : "harder"} than ${other}`;
      last = row;
    }
    return h(
      "tr",
      {},
      h("th", { scope: "row" }, writeLength(row.depth_mm, job.units)),
      h("td", { class: "number" }, `${figure(row.peak_kpa, 1)} kPa`),
      h("td", {}, words),
    );
  });
  return h(
    "table",
    {},
    h("caption", {}, sitter.name),
    h(
      "thead",
      { class: "unseen" },
      h(
        "tr",
        {},
        ["Depth", "Peak", "What is felt"].map((one) => h("th", { scope: "col" }, one)),
      ),
    ),
    h("tbody", {}, rows),
  );
}
