// At the bench: gauge readings, one crossing after the other on large keys, answered with where to cut next.

import { h, fill } from "./element.js";
import { change, job } from "./job.js";
import { readLength, writeLength } from "./lengths.js";
import { crossingPlan } from "./crossing-plan.js";
import { gaugeAnswer } from "./gauge-answer.js";
import { keypad } from "./keypad.js";
import { placeWords } from "./contact-map.js";
import { quantity } from "./quantity.js";
import { onSeatWhileShown } from "./refusals.js";
import { seat } from "./seat.js";
import { ask, askJson } from "./service.js";

/** The sheet at hand: for which seat and gauge, and its crossings; the answer to the last check. */
const sheet = { for: "", crossings: [], refusal: null, answer: null, answered: "" };

export function gauge() {
  const place = h("div");
  const draw = () => fill(place, content(draw));
  draw();
  load(draw);
  onSeatWhileShown(place, () => load(draw));
  return place;
}

function settings() {
  const { spacing_mm, bar_height_mm, rod_offset_mm } = job.gauge;
  return { spacing_mm, bar_height_mm, rod_offset_mm };
}

async function load(draw) {
  const key = `${seat.id} ${JSON.stringify(settings())}`;
  if (seat.state !== "shaped" || key === sheet.for) return;
  Object.assign(sheet, { for: key, refusal: null });
  try {
    const answer = await ask(`/seats/${seat.id}/gauge-sheet.csv?${new URLSearchParams(settings())}`);
    Object.assign(sheet, { crossings: crossingsOf(await answer.text()), answer: null });
  } catch (error) {
    Object.assign(sheet, { crossings: [], refusal: error.message });
  }
  draw();
}

/** The crossings of a gauge sheet's CSV. */
function crossingsOf(text) {
  const [head, ...lines] = text
    .trim()
    .split("\n")
    .map((line) => line.split(","));
  return lines.map((cells) => Object.fromEntries(head.map((name, column) => [name, Number(cells[column])])));
}

function content(draw) {
  const set = setUp(draw);
  if (sheet.refusal) return [h("p", { class: "refusal", role: "alert" }, sheet.refusal), set];
  if (!sheet.crossings.length)
    return [
      h("p", { class: "card" }, seat.state === "shaping" ? "Shaping the seat …" : "Working out the crossings …"),
      set,
    ];
  return [h("div", { class: "columns two" }, reading(draw), h("div", {}, gaugeAnswer(sheet), set))];
}

function setUp(draw) {
  const field = (key, label, range, hint) =>
    quantity({
      key: `gauge.${key}`,
      label,
      range,
      hint,
      value: job.gauge[key],
      put: (value) =>
        change((one) => {
          one.gauge[key] = value;
        }),
      after: () => load(draw),
    });
  return h(
    "details",
    { class: "card" },
    h("summary", {}, "Your gauge"),
    h(
      "p",
      {},
      "Lay the bar across, let the rod down at each crossing, key in what it shows. Skip what you like; a few readings answer already.",
    ),
    h("p", { class: "small" }, "A reading is bar height, plus rod offset, plus depth."),
    field("spacing_mm", "Spacing of the crossings", [5, 150], "From centre line and rear edge."),
    field("bar_height_mm", "Bar height", [0, 1000], "How far the bar’s datum stands above the wood it rests on."),
    field("rod_offset_mm", "Rod offset", [-1000, 1000], "What the rod shows with its tip level with the datum."),
    field("tolerance_mm", "Close enough", [0.05, 10], "Within this the wood is done."),
    h(
      "button",
      {
        type: "button",
        class: "quiet",
        onclick: () => {
          change((one) => {
            one.gauge.readings = {};
            one.gauge.at = null;
          });
          sheet.answer = null;
          draw();
        },
      },
      "Clear all readings",
    ),
  );
}

// On the deck every seat is flat: reading begins where wood is taken.
function firstCarved(all) {
  return Math.max(
    0,
    all.findIndex((one) => one.expected_mm - one.datum_mm > 0.5),
  );
}

/** What a reading belongs to: a place and a gauge, not a number on one seat's sheet. */
function placeKey(crossing) {
  return `${crossing.x_mm.toFixed(1)} ${crossing.y_mm.toFixed(1)}`;
}

function reading(draw) {
  const all = sheet.crossings;
  const at = Math.min(job.gauge.at ?? firstCarved(all), all.length - 1);
  const crossing = all[at];
  const typed = job.gauge.readings[placeKey(crossing)] ?? "";
  const done = all.filter((one) => job.gauge.readings[placeKey(one)]).length;
  const shown = h("output", { class: "shown", "aria-live": "off" }, typed || "–");
  const told = h("p", { class: "told", role: "status" }, tellReading(typed, crossing));
  const put = (text) => {
    change((one) => {
      if (text) one.gauge.readings[placeKey(crossing)] = text;
      else delete one.gauge.readings[placeKey(crossing)];
    });
    fill(shown, text || "–");
    fill(told, tellReading(text, crossing));
  };
  const go = (by) => {
    change((one) => {
      one.gauge.at = (at + by + all.length) % all.length;
    });
    draw();
    document.querySelector(".keys")?.focus();
  };
  return h(
    "section",
    { class: "card reading", "aria-labelledby": "crossing" },
    h(
      "h2",
      { id: "crossing", "aria-live": "polite" },
      `Crossing ${crossing.point}`,
      h("span", { class: "small" }, ` · ${done} of ${all.length} read`),
    ),
    h("p", { class: "where" }, placeWords(crossing.x_mm, crossing.y_mm)),
    h(
      "dl",
      { class: "expected" },
      h("dt", {}, "When it is done"),
      h("dd", {}, writeLength(crossing.expected_mm, job.units)),
      h("dt", {}, "The rod shows"),
      h("dd", {}, shown),
    ),
    told,
    keypad({ value: () => job.gauge.readings[placeKey(crossing)] ?? "", put, next: () => go(1), back: () => go(-1) }),
    crossingPlan(all, crossing, (number) => {
      change((one) => {
        one.gauge.at = number;
      });
      draw();
    }),
    h(
      "button",
      { type: "button", class: "go whole", disabled: !done, onclick: () => check(draw) },
      "Where to cut next",
    ),
  );
}

function tellReading(typed, crossing) {
  if (!typed) return "";
  const mm = readLength(typed, job.units);
  if (mm === null)
    return job.units === "in" ? "Not a length yet: whole inches, then and, then the fraction." : "Not a length yet.";
  const left = crossing.expected_mm - mm;
  const close = job.gauge.tolerance_mm ?? 0.5;
  if (Math.abs(left) <= close) return "Done here.";
  return left > 0
    ? `${writeLength(left, job.units)} still to take.`
    : `${writeLength(-left, job.units)} too deep, or misread.`;
}

async function check(draw) {
  const readings = sheet.crossings
    .map((one) => ({ ...one, reading_mm: readLength(job.gauge.readings[placeKey(one)] ?? "", job.units) }))
    .filter((one) => one.reading_mm !== null)
    .map(({ point, x_mm, y_mm, expected_mm, datum_mm, reading_mm }) => ({
      point,
      x_mm,
      y_mm,
      expected_mm,
      datum_mm,
      reading_mm,
    }));
  try {
    sheet.answer = await askJson(`/seats/${seat.id}/gauge-checks`, {
      body: { readings, tolerance_mm: job.gauge.tolerance_mm ?? 0.5, units: job.units },
    });
    sheet.answered = null;
  } catch (error) {
    sheet.answered = error.message;
  }
  draw();
  document.getElementById("cut-next")?.focus();
}
