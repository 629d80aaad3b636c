// Hot spots in words: where a sitter is pressed hardest, why, and the cut that was tried and helps.

import { h } from "../parts/element.js";
import { placeWords } from "../drawings/contact-map.js";
import { job } from "../job/job.js";
import { inUnits, writeArea } from "../parts/lengths.js";

/** The hot spots of a study, numbered, a pair that mirrors itself told once with both places. */
export function numberedSpots(spots) {
  const told = [];
  for (const spot of spots) {
    const twin = told.find(
      (one) =>
        Math.abs(one.x_mm + spot.x_mm) < 6 &&
        Math.abs(one.y_mm - spot.y_mm) < 6 &&
        one.cause === spot.cause &&
        Math.abs(spot.x_mm) > 3,
    );
    if (twin) twin.twin = spot;
    else told.push({ ...spot, twin: null });
  }
  return told.map((one, number) => ({ ...one, number: number + 1 }));
}

/** Every place on the map, each with its number. */
export function spotPlaces(numbered) {
  return numbered.flatMap((one) => [one, one.twin && { ...one.twin, number: one.number }].filter(Boolean));
}

/** What the advice does to a sitter, in the figures that `seatmesh adjust` gives for it. */
function peakWords(peak) {
  const [before, after] = [peak.before_kpa.toFixed(1), peak.after_kpa.toFixed(1)];
  const [was, now] = [peak.here_before_kpa.toFixed(1), peak.here_after_kpa.toFixed(1)];
  // A cut may ease its own place alone: the greatest peak lies elsewhere.
  if (before === after) return `${peak.body}: inside the circle ${was} to ${now} kPa; the peak of ${after} is elsewhere and stays`;
  return `${peak.body}: peak ${before} to ${after} kPa; inside the circle ${was} to ${now}`;
}

export function spotWords(numbered, sitting) {
  if (!numbered.length) return h("p", {}, `No hot spot under ${sitting.body}.`);
  return h(
    "ol",
    { class: "spots" },
    numbered.map((one) =>
      h(
        "li",
        {},
        h(
          "strong",
          {},
          `${one.cause}${one.twin ? ", either side" : ""}: peak ${one.peak_kpa.toFixed(0)} kPa, in a patch of ${writeArea(one.area_cm2, job.units)}. `,
        ),
        `${placeWords(one.x_mm, one.y_mm, Boolean(one.twin))}. `,
        one.advice
          ? h(
              "span",
              {},
              `Tried on the model: ${inUnits(one.advice, job.units)}.`,
              one.advice_peaks.map((peak) => h("span", { class: "small under" }, peakWords(peak))),
            )
          : h("span", { class: "small" }, one.withheld ?? "No cut would make a difference that can be felt."),
      ),
    ),
  );
}
