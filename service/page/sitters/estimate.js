// What is known of a sitter: each measure as taken or estimated, and how surely.

import { h, fill } from "../parts/element.js";
import { job } from "../job/job.js";
import { bodyOf, nameOf } from "../order/order-of-job.js";
import { writeLength } from "../parts/lengths.js";
import { capital, kindOf } from "./measures.js";
import { KINDS } from "../parts/quantity-field.js";
import { inPageWords } from "../service/page-words.js";
import { refusalWords } from "../service/refusals.js";
import { askJson } from "../service/requests.js";
import { certainty } from "./certainty-bar.js";

export async function tellEstimate(place, sitter, number, kinds) {
  const { stature_mm: stature, mass_kg: mass } = sitter.measures;
  if (typeof stature !== "number" || typeof mass !== "number") {
    return fill(
      place,
      h(
        "p",
        { class: "small" },
        "Give stature and body mass: the other measures are then estimated here, each with its range.",
      ),
    );
  }
  try {
    const body = await askJson("/bodies/estimate", { body: bodyOf(sitter, nameOf(sitter, number)) });
    return fill(place, estimateTable(body, kinds));
  } catch (error) {
    return fill(place, h("p", { class: "refusal" }, estimateFault(error, number)));
  }
}

// The service was asked of one body: it is this sitter's.
function estimateFault(error, number) {
  const place = error.refused?.place;
  if (!place) return inPageWords(error.message);
  return refusalWords({ ...error, message: error.message, refused: { ...error.refused, place: { ...place, table: "sitter", number: number + 1 } } });
}

function estimateTable(body, kinds) {
  const rows = Object.entries(body.measures)
    .filter(([key]) => kinds[key])
    .map(([key, one]) => {
      const kind = kindOf(kinds[key]);
      const exact = KINDS[kind].say;
      const about = (value) => (kind === "length" ? writeLength(value, job.units, 0, 8) : exact(value));
      const guessed = one.origin === "estimated";
      return h(
        "tr",
        {},
        h("th", { scope: "row" }, capital(kinds[key].title)),
        h("td", { class: "number" }, (guessed ? about : exact)(one.value)),
        h(
          "td",
          {},
          guessed
            ? [
                certainty(one, kinds[key]),
                h("span", { class: "small" }, h("span", {}, about(one.low_90)), " to ", h("span", {}, about(one.high_90))),
              ]
            : h("span", { class: "small" }, "measured"),
        ),
      );
    });
  return [
    h(
      "table",
      {},
      h(
        "caption",
        {},
        "This sitter’s measures. Where one is estimated, 9 in 10 people like this lie within its range.",
      ),
      h(
        "thead",
        { class: "unseen" },
        h(
          "tr",
          {},
          ["Measure", "Value", "Range"].map((one) => h("th", { scope: "col" }, one)),
        ),
      ),
      h("tbody", {}, rows),
    ),
    body.survey ? h("p", { class: "small" }, body.survey) : null,
    body.notes?.length
      ? h(
          "ul",
          { class: "small" },
          body.notes.map((one) => h("li", {}, inPageWords(one))),
        )
      : null,
  ];
}
