// One of a few: radio buttons under a legend.

import { h, newId } from "./element.js";

/** A field of `all` choices, pairs of value and words, with `chosen` ticked; `put` gets the value that is chosen. */
export function choice(words, all, chosen, put, key = null) {
  const name = newId("choice");
  return h(
    "fieldset",
    { class: "field", "data-key": key },
    h("legend", {}, words),
    h(
      "div",
      { class: "choices" },
      all.map(([value, said]) =>
        h(
          "label",
          {},
          h("input", { type: "radio", name, value, checked: chosen === value, onchange: () => put(value) }),
          h("span", {}, said),
        ),
      ),
    ),
  );
}
