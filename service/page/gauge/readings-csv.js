// The readings as a file: a CSV with the columns of a gauge sheet, which this page and `seatmesh gauge check` open again.

import { change, job } from "../job/job.js";
import { readLength, writeLength } from "../parts/lengths.js";
import { KEPT, placeKey, readingMm, readingRows } from "./readings.js";

const COLUMNS = ["point", "x_mm", "y_mm", "expected_mm", "reading_mm", "datum_mm"];
const NEEDED = ["x_mm", "y_mm", "reading_mm"];
const LARGEST = 5_000_000;
const MOST_ROWS = 5000;
const SPACING = [5, 150];
const YES = ["1", "yes", "true"];

/** The file's text; `columns` are those of the gauge sheet. What is no length yet cannot stand in it: `left` tells where. */
export function readingsCsv(crossings, columns) {
  const rows = readingRows(crossings);
  const names = [...new Set([...(columns.length ? columns : COLUMNS), ...needed(rows)])];
  const left = rows.filter(({ reading }) => reading.text && readingMm(reading) === null);
  const lines = rows
    .filter((row) => !left.includes(row))
    .map((row) => names.map((name) => quoted(cell(name, row))).join(","));
  return { text: [names.join(","), ...lines, ""].join("\n"), left: left.map(({ crossing }) => crossing.point) };
}

function needed(rows) {
  const kept = KEPT.filter((name) => rows.some(({ reading }) => reading.extra?.[name]));
  return rows.some(({ reading }) => reading.confirmed) ? ["confirmed", ...kept] : kept;
}

function cell(name, { crossing, reading }) {
  if (name === "reading_mm") return writtenWithUnit(reading);
  if (name === "confirmed") return reading.confirmed ? "1" : "";
  if (KEPT.includes(name)) return reading.extra?.[name] ?? "";
  const value = crossing[name];
  return value === undefined || Number.isNaN(value) || (name === "mirror_point" && !value) ? "" : String(value);
}

// The column is in mm: what was typed in inches says so.
function writtenWithUnit({ text, units }) {
  if (!text || units !== "in") return text ?? "";
  return readLength(text, "mm") === readLength(text, "in") ? text : `${text} in`;
}

