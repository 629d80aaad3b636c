// The mark on what is shown of a seat while the order says something else already: a word and a sign, on every step.

import { h } from "../parts/element.js";

const sign = () => h("span", { "aria-hidden": "true" }, "↺ ");

/** The word in the corner of a figure, a map or a section; it is seen only while they are old, and moves nothing. */
export function oldMark() {
  return h("p", { class: "old-mark" }, sign(), "Old", h("span", { class: "unseen" }, ": from before your last change"));
}

/** The same as a line of its own, above all that a step shows. */
export function oldLine() {
  return h("p", { class: "old-mark old-line" }, sign(), "Old: from before your last change");
}
