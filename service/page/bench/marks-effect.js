// What marks made of body and place, and which of them do not fit.

import { h, sideways } from "../parts/element.js";
import { job } from "../job/job.js";
import { writeLength } from "../parts/lengths.js";
import { seat } from "../seat/shaped-seat.js";
import { live } from "../seat/step.js";

/** What the marks made of body and place, and which of them do not fit. */
export function said() {
  const isComing = job.marks.length > 0 && (seat.old || ["shaping", "none"].includes(seat.state));
  if (isComing)
    return h(
      "section",
      { class: "card", "aria-live": "polite", "aria-labelledby": "marks-said" },
      h("h2", { id: "marks-said" }, "What the marks say"),
      h("p", { class: "small" }, "Working out what this mark does to body and place …"),
    );
  if (seat.state !== "shaped" || !seat.report.sitters.some((one) => one.marks)) return null;
  return h(
    "section",
    { class: "card", "aria-live": "polite", "aria-labelledby": "marks-said" },
    h("h2", { id: "marks-said" }, "What the marks say"),
    seat.report.sitters
      .filter((one) => one.marks)
      .map((one) => [
        one.marks.questions.length
          ? h(
              "ul",
              {},
              one.marks.questions.map((words) => h("li", { class: "refusal" }, words)),
            )
          : h("p", {}, `${one.name}: the marks fit one another and the measures.`),
        sideways(
          `What the marks make of ${one.name}`,
          h(
            "table",
            {},
            h("caption", {}, one.name),
            h(
              "thead",
              {},
              h(
                "tr",
                {},
                h("td", {}),
                ["Before", "With the marks"].map((words) => h("th", { scope: "col", class: "number" }, words)),
              ),
            ),
            h(
              "tbody",
              {},
              toldBy(one.marks.estimates).map(([key, { before, value, standard_error: error }]) =>
                h(
                  "tr",
                  {},
                  h("th", { scope: "row" }, title(key)),
                  h("td", { class: "number" }, told(key, before)),
                  h(
                    "td",
                    { class: "number" },
                    told(key, value),
                    h("span", { class: "small under" }, `± ${told(key, error)}`),
                  ),
                ),
              ),
            ),
          ),
        ),
      ]),
  );
}

const TITLES = {
  along_mm: "sit bones, from the rear edge",
  across_mm: "off the centre line",
  forward_mm: "sits forward",
  turn_deg: "turned in the seat",
  splay_deg: "thighs point out",
  splay_right_minus_left_deg: "right thigh out more than the left",
  splay_left_deg: "left thigh points out",
  splay_right_deg: "right thigh points out",
};
const NARROWED = 0.8;

/** The estimates that the marks say something of, which a maker has a word for. */
function toldBy(estimates) {
  return Object.entries(estimates).filter(
    ([key, one]) => !key.endsWith("_share") && one.standard_error < NARROWED * one.before_error,
  );
}

function title(key) {
  return TITLES[key] ?? key.replace(/_(mm|deg|kg)$/, "").replaceAll("_", " ");
}

function told(key, value) {
  return key.endsWith("_mm")
    ? writeLength(value, job.units)
    : key.endsWith("_deg")
      ? `${value.toFixed(1)}°`
      : value.toFixed(1);
}
