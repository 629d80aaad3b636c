// The mark on what is shown of a seat while the order says something else already: a word and a sign, on every step.

import { h } from "../parts/element.js";

/** The word that stands on figures, maps and sections; it is seen only while they are old. */
export function oldMark() {
  return h("p", { class: "old-mark" }, h("span", { "aria-hidden": "true" }, "↺ "), "Old: from before your last change");
}
