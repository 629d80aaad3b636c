// Readings: what the rod showed at a place, as it was typed and with the unit that it was typed in.
//
// A reading is `{text, units}`, with `confirmed` where it was read twice, `again` with what else was read at the place,
// and `extra` with the columns of a file that the page has no field for. `sure` says that a questioned number was meant,
// `reread` that the place is to be read again. It belongs to a place, not to a seat's sheet.

import { change, job } from "../job/job.js";
import { readLength, writeLength } from "../parts/lengths.js";

/** The columns of a file that a reading does not hold itself. */
export const KEPT = ["left_proud_mm", "placing", "note"];

/** What a reading belongs to: a place and a gauge, not a number on one seat's sheet. */
export function placeKey({ x_mm, y_mm }) {
  return `${x_mm.toFixed(1)} ${y_mm.toFixed(1)}`;
}

export function readingAt(crossing) {
  return job.gauge.readings[placeKey(crossing)];
}

/** Whether something was read at a place. */
export function isRead(crossing) {
  return Boolean(readingAt(crossing)?.text);
}

/** A reading in mm, null where it is no length (yet). */
export function readingMm(reading) {
  return reading?.text ? readLength(reading.text, reading.units) : null;
}

/** A reading in words: as it was typed, with its unit where that is not the one at hand. */
export function readingWords(reading) {
  if (!reading?.text) return "–";
  return reading.units === job.units ? reading.text : `${reading.text} ${reading.units}`;
}

/** The same in the unit at hand, null where that is the one that it was typed in. */
export function readingInUnits(reading) {
  const mm = readingMm(reading);
  return mm === null || reading.units === job.units ? null : writeLength(mm, job.units);
}

/** All readings of a crossing in the order in which they were made. */
export function readingsAt(crossing) {
  const first = readingAt(crossing);
  return first ? [first, ...(first.again ?? [])] : [];
}

/** What the keys go on from: a reading that was typed in another unit is not gone on with, but replaced. */
export function keyedSoFar(reading) {
  return reading?.units === job.units ? reading.text : "";
}

/**
 * Put what is keyed in place of a reading. One that was typed in another unit, or that is `replaced`, comes back when all
 * keys are deleted. `placing` numbers the setting of the bar where that is not the sheet's own.
 */
export function keyReading(crossing, text, { replaced = false, placing = null } = {}) {
  const now = readingAt(crossing);
  const isOther = Boolean(now?.text) && (now.units !== job.units || replaced);
  if (!text && (isOther || !now)) return;
  const { again, was: before, reread } = now ?? {};
  const was = isOther ? now : before;
  const extra = settingIn(now?.extra, placing);
  change((one) => {
    const key = placeKey(crossing);
    if (text && replaced) one.gauge.readings[key] = told({ text, units: one.units, was, extra });
    else if (text) one.gauge.readings[key] = told({ text, units: one.units, was, again, reread, extra });
    else if (was) one.gauge.readings[key] = was;
    else if (again || now?.extra) one.gauge.readings[key] = told({ text: "", units: one.units, again, extra: now.extra });
    else delete one.gauge.readings[key];
  });
}

/** Put what is keyed in place of a further reading of a crossing, the second where `number` is 1; without text it goes. */
export function keyFurtherReading(crossing, number, text, placing) {
  change((one) => {
    const first = one.gauge.readings[placeKey(crossing)];
    const again = [...(first.again ?? [])];
    const extra = settingIn(again[number - 1]?.extra, placing);
    if (text) again[number - 1] = told({ text, units: one.units, extra });
    else again.splice(number - 1, 1);
    const { reread, ...rest } = first;
    one.gauge.readings[placeKey(crossing)] = told({ ...rest, again: again.length ? again : undefined });
  });
}

function settingIn(extra, placing) {
  return placing === null ? extra : { ...extra, placing: String(placing) };
}

/** Change what is said of one reading of a crossing, of the first where `number` is 0: that it was meant, or to be read again. */
export function sayOfReading(crossing, number, words) {
  change((one) => {
    const key = placeKey(crossing);
    const first = one.gauge.readings[key];
    if (number === 0) one.gauge.readings[key] = told({ ...first, ...words });
    else
      one.gauge.readings[key] = {
        ...first,
        again: first.again.map((reading, place) => (place === number - 1 ? told({ ...reading, ...words }) : reading)),
      };
  });
}

/** The greatest number that a setting of the bar has, in the sheet and among the readings. */
export function lastPlacing(crossings) {
  const numbers = Object.values(job.gauge.readings)
    .flatMap((one) => [one, ...(one.again ?? [])])
    .map((one) => Number(one.extra?.placing));
  return Math.max(0, ...crossings.map((one) => one.placing), ...numbers.filter(Number.isFinite));
}

/** Say that a crossing was read twice, the bar set down anew between, and showed the same; or take that back. */
export function confirmReading(crossing, isConfirmed) {
  change((one) => {
    const { confirmed, ...now } = readingAt(crossing);
    one.gauge.readings[placeKey(crossing)] = told({ ...now, confirmed: isConfirmed || undefined });
  });
}

function told(reading) {
  return Object.fromEntries(Object.entries(reading).filter(([, value]) => value !== undefined));
}

/** Readings that an older page kept without their unit. */
export function unsureReadings() {
  return Object.values(job.gauge.readings).filter((one) => one.unsure);
}

/** Say in which unit they were typed. */
export function settleUnsure(units) {
  change((one) => {
    for (const [key, { unsure, ...reading }] of Object.entries(one.gauge.readings))
      if (unsure) one.gauge.readings[key] = { ...reading, units };
  });
}

/** Places that were read and are not among the crossings of the sheet at hand. */
export function readElsewhere(crossings) {
  const here = new Set(crossings.map(placeKey));
  return Object.entries(job.gauge.readings)
    .filter(([key, one]) => one.text && !here.has(key))
    .map(([key]) => {
      const [x_mm, y_mm] = key.split(" ").map(Number);
      return { x_mm, y_mm };
    });
}

/**
 * The rows of a gauge file: every reading of every place that was read, `reading` as it was typed. A place beside the
 * sheet gets the next number; what is expected there is left to the seat.
 */
export function readingRows(crossings) {
  const datum = job.gauge.bar_height_mm + job.gauge.rod_offset_mm;
  const last = crossings.reduce((most, one) => Math.max(most, one.point), 0);
  const others = readElsewhere(crossings).map((one, number) => ({
    ...one,
    point: last + number + 1,
    ...(typeof datum === "number" ? { datum_mm: datum } : {}),
  }));
  return [...crossings, ...others].flatMap((crossing) => {
    const first = readingAt(crossing);
    if (!first) return [];
    return [first, ...(first.again ?? [])].map((reading) => ({ crossing, reading }));
  });
}
