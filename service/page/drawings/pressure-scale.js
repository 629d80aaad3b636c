// The one pressure scale: fixed steps in kPa from pale to dark in equal steps of lightness, as in the pictures, so that any
// two maps can be compared, also by the colour-blind and in grey.

import { h } from "../parts/element.js";
import { vocabulary } from "../order/vocabulary.js";

export const { steps_kpa: STEPS_KPA, colours: COLOURS, bare: BARE } = vocabulary.pressure;

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
