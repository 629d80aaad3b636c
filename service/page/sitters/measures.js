// The table of body measures, as the service tells it.

import { vocabulary } from "../order/vocabulary.js";

/** Every measure by its key: title, how it is taken, and what is plausible. */
export const MEASURES = vocabulary.measures;

/** A title at the beginning of a line. */
export function capital(words) {
  return words[0].toUpperCase() + words.slice(1);
}
