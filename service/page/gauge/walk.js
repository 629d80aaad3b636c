// The way over the crossings: rows on uncut wood first, then row by row from the rear, the rod to and fro along the bar.

import { placeKey } from "./readings.js";

/** Where the finished seat is no deeper, its wood is uncut. */
const UNCUT_MM = 0.02;
const SAME_ROW_MM = 0.5;
/** How far a cut reaches from where most is to be taken, as the service says it. */
const REACH_MM = 80;
const BESIDE = 1.15;

/** Whether the wood at a crossing stays uncut, and so tells how the bar sits. */
export function isUncut(crossing) {
  return crossing.note ? crossing.note === "uncut wood" : crossing.expected_mm - crossing.datum_mm <= UNCUT_MM;
}

export function isSameRow(one, other) {
  return Math.abs(one.y_mm - other.y_mm) < SAME_ROW_MM;
}

function rowsOf(crossings) {
  const rows = [];
  for (const one of [...crossings].sort((a, b) => a.y_mm - b.y_mm)) {
    const row = rows.at(-1);
    if (row && isSameRow(row[0], one)) row.push(one);
    else rows.push([one]);
  }
  return rows;
}

/** Whether a row lies on uncut wood alone, as one over the deck does. */
function isDatumRow(row) {
  return row.every(isUncut);
}

/**
 * The crossings in the order of reading. Rows on uncut wood alone come first, as they tell how the bar sits; in each row
 * the rod begins where it ended in the row before.
 */
export function inOrder(crossings) {
  const rows = rowsOf(crossings);
  const ordered = [...rows.filter(isDatumRow), ...rows.filter((row) => !isDatumRow(row))];
  return ordered.flatMap((row, number) => {
    const across = [...row].sort((a, b) => a.x_mm - b.x_mm);
    return number % 2 ? across.reverse() : across;
  });
}

/** Why a crossing on uncut wood is read, in words; null for one where wood is taken. */
export function whyUncut(crossing, crossings) {
  if (!isUncut(crossing)) return null;
  const row = crossings.filter((one) => isSameRow(one, crossing));
  return isDatumRow(row)
    ? "No wood is taken in this row. Such rows come first: they tell how the bar sits."
    : "Uncut wood: it tells how the bar sits in this row.";
}

/**
 * The places of a cut to read again when it is made, in the order of reading: the crossings in it and beside it, and
 * those on uncut wood in the same rows, without which nothing tells how the bar then sits.
 */
export function placesOfCut(cut, { points, next_cuts: cuts }, crossings) {
  const radius = BESIDE * Math.sqrt((100 * cut.area_cm2) / Math.PI);
  const far = (from, to) => Math.hypot(from.x_mm - to.x_mm, from.y_mm - to.y_mm);
  const toTake = new Set(points.filter((one) => one.state === "take").map(placeKey));
  const isNearest = (one) => cuts.every((other) => far(one, cut) <= far(one, other));
  const carved = crossings.filter(
    (one) =>
      !isUncut(one) &&
      (far(one, cut) <= radius || (toTake.has(placeKey(one)) && far(one, cut) <= REACH_MM && isNearest(one))),
  );
  const chosen = new Set(carved);
  for (const one of crossings) if (isUncut(one) && carved.some((other) => isSameRow(one, other))) chosen.add(one);
  return inOrder([...chosen]).map(placeKey);
}
