// At the bench: gauge readings, one crossing after the other on large keys, answered with where to cut next.

import { h, fill } from "../parts/element.js";
import { goThrough, goTo } from "./at-hand.js";
import { lengthOf } from "../order/usual-values.js";
import { change, job } from "../job/job.js";
import { crossingMap, mapKey } from "./crossing-map.js";
import { gaugeAnswer } from "./where-to-cut.js";
import { quantity } from "../parts/quantity-field.js";
import { redrawKeepingPlace } from "../parts/redraw-in-place.js";
import { questioned, readingCard } from "./reading-card.js";
import { readingsCard, unsureQuestion } from "./readings-card.js";
import { isReadable } from "./doubt.js";
import { placeKey, readingMm, readingRows } from "./readings.js";
import { onSeatWhileShown } from "../service/refusals.js";
import { inOrder, placesOfCut } from "./walk.js";
import { seat } from "../seat/shaped-seat.js";
import { ask, askJson } from "../service/requests.js";
import { writeLength } from "../parts/lengths.js";

/** The sheet at hand: for which seat and gauge, and its crossings; the answer to the last check, and of which readings. */
const sheet = {
  for: "",
  crossings: [],
  columns: [],
  thickness_mm: 0,
  refusal: null,
  answer: null,
  answered: "",
  answeredFor: "",
  wanted: false,
};

/** The gauge; `large` fills the window with one crossing. */
export function gauge({ large = false } = {}) {
  const place = h("div");
  const told = h("div", { role: "alert" });
  const redraw = () => fill(place, content(draw, told, large));
  // Whoever is keying in goes on: what the service answers late takes no key and no field from them.
  const draw = () => redrawKeepingPlace(place, redraw);
  redraw();
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
  Object.assign(sheet, {
    for: key,
    refusal: null,
    thickness_mm: lengthOf(job, "blank", "thickness_mm"),
  });
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
  const crossings = lines.map((cells) =>
    Object.fromEntries(columns.map((name, at) => [name, name === "note" ? cells[at] : Number(cells[at])])),
  );
  return { columns, crossings };
}

function content(draw, told, large) {
  const again = () => {
    draw();
    load(draw);
  };
  const question = unsureQuestion(again);
  const isThere = !sheet.refusal && sheet.crossings.length > 0;
  if (isThere && large) return [question, readingCard(sheet, { draw, large, check: () => leaveAndCheck() })];
  const set = setUp(draw);
  const file = readingsCard(sheet, again, told);
  if (sheet.refusal) return [question, set, h("p", { class: "refusal", role: "alert" }, sheet.refusal), file];
  if (!isThere)
    return [
      question,
      set,
      h("p", { class: "card" }, seat.state === "shaping" ? "Shaping the seat …" : "Working out the crossings …"),
      file,
    ];
  return [
    question,
    set,
    h(
      "div",
      { class: "columns two" },
      readingCard(sheet, { draw, large, check: () => check(draw) }),
      h("div", {}, answerCard(draw), mapCard(), file),
    ),
  ];
}

function leaveAndCheck() {
  sheet.wanted = true;
  location.hash = "#bench/gauge";
}

function answerCard(draw) {
  const read = (one) => {
    goTo(one);
    draw();
    document.querySelector(".keys")?.focus();
  };
  return gaugeAnswer(sheet, {
    isOld: sheet.answer && sheet.answeredFor !== readingsNow(),
    waiting: questioned(sheet),
    read,
    readPoint: (point) => read(sheet.crossings.find((one) => one.point === point)),
    readPoints: (points) => {
      const there = points.map((point) => sheet.crossings.find((one) => one.point === point)).filter(Boolean);
      goThrough({ title: "To read next", places: inOrder(there).map(placeKey) });
      location.hash = "#bench/read";
    },
    readCut: (cut, number) => {
      goThrough({
        title: `Cut ${number}, read again once it is made`,
        places: placesOfCut(cut, sheet.answer, sheet.crossings),
        isCut: true,
      });
      location.hash = "#bench/read";
    },
  });
}

function mapCard() {
  return h(
    "section",
    { class: "card", "aria-labelledby": "map-of-readings" },
    h("h2", { id: "map-of-readings" }, "Read so far"),
    crossingMap(sheet.crossings, null, {
      thickness_mm: sheet.thickness_mm,
      words: "Map of the crossings, which fills in as they are read; the key below counts them.",
    }),
    mapKey(sheet.crossings, sheet.thickness_mm),
    h("p", { class: "small" }, "As read, if the bar sits as it should."),
  );
}

function readingsNow() {
  return JSON.stringify(job.gauge.readings);
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
    { class: "card your-gauge" },
    h("summary", {}, h("span", {}, "Your gauge ", h("span", { class: "small" }, gaugeWords()))),
    h(
      "p",
      {},
      "Lay the bar across, let the rod down at each crossing, key in what it shows. Skip what you like; a few readings are enough to begin with.",
    ),
    h("p", { class: "small" }, "A reading is bar height, plus rod offset, plus depth."),
    field("spacing_mm", "Spacing of the crossings", [5, 150], "From centre line and rear edge."),
    field("bar_height_mm", "Bar height", [0, 1000], "How far the bar’s datum stands above the wood it rests on."),
    field("rod_offset_mm", "Rod offset", [-1000, 1000], "What the rod shows with its tip level with the datum."),
    field("tolerance_mm", "Close enough", [0.05, 10], "Wood within this is done."),
  );
}

// It is seen at once what the readings are taken by, without opening it.
function gaugeWords() {
  const { spacing_mm: spacing, bar_height_mm: height, rod_offset_mm: offset } = job.gauge;
  const say = (value) => (typeof value === "number" ? writeLength(value, job.units) : "?");
  return `Bar ${say(height)} above the wood, rod offset ${say(offset)}, a crossing every ${say(spacing)}`;
}

// Asked while the seat is shaped anew, the answer would be about the one before: it is asked when the new sheet is there.
async function check(draw) {
  sheet.wanted = true;
  if (seat.state !== "shaped") return;
  const mine = sheet.for;
  const readings = rowsToCheck();
  const news = { answer: null, answered: null, answeredFor: readingsNow() };
  try {
    news.answer = await askJson(`/seats/${seat.id}/gauge-checks`, {
      body: { readings, tolerance_mm: job.gauge.tolerance_mm ?? 0.5, units: job.units, set_aside: true },
    });
  } catch (error) {
    news.answered = error.message;
  }
  if (sheet.for !== mine) return;
  Object.assign(sheet, news, { wanted: false });
  draw();
  document.getElementById("cut-next")?.focus();
}

// A number that is questioned waits for its answer: it is not sent, and keeps no other from counting.
// A sheet without the column comes of a release that knows neither a second reading nor one beside the sheet.
function rowsToCheck() {
  const waiting = new Set(questioned(sheet).map(({ reading }) => reading));
  const sound = readingRows(sheet.crossings).filter(
    ({ reading }) => !waiting.has(reading) && (!reading.text || isReadable(reading)),
  );
  const rows = sound.map(({ crossing, reading }) => {
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
