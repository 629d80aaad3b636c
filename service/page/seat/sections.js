// Sections: the hollow cut across at a station and along at a distance from the centre line, and the same as a table.

import { h, fill, newId, sideways } from "../parts/element.js";
import { boxOf, depthReader } from "../drawings/read-grids.js";
import { job } from "../job/job.js";
import { stepMm, writeLength } from "../parts/lengths.js";
import { onSeatWhileShown } from "../service/refusals.js";
import { oldMark } from "./old-mark.js";
import { seat } from "./shaped-seat.js";
import { beginSection, putSection, sectionAt, spanAt } from "./section-places.js";
import { lengthOf } from "../order/usual-values.js";

const TALL = 2;

export function sections() {
  const place = h("section", { class: "card", "aria-labelledby": "sections" });
  const draw = () => {
    if (seat.grid) fill(place, h("h2", { id: "sections" }, "Sections"), oldMark(), one("across"), one("along"), note());
  };
  draw();
  onSeatWhileShown(place, (news) => {
    if (news.state === "shaped") draw();
  });
  return place;
}

function note() {
  return h("p", { class: "small" }, "Heights are drawn at twice the scale of lengths.");
}

function one(way) {
  const [left, right, , front] = boxOf(seat.grid.outline_mm);
  beginSection(way, seat.report?.hollow.deepest_y_mm ?? 150);
  const [low, high] = way === "across" ? [0, front] : [left, right];
  const id = newId("station");
  const drawing = h("div", { "aria-live": "off" });
  const told = h("output", { for: id });
  const draw = () => {
    fill(told, stationWords(way));
    fill(drawing, ...sectionOf(way));
  };
  const slider = h("input", {
    id,
    type: "range",
    min: low,
    max: high,
    step: stepMm(job.units) * 2,
    value: sectionAt(way),
    oninput: () => {
      putSection(way, Number(slider.value));
      slider.setAttribute("aria-valuetext", stationWords(way));
      draw();
    },
  });
  draw();
  return h(
    "div",
    { class: "station" },
    h("label", { for: id, class: "row spread" }, h("strong", {}, way === "across" ? "Across" : "Along"), told),
    slider,
    drawing,
  );
}

function stationWords(way) {
  const place = sectionAt(way);
  if (way === "across") return `${writeLength(place, job.units)} from the rear edge`;
  const side = place < 0 ? "to the sitter’s left" : "to the sitter’s right";
  return Math.abs(place) < 0.3 ? "on the centre line" : `${writeLength(Math.abs(place), job.units)} ${side}`;
}

// How deep the hollow is: the roll along the front edge drops away too, and is none of it.
function sectionOf(way) {
  const depth = depthReader(seat.grid);
  const [left, right, , front] = boxOf(seat.grid.outline_mm);
  const [low, high] = spanAt(way, sectionAt(way), seat.grid.outline_mm);
  const thick = lengthOf(job, "blank", "thickness_mm");
  const height = (u) => (way === "across" ? depth(u, sectionAt(way)) : depth(sectionAt(way), u));
  const steps = Array.from({ length: 161 }, (_, number) => low + ((high - low) * number) / 160);
  const surface = steps.map((u) => `${u.toFixed(1)},${(TALL * height(u)).toFixed(2)}`);
  const hollow = steps.filter((u) => way === "across" || u <= high - lengthOf(job, "wishes", "front_roll_mm"));
  const deepest = hollow.reduce((best, u) => (height(u) > height(best) ? u : best), low);
  const [from, to] = way === "across" ? [left, right] : [0, front];
  const ends = way === "across" ? ["LEFT", "RIGHT"] : ["REAR", "FRONT"];
  return [
    h(
      "svg",
      {
        viewBox: `${from - 20} -26 ${to - from + 40} ${TALL * thick + 52}`,
        class: "drawing",
        role: "img",
        "aria-label": `Section ${way}, ${stationWords(way)}: deepest ${writeLength(height(deepest), job.units)}.`,
      },
      h("polygon", {
        points: [...surface, `${high},${TALL * thick}`, `${low},${TALL * thick}`].join(" "),
        class: "wood-cut",
      }),
      h("line", { x1: low, x2: high, y1: 0, y2: 0, class: "dashed" }),
      h("line", { x1: deepest, x2: deepest, y1: 0, y2: TALL * height(deepest), class: "measure-line" }),
      h("text", { x: deepest, y: -8, class: "letter middle" }, writeLength(height(deepest), job.units)),
      h("text", { x: from, y: TALL * thick + 20, class: "letter faint" }, ends[0]),
      h("text", { x: to, y: TALL * thick + 20, class: "letter faint end" }, ends[1]),
    ),
    depthTable(way, low, high, height),
  ];
}

function depthTable(way, low, high, height) {
  const every = job.units === "in" ? 25.4 * 2 : 50;
  const places = Array.from({ length: 41 }, (_, number) => (number - 20) * every).filter((u) => u >= low && u <= high);
  return h(
    "details",
    {},
    h("summary", {}, "Depths along it"),
    sideways(
      `Depths ${way}`,
      h(
        "table",
        {},
        h(
          "tbody",
          {},
          h(
            "tr",
            {},
            h("th", { scope: "row" }, way === "across" ? "From the centre line" : "From the rear edge"),
            places.map((u) => h("td", { class: "number" }, writeLength(u, job.units, 0))),
          ),
          h(
            "tr",
            {},
            h("th", { scope: "row" }, "Depth"),
            places.map((u) => h("td", { class: "number" }, writeLength(height(u), job.units))),
          ),
        ),
      ),
    ),
  );
}
