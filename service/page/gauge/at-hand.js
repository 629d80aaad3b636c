// What is at hand: the crossing, the list that is gone through, the reading of it, and the setting of the bar.

import { draftOf, keepDrafts } from "../job/form-drafts.js";
import { keyFurtherReading, keyedSoFar, keyReading, lastPlacing, placeKey, readingsAt, sayOfReading } from "./readings.js";
import { inOrder, isSameRow, isUncut } from "./walk.js";

/** Which reading of which crossing is chosen; without that the last, or the next where it is to be read again. */
let chosen = { key: "", number: 0 };

// `at` is a place; `list` {title, places, isCut, done} where not all crossings are gone through; `setting`
// {y_mm, placing} where the bar was set down anew over a row.
function draft() {
  return draftOf("gauge", { at: null, list: null, setting: null });
}

/**
 * The crossing at hand among those of a sheet: `{crossing, all, at, list, number, readings}`, `number` that of the reading
 * which the keys go on with, 0 for the first.
 */
export function atHand(sheet) {
  const { at, list } = draft();
  const walk = inOrder(sheet.crossings);
  const chosenOnes = list && list.places.map((key) => walk.find((one) => placeKey(one) === key)).filter(Boolean);
  const all = chosenOnes?.length ? chosenOnes : walk;
  const place = Math.max(0, all.findIndex((one) => placeKey(one) === at));
  const crossing = all[place];
  const readings = readingsAt(crossing);
  return {
    crossing,
    all,
    at: place,
    list: chosenOnes?.length ? list : null,
    readings,
    number: numberOf(crossing, readings, list),
  };
}

function numberOf(crossing, readings, list) {
  const key = placeKey(crossing);
  if (chosen.key === key) return Math.min(chosen.number, readings.length);
  const isAgain = readings[0]?.text && (readings[0].reread || (list?.isCut && isUncut(crossing) && !list.done.includes(key)));
  return isAgain ? readings.length : Math.max(0, readings.length - 1);
}

export function goTo(crossing) {
  chosen = { key: "", number: 0 };
  draft().at = placeKey(crossing);
  keepDrafts();
}

export function choose(crossing, number) {
  chosen = { key: placeKey(crossing), number };
}

/** Go through some places alone, or through all again for null. */
export function goThrough(list) {
  const now = draft();
  now.list = list && { isCut: false, done: [], ...list };
  if (list) now.at = list.places[0];
  now.setting = null;
  chosen = { key: "", number: 0 };
  keepDrafts();
}

/** Begin a further reading of the crossing at hand: the bar is lifted and set down anew for it. */
export function readAgain(sheet, { crossing, readings }) {
  if (!readings[0]?.text) return;
  sayOfReading(crossing, 0, { reread: true });
  choose(crossing, readings.length);
  if (!settingOver(crossing)) setDownAnew(sheet, crossing);
}

/** Leave it at the readings that are there. */
export function notAgain({ crossing, readings }) {
  sayOfReading(crossing, 0, { reread: undefined });
  choose(crossing, readings.length - 1);
}

/** The number of the setting in which the bar was set down anew over a crossing's row, null without one. */
export function settingOver(crossing) {
  const { setting } = draft();
  return setting && isSameRow(setting, crossing) ? setting.placing : null;
}

/** Say that the bar was lifted and set down anew over a crossing's row. */
export function setDownAnew(sheet, crossing) {
  draft().setting = { y_mm: crossing.y_mm, placing: lastPlacing(sheet.crossings) + 1 };
  keepDrafts();
}

/** Whether a reading at hand stands there from before the cut, and is replaced by what is keyed. */
export function isFromBefore({ crossing, list, readings, number }) {
  const key = placeKey(crossing);
  return Boolean(list?.isCut && !isUncut(crossing) && number === 0 && readings[0]?.text && !list.done.includes(key));
}

/** What the keys go on from. */
export function keyed(now) {
  return isFromBefore(now) ? "" : keyedSoFar(now.readings[now.number]);
}

/** Put what is keyed in place of the reading at hand. */
export function key(sheet, now, text) {
  const { crossing, number } = now;
  const place = draft();
  if (place.list?.isCut && settingOver(crossing) === null) setDownAnew(sheet, crossing);
  // Elsewhere the bar was lifted to get there.
  if (settingOver(crossing) === null && place.setting && text) place.setting = null;
  const placing = settingOver(crossing);
  const replaced = isFromBefore(now);
  choose(crossing, number);
  if (number) keyFurtherReading(crossing, number, text, placing);
  else keyReading(crossing, text, { replaced, placing });
  if (place.list?.isCut) place.list.done = doneWith(place.list.done, placeKey(crossing), Boolean(text));
  keepDrafts();
}

function doneWith(done, key, isDone) {
  return [...done.filter((one) => one !== key), ...(isDone ? [key] : [])];
}
