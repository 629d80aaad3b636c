// The cautions, where someone is about to act on a figure or a tool.

import { h } from "./element.js";
import { sentence, vocabulary } from "../order/vocabulary.js";

export function cautions(...names) {
  return h(
    "aside",
    { class: "card caution", "aria-label": "Cautions" },
    h("h2", {}, names.length > 1 ? "Cautions" : "Caution"),
    h(
      "ul",
      {},
      names.map((name) => h("li", {}, sentence(vocabulary.cautions[name]))),
    ),
  );
}
