// The one pressure scale: fixed steps in kPa from pale yellow to dark blue in equal steps of lightness, as in the pictures
// (seatmesh/picture/scale.py), so that any two maps can be compared, also by the colour-blind and in grey.

import { h } from "./element.js";

export const STEPS_KPA = [0.1, 1, 2, 3, 5, 7, 10, 15, 20, 30, 40, 60, 80];
export const COLOURS = [
  "#eef8b3",
  "#c6e9b4",
  "#9ed9b8",
  "#71c8bd",
  "#40b5c4",
  "#2ca1c2",
  "#1e8bbd",
  "#2076b3",
  "#2262aa",
  "#234c9f",
  "#253595",
  "#172976",
  "#081d58",
];
export const BARE = "#f1e7d6";

/** The band of a pressure: -1 where there is no contact. */
export function bandOf(kpa) {
  let band = STEPS_KPA.length - 1;
  while (band >= 0 && kpa < STEPS_KPA[band]) band -= 1;
  return band;
}

/** The scale as a row of fields, each edge labelled. */
export function pressureKey() {
  const fields = [BARE, ...COLOURS];
  return h(
    "figure",
    { class: "key" },
    h("figcaption", { class: "small" }, "Pressure, kPa"),
    h(
      "svg",
      {
        viewBox: "-2 0 844 62",
        role: "img",
        "aria-label": `Scale from no contact over ${STEPS_KPA.join(", ")} kPa, pale to dark`,
      },
      fields.map((colour, number) =>
        h("rect", { x: number * 60, y: 1, width: 60, height: 28, fill: colour, class: "edge" }),
      ),
      STEPS_KPA.map((step, number) => h("text", { x: (number + 1) * 60, y: 54, class: "key-letter" }, step)),
      h("text", { x: 30, y: 22, class: "key-inside dark" }, "none"),
    ),
  );
}