function quoted(text) {
  return /[",;\t\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/**
 * Read a file's text. Returns readings by place, with `datum_mm` and `spacing_mm` where the file tells them; raises in
 * words, with the line.
 */
export function readingsOf(text) {
  if (text.length > LARGEST) throw new Error("it is too large for a gauge file.");
  const [head, ...lines] = cellsOf(text.replace(/^\uFEFF/, ""));
  const written = (head?.cells ?? []).map((one) => one.trim());
  const names = written.map((one) => one.replace(/_in$/, "_mm"));
  const missing = NEEDED.filter((name) => !names.includes(name));
  if (missing.length) throw new Error(`its first line does not name ${missing.join(", ")}, as a gauge sheet does.`);
  if (lines.length > MOST_ROWS) throw new Error(`it has more than ${MOST_ROWS} lines.`);
  const readings = {};
  const datums = [];
  const places = [];
  for (const { line, cells } of lines) {
    const row = Object.fromEntries(names.map((name, column) => [name, inOwnUnit((cells[column] ?? "").trim(), written[column])]));
    const place = placeKey({ x_mm: length(row, "x_mm", line), y_mm: length(row, "y_mm", line) });
    places.push(place.split(" ").map(Number));
    if (row.datum_mm) datums.push(length(row, "datum_mm", line));
    addReading(readings, place, row, line);
  }
  return { readings, datum_mm: oneDatum(datums), spacing_mm: spacingOf(places) };
}

// A column in inches says so by its name; here the figure itself does.
function inOwnUnit(text, column) {
  return column.endsWith("_in") && /^[-+−]?[\d\s./,-]+$/.test(text) ? `${text} in` : text;
}

function addReading(readings, place, row, line) {
  const kept = KEPT.filter((name) => row[name]).map((name) => [name, row[name]]);
  if (!row.reading_mm && !kept.length) return;
  if (row.reading_mm) length(row, "reading_mm", line);
  const reading = typedReading(row.reading_mm);
  if (YES.includes((row.confirmed ?? "").toLowerCase())) reading.confirmed = true;
  if (kept.length) reading.extra = Object.fromEntries(kept);
  if (!readings[place]) readings[place] = reading;
  else (readings[place].again ??= []).push(reading);
}

// Inches stand with their unit in a column that is in mm.
function typedReading(text) {
  const inches = /^(.*\S)\s*(?:in|inch|inches|"|″|”)\.?$/i.exec(text);
  return inches ? { text: inches[1], units: "in" } : { text, units: "mm" };
}

function length(row, name, line) {
  const value = readLength(row[name], "mm");
  if (value === null) throw new Error(`line ${line}: ${name} “${row[name]}” is not a length.`);
  return value;
}

function oneDatum(datums) {
  if (!datums.length) return null;
  const [low, high] = [Math.min(...datums), Math.max(...datums)];
  if (high - low > 0.05)
    throw new Error(
      "its bar did not lie level (datum_mm differs from line to line). The page knows a level bar only: use seatmesh gauge check.",
    );
  return datums[0];
}

/** The spacing of a grid, null where the places are none. */
function spacingOf(places) {
  const steps = [0, 1].flatMap((axis) => {
    const all = [...new Set(places.map((place) => place[axis]))].sort((one, other) => one - other);
    return all.slice(1).map((value, number) => value - all[number]);
  });
  const least = Math.min(...steps);
  return least >= SPACING[0] && least <= SPACING[1] ? least : null;
}

/** The cells of a CSV, line by line; quotes count only at a field's start, as a reading such as 1 3/16" holds one. */
function cellsOf(text) {
  const first = text.split("\n", 1)[0];
  const counts = [",", ";", "\t"].map((sign) => [sign, first.split(sign).length]);
  const separator = counts.reduce((best, one) => (one[1] > best[1] ? one : best))[0];
  return text
    .split(/\r?\n/)
    .map((line, number) => ({ line: number + 1, cells: fields(line, separator) }))
    .filter(({ cells }) => cells.some((one) => one.trim()));
}

function fields(line, separator) {
  const found = [];
  let rest = line;
  for (;;) {
    const match = /^"((?:[^"]|"")*)"(?=.?)/.exec(rest);
    const isQuoted = match && [separator, undefined].includes(rest[match[0].length]);
    const end = isQuoted ? match[0].length : rest.indexOf(separator) < 0 ? rest.length : rest.indexOf(separator);
    found.push(isQuoted ? match[1].replaceAll('""', '"') : rest.slice(0, end));
    if (end >= rest.length) return found;
    rest = rest.slice(end + 1);
  }
}

/**
 * Take readings of a file into the job. `over` says whether they take the place of others that stand at a crossing;
 * without it those crossings are returned and nothing is changed.
 */
export function takeReadings({ readings, datum_mm, spacing_mm }, over = null) {
  const here = job.gauge.readings;
  const isFirst = !Object.values(here).some((one) => one.text);
  const bar = job.gauge.bar_height_mm + job.gauge.rod_offset_mm;
  if (datum_mm !== null && !isFirst && Math.abs(datum_mm - bar) > 0.05)
    throw new Error(
      `they were read with another gauge: level with the wood its rod shows ${say(datum_mm)}, here ${say(bar)}. Clear the readings here, or set the gauge, and open it again.`,
    );
  const other = Object.keys(readings).filter((key) => here[key]?.text && !isAlike(here[key], readings[key]));
  if (other.length && over === null) return other;
  change(({ gauge }) => {
    if (isFirst && datum_mm !== null) gauge.bar_height_mm = datum_mm - gauge.rod_offset_mm;
    if (isFirst && spacing_mm !== null) gauge.spacing_mm = spacing_mm;
    for (const [key, reading] of Object.entries(readings))
      if (over || !other.includes(key)) gauge.readings[key] = reading;
  });
  return [];
}

function isAlike(one, other) {
  return Math.abs(readingMm(one) - readingMm(other)) < 0.005;
}

function say(mm) {
  return writeLength(mm, job.units, 2);
}
