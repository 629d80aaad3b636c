// The table of body measures, as the service tells it.

import { vocabulary } from "../order/vocabulary.js";

/** Every measure by its key: title, how it is taken, and what is plausible. */
export const MEASURES = vocabulary.measures;

const KIND_OF_UNIT = { mm: "length", kg: "mass", years: "years", percent: "percent" };

/** The kind of quantity that a measure is. */
export function kindOf(measure) {
  return KIND_OF_UNIT[measure.unit];
}

/** A title at the beginning of a line. */
export function capital(words) {
  return words[0].toUpperCase() + words.slice(1);
}
