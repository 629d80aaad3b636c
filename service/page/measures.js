// The table of body measures, as the service tells it.

import { askJson } from "./service.js";

let asked = null;

/** Every measure by its key: title, how it is taken, and what is plausible. */
export function measureTable() {
  asked ??= askJson("/measures")
    .then((told) => told.measures)
    .catch((error) => {
      asked = null;
      throw error;
    });
  return asked;
}

/** A title at the beginning of a line. */
export function capital(words) {
  return words[0].toUpperCase() + words.slice(1);
}
