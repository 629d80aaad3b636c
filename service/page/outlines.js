// Small drawings of the outlines that the tool knows, seen from above with the front at the top.

import { h } from "./element.js";

const SHAPES = {
  rounded: "M15 6h50q10 0 10 10v38q0 10-10 10H15q-10 0-10-10V16q0-10 10-10z",
  "straight-sided": "M5 6h70v58H5z",
  "D-shaped": "M9 64h62q5-14 5-26Q74 8 40 6 6 8 4 38q0 12 5 26z",
  waisted: "M14 6h52q10 2 9 12-5 18 1 36-1 9-11 10H15Q5 63 4 54q6-18 1-36-1-10 9-12z",
  "tapered to the front": "M20 6h40l12 58H8z",
  "tapered to the rear": "M8 6h64L60 64H20z",
};

export function outlineDrawing(name) {
  return h(
    "svg",
    { viewBox: "0 0 80 70", "aria-hidden": "true", class: "outline" },
    h("path", { d: SHAPES[name] ?? SHAPES.rounded }),
  );
}
