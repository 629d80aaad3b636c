// The cautions, where someone is about to act on a figure or a tool.

import { h } from "./element.js";

const ALL = {
  pressure:
    "Pressure figures compare shapes for healthy adults; they are not medical advice. Anyone with reduced sensation or skin at risk needs a seating clinician.",
  strength:
    "A seat must hold its sitter: the floor is a guide, not a proof. Test it as the local furniture standard asks, and defer to local codes and qualified people.",
  tools:
    "Powered cutters injure: keep the guard on and both hands on the tool, protect eyes, ears and lungs, and follow the tool’s manual.",
};

export function cautions(...names) {
  return h(
    "aside",
    { class: "card caution", "aria-label": "Cautions" },
    h("h2", {}, names.length > 1 ? "Cautions" : "Caution"),
    h(
      "ul",
      {},
      names.map((name) => h("li", {}, ALL[name])),
    ),
  );
}
