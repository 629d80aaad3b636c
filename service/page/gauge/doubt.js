// A number out of all reason is questioned where it is keyed: a point misplaced, another unit, a wrong sign.

import { bareLength, readLength, writeLength } from "../parts/lengths.js";
import { isRead, placeKey, readingAt, readingMm } from "./readings.js";
import { isUncut } from "./walk.js";

const MM_PER_INCH = 25.4;
/** A splinter apart, no wood stands higher than this above the blank’s top face: as `seatmesh gauge check` has it. */
const PROUD_MM = 3;
/** So far from all that is expected a number is looked at, and so near another reading of it is likely; our own choice. */
const FAR_MM = 8;
const NEAR_MM = 3;
const NEIGHBOURS = 5;

const SLIPS = [
  (mm) => mm / 10,
  (mm) => mm * 10,
  (mm) => mm / 100,
  (mm) => -mm,
  (mm, units) => (units === "in" ? mm / MM_PER_INCH : mm * MM_PER_INCH),
];

/**
 * What is asked about a reading: `{words, likely}`, `likely` a reading `{text, units}` or null; null where nothing is.
 * `all` are the crossings, `thickness_mm` the blank’s.
 */
export function doubtAbout(crossing, reading, all, { thickness_mm, units }) {
  const mm = readingMm(reading);
  if (mm === null || reading.sure) return null;
  const { near, datum } = offs(crossing, all);
  const top = crossing.datum_mm + datum;
  const isImpossible = mm < top - PROUD_MM || mm > top + thickness_mm;
  const expected = [crossing.expected_mm, ...(near === null ? [] : [crossing.expected_mm + near])];
  const away = (value) => Math.min(...expected.map((one) => Math.abs(one - value)));
  if (!isImpossible && away(mm) <= FAR_MM) return null;
  const likely = likelyOf(mm, reading, expected, top, thickness_mm);
  if (!isImpossible && !likely && !isUncut(crossing)) return null;
  return { words: questionWords(reading, likely, { mm, crossing, top, units, isImpossible }), likely };
}

function likelyOf(mm, reading, expected, top, thickness) {
  const found = SLIPS.map((slip, number) => ({ mm: slip(mm, reading.units), number }))
    .map((one) => ({ ...one, away: Math.min(...expected.map((value) => Math.abs(value - one.mm))) }))
    .filter((one) => one.mm >= top - PROUD_MM && one.mm <= top + thickness && one.away <= NEAR_MM)
    .sort((one, other) => one.away - other.away)[0];
  if (!found) return null;
  if (found.number === SLIPS.length - 1) return { text: reading.text, units: reading.units === "in" ? "mm" : "in" };
  if (reading.units === "mm") return { text: String(Number(found.mm.toFixed(3))), units: "mm" };
  const text = String(Number((found.mm / MM_PER_INCH).toFixed(4)));
  return { text: /[/ ]/.test(reading.text) ? bareLength(found.mm, "in") : text, units: "in" };
}

function questionWords(reading, likely, { mm, crossing, top, units, isImpossible }) {
  const said = readingInWords(reading);
  if (likely) return `${readingInWords(likely)} rather than ${said}?`;
  if (mm < top && isImpossible)
    return `${said}: the wood would stand ${writeLength(top - mm, units)} above the blank’s top face.`;
  if (isImpossible) return `${said}: the rod would go through the blank.`;
  return `${said}: this wood stays uncut, and the rod should show ${writeLength(crossing.expected_mm, units)}.`;
}

function readingInWords({ text, units }) {
  return units === "in" ? `${text}"` : `${text} mm`;
}

/** By how much readings exceed what is expected: in the middle of the nearest ones, and on uncut wood. */
function offs(crossing, all) {
  const read = all
    .filter((one) => placeKey(one) !== placeKey(crossing) && isRead(one) && isSound(one))
    .map((one) => ({ one, off: readingMm(readingAt(one)) - one.expected_mm }))
    .sort((a, b) => far(a.one, crossing) - far(b.one, crossing));
  return {
    near: middle(read.slice(0, NEIGHBOURS).map(({ off }) => off)),
    datum: middle(read.filter(({ one }) => isUncut(one)).map(({ off }) => off)) ?? 0,
  };
}

// Others speak only where nobody has to ask about them in turn.
function isSound(one) {
  const reading = readingAt(one);
  const mm = readingMm(reading);
  return mm !== null && (reading.sure || Math.abs(mm - one.expected_mm) <= FAR_MM || isUntouched(one, mm));
}

function isUntouched(one, mm) {
  return Math.abs(mm - one.datum_mm) <= PROUD_MM;
}

function far(one, other) {
  return Math.hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm);
}

function middle(values) {
  if (!values.length) return null;
  const sorted = [...values].sort((one, other) => one - other);
  const half = sorted.length >> 1;
  return sorted.length % 2 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}

/** Whether a text is a length that anything could be read at: the service takes none beyond ten metres. */
export function isReadable(reading) {
  const mm = reading?.text ? readLength(reading.text, reading.units) : null;
  return mm !== null && Math.abs(mm) <= 10000;
}
