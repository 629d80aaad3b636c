// The readings in a file of their own, to save and to open; and those that the sheet at hand does not show.

import { h, fill, newId } from "../parts/element.js";
import { change, job } from "../job/job.js";
import { nameOfFile } from "../order/order-of-job.js";
import { readingsCsv, readingsOf, takeReadings } from "./readings-csv.js";
import { readElsewhere, settleUnsure, unsureReadings } from "./readings.js";
import { saveAs } from "../service/requests.js";

/**
 * The card; `sheet` has the crossings and columns at hand, `redraw` draws the gauge anew, and `told` is the place for
 * what is said of a file, which outlasts that.
 */
export function readingsCard(sheet, redraw, told) {
  const picker = h("input", {
    type: "file",
    accept: ".csv,text/csv",
    id: newId("readings"),
    class: "unseen",
    onchange: () => open(picker, told, redraw),
  });
  const count = Object.values(job.gauge.readings).filter((one) => one.text).length;
  return h(
    "section",
    { class: "card", "aria-labelledby": "readings-file" },
    h("h2", { id: "readings-file" }, "The readings’ file"),
    h(
      "p",
      { class: "small" },
      "A CSV with the columns of a gauge sheet. Opened again, the readings stand here as they were typed; seatmesh gauge check reads it too.",
    ),
    elsewhere(sheet),
    h(
      "div",
      { class: "row" },
      h("button", { type: "button", disabled: !count, onclick: () => save(sheet, told) }, "Save the readings"),
      h("label", { class: "button file-label" }, picker, "Open readings"),
      clearing(count, sheet, redraw),
    ),
    told,
  );
}

/** The question about readings that an older page kept without their unit, null where there are none. */
export function unsureQuestion(redraw) {
  const found = unsureReadings();
  if (!found.length) return null;
  const settle = (units) => () => {
    settleUnsure(units);
    redraw();
  };
  return h(
    "div",
    { class: "refusal", role: "alert" },
    h(
      "p",
      {},
      `${found.length} reading${found.length > 1 ? "s were" : " was"} kept by an older page without unit, and ${found.length > 1 ? "are" : "is"} taken as ${found[0].units === "in" ? "inches" : "mm"}. Which is right?`,
    ),
    h(
      "div",
      { class: "row" },
      h("button", { type: "button", onclick: settle("mm") }, "They are in mm"),
      h("button", { type: "button", onclick: settle("in") }, "They are in inches"),
    ),
  );
}

function elsewhere({ crossings }) {
  const count = crossings.length ? readElsewhere(crossings).length : 0;
  if (!count) return null;
  return h(
    "p",
    { class: "small" },
    count === 1
      ? "1 reading lies between these crossings. It is kept, and is in the file."
      : `${count} readings lie between these crossings. They are kept, and are in the file.`,
  );
}

function save({ crossings, columns }, told) {
  const { text, left } = readingsCsv(crossings, columns);
  saveAs(new Blob([text], { type: "text/csv" }), `${nameOfFile()}-readings-mm.csv`);
  fill(
    told,
    left.length
      ? h("p", { class: "refusal" }, `Not in the file, as it is no length yet: crossing ${left.join(", ")}.`)
      : null,
  );
}

async function open(picker, told, redraw) {
  const [chosen] = picker.files;
  picker.value = "";
  if (!chosen) return;
  fill(told);
  try {
    const file = readingsOf(await chosen.text());
    const count = Object.values(file.readings).filter((one) => one.text).length;
    if (!count) throw new Error("it holds no readings.");
    const other = takeReadings(file);
    if (other.length) ask(file, other.length, told, redraw);
    else redraw();
  } catch (error) {
    fill(told, h("p", { class: "refusal" }, `“${chosen.name}” is not opened: ${error.message}`));
  }
}

function ask(file, count, told, redraw) {
  const take = (over) => () => {
    takeReadings(file, over);
    fill(told);
    redraw();
  };
  fill(
    told,
    h("p", {}, `At ${count} crossing${count > 1 ? "s" : ""} there is another reading here already. Which do you keep?`),
    h(
      "div",
      { class: "row" },
      h("button", { type: "button", onclick: take(true) }, "The file’s"),
      h("button", { type: "button", onclick: take(false) }, "Those here"),
    ),
  );
  told.querySelector("button").focus();
}

function clearing(count, sheet, redraw) {
  const { cleared } = job.gauge;
  const doing = count
    ? (gauge) => Object.assign(gauge, { cleared: gauge.readings, readings: {} })
    : (gauge) => {
        gauge.readings = gauge.cleared;
        delete gauge.cleared;
      };
  if (!count && !cleared) return null;
  return h(
    "button",
    {
      type: "button",
      class: "quiet",
      onclick: () => {
        change((one) => doing(one.gauge));
        sheet.answer = null;
        redraw();
      },
    },
    count ? "Clear all readings" : "Put the cleared readings back",
  );
}
