// At the bench: gauge readings, one crossing after the other on large keys, answered with where to cut next.

import { h, fill } from "../parts/element.js";
import { draftOf, keepDrafts } from "../job/form-drafts.js";
import { change, job } from "../job/job.js";
import { writeLength } from "../parts/lengths.js";
import { crossingPlan } from "./crossing-plan.js";
import { gaugeAnswer } from "./where-to-cut.js";
import { keypad } from "./keypad.js";
import { placeWords } from "../drawings/contact-map.js";
import { quantity } from "../parts/quantity-field.js";
import { readingsCard, unsureQuestion } from "./readings-card.js";
import {
  confirmReading,
  isRead,
  keyedSoFar,
  keyReading,
  readingAt,
  readingInUnits,
  readingMm,
  readingRows,
  readingWords,
} from "./readings.js";
import { onSeatWhileShown } from "../service/refusals.js";
import { seat } from "../seat/shaped-seat.js";
import { ask, askJson } from "../service/requests.js";

/** Where the finished seat is no deeper, its wood is uncut. */
const UNCUT_MM = 0.02;

/** The sheet at hand: for which seat and gauge, and its crossings; the answer to the last check. */
const sheet = { for: "", crossings: [], columns: [], refusal: null, answer: null, answered: "", wanted: false };

export function gauge() {
  const place = h("div");
  const told = h("div", { role: "alert" });
  const draw = () => fill(place, content(draw, told));
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
  if (seat.state !== "shaped") return;
  if (key === sheet.for) {
    if (sheet.wanted) check(draw);
    return;
  }
  Object.assign(sheet, { for: key, refusal: null });
  try {
    const answer = await ask(`/seats/${seat.id}/gauge-sheet.csv?${new URLSearchParams({ ...settings(), units: "mm" })}`);
    Object.assign(sheet, { ...crossingsOf(await answer.text()), answer: null });
  } catch (error) {
    Object.assign(sheet, { crossings: [], columns: [], refusal: error.message, wanted: false });
  }
  draw();
  if (sheet.wanted) check(draw);
}

/** The columns and the crossings of a gauge sheet's CSV. */
function crossingsOf(text) {
  const [columns, ...lines] = text
    .trim()
    .split("\n")
    .map((line) => line.split(","));
  const crossings = lines.map((cells) => Object.fromEntries(columns.map((name, at) => [name, Number(cells[at])])));
  return { columns, crossings };
}

function content(draw, told) {
  const set = setUp(draw);
  const again = () => {
    draw();
    load(draw);
  };
  const file = readingsCard(sheet, again, told);
  const question = unsureQuestion(again);
  if (sheet.refusal) return [question, h("p", { class: "refusal", role: "alert" }, sheet.refusal), set, file];
  if (!sheet.crossings.length)
    return [
      question,
      h("p", { class: "card" }, seat.state === "shaping" ? "Shaping the seat …" : "Working out the crossings …"),
      set,
      file,
    ];
  return [
    question,
    h("div", { class: "columns two" }, reading(draw), h("div", {}, gaugeAnswer(sheet), file, set)),
  ];
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
  );
}

// On the deck every seat is flat: reading begins where wood is taken.
function firstCarved(all) {
  return Math.max(
    0,
    all.findIndex((one) => one.expected_mm - one.datum_mm > 0.5),
  );
}

function reading(draw) {
  const all = sheet.crossings;
  const place = draftOf("gauge", { at: null });
  const at = Math.min(place.at ?? firstCarved(all), all.length - 1);
  const crossing = all[at];
  const done = all.filter(isRead).length;
  const shown = h("output", { class: "shown", "aria-live": "off" });
  const told = h("p", { class: "told", role: "status" });
  const twice = h("div");
  const tell = () => {
    const now = readingAt(crossing);
    const also = readingInUnits(now);
    fill(shown, readingWords(now), also ? h("span", { class: "small under" }, `that is ${also}`) : null);
    fill(told, tellReading(now, crossing));
    fill(twice, sheet.columns.includes("confirmed") && readingMm(now) !== null ? confirming(crossing) : null);
  };
  const put = (text) => {
    keyReading(crossing, text);
    tell();
  };
  const goTo = (number) => {
    place.at = (number + all.length) % all.length;
    keepDrafts();
    draw();
  };
  const go = (by) => {
    goTo(at + by);
    document.querySelector(".keys")?.focus();
  };
  tell();
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
    keypad({ value: () => keyedSoFar(crossing), put, next: () => go(1), back: () => go(-1) }),
    twice,
    crossingPlan(all, crossing, goTo),
    h(
      "button",
      { type: "button", class: "go whole", disabled: !done, onclick: () => check(draw) },
      "Where to cut next",
    ),
  );
}

function confirming(crossing) {
  const tick = h("input", {
    type: "checkbox",
    checked: Boolean(readingAt(crossing).confirmed),
    onchange: () => confirmReading(crossing, tick.checked),
  });
  return h("label", { class: "tick" }, tick, "Read twice, the bar set down anew: it shows the same");
}

function tellReading(now, crossing) {
  if (!now?.text) return "";
  const mm = readingMm(now);
  if (mm === null)
    return now.units === "in" ? "Not a length yet: whole inches, then and, then the fraction." : "Not a length yet.";
  const left = crossing.expected_mm - mm;
  const close = job.gauge.tolerance_mm ?? 0.5;
  const by = writeLength(Math.abs(left), job.units);
  if (Math.abs(left) <= close) return "It shows what it should when the seat is done.";
  if (crossing.expected_mm - crossing.datum_mm <= UNCUT_MM)
    return `This wood stays uncut: the bar sits ${by} ${left > 0 ? "low" : "high"} here, or the point was misread.`;
  return left > 0
    ? `${by} less than when it is done: wood still to take, or a bar that sits low. Ask where to cut before you cut.`
    : `${by} more than when it is done: too deep, misread, or a bar that sits high.`;
}

// Asked while the seat is shaped anew, the answer would be about the one before: it is asked when the new sheet is there.
async function check(draw) {
  sheet.wanted = true;
  if (seat.state !== "shaped") return;
  const mine = sheet.for;
  const readings = rowsToCheck();
  const news = { answer: null, answered: null };
  try {
    news.answer = await askJson(`/seats/${seat.id}/gauge-checks`, {
      body: { readings, tolerance_mm: job.gauge.tolerance_mm ?? 0.5, units: job.units },
    });
  } catch (error) {
    news.answered = error.message;
  }
  if (sheet.for !== mine) return;
  Object.assign(sheet, news, { wanted: false });
  draw();
  document.getElementById("cut-next")?.focus();
}

// A sheet without the column comes of a release that knows neither a second reading nor one beside the sheet.
function rowsToCheck() {
  const rows = readingRows(sheet.crossings).map(({ crossing, reading }) => {
    const { point, x_mm, y_mm, expected_mm, datum_mm } = crossing;
    const row = { point, x_mm, y_mm, expected_mm, datum_mm, reading_mm: readingMm(reading) };
    if (crossing.placing !== undefined) row.placing = crossing.placing;
    Object.assign(row, reading.extra);
    return reading.confirmed ? { ...row, confirmed: "1" } : row;
  });
  const read = rows.filter((one) => one.reading_mm !== null || one.left_proud_mm);
  if (sheet.columns.includes("confirmed")) return read;
  const points = new Set();
  return read
    .filter(({ point, expected_mm }) => expected_mm !== undefined && !points.has(point) && points.add(point))
    .map(({ confirmed, placing, ...row }) => row);
}
