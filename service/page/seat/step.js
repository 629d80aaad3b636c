// Step: the seat. In 3D with pressure on it, the contact map, sections, hot spots in words, what each millimetre buys.

import { h, fill } from "../parts/element.js";
import { cautions } from "../parts/cautions.js";
import { contactMap, mapWords, placeWords } from "../drawings/contact-map.js";
import { exampleButton } from "../example/example.js";
import { depthCurve, depthWords } from "./depth-curve.js";
import { numberedSpots, spotPlaces, spotWords } from "./hot-spots.js";
import { job } from "../job/job.js";
import { isReady } from "../order/order-of-job.js";
import { figure, writeArea, writeLength } from "../parts/lengths.js";
import { inPageWords, noteInPageWords } from "../service/page-words.js";
import { pressureKey } from "../drawings/pressure-scale.js";
import { onSeatWhileShown, refusalPlace } from "../service/refusals.js";
import { chosenSitting, seat, shape, study } from "./shaped-seat.js";
import { seatFigures } from "./figures.js";
import { oldMark } from "./old-mark.js";
import { seatView } from "./view-panel.js";
import { sections } from "./sections.js";
import { MEASURES } from "../sitters/measures.js";
import { lengthOf } from "../order/usual-values.js";

/** What stands on a step that needs a seat while there is nobody to sit in it. */
export function needsSitter() {
  return h(
    "div",
    { class: "card" },
    h(
      "p",
      {},
      "There is no seat yet. Begin with ",
      h("a", { href: "#sitters" }, "who sits"),
      ": stature and body mass are enough. Or look round first:",
    ),
    exampleButton(() => dispatchEvent(new Event("hashchange"))),
  );
}

export function seatStep() {
  const root = h("div");
  fill(root, refusalPlace(root, "seat"), isReady() ? content() : needsSitter());
  shape();
  study();
  onSeatWhileShown(root, (news) => {
    if (news.state === "shaped" && !news.studies) queueMicrotask(study);
  });
  return root;
}

function content() {
  return [
    h(
      "div",
      { class: "columns two" },
      h("div", {}, seatView(), h("div", { class: "card" }, seatFigures(), wood())),
      live(mapCard),
    ),
    h("div", { class: "columns two" }, sections(), h("div", {}, live(depthCard), live(sureCard))),
    live(notes),
    cautions("pressure"),
  ];
}

/** A place that is drawn anew whenever the seat changes. */
export function live(draw) {
  const place = h("div");
  const again = () => fill(place, draw());
  again();
  onSeatWhileShown(place, again);
  return place;
}

function wood() {
  return live(() => {
    const hollow = seat.report?.hollow;
    if (!hollow || seat.state === "following") return null;
    const words = [`Deepest ${writeLength(hollow.deepest_mm, job.units)}`];
    if (hollow.deepest_y_mm !== undefined) {
      words.push(
        `, ${placeWords(hollow.deepest_x_mm, hollow.deepest_y_mm, true)}`,
      );
    }
    words.push(`. Wood left there: ${writeLength(hollow.floor_left_mm, job.units)}.`);
    return h("p", {}, words.join(""));
  });
}

function mapCard() {
  const sitting = chosenSitting();
  if (!seat.grid || !sitting)
    return h(
      "div",
      { class: "card" },
      h(
        "p",
        { class: "small" },
        seat.state === "shaping" ? "Shaping the seat …" : "The contact map comes with the seat.",
      ),
    );
  const known = seat.studies?.find((one) => one.body === sitting.body);
  const spots = numberedSpots(known?.hot_spots ?? []);
  return h(
    "section",
    { class: "card", "aria-labelledby": "contact" },
    h("h2", { id: "contact" }, `Contact map, ${sitting.body}`),
    oldMark(),
    contactMap({ grid: seat.grid, sitting, spots: spotPlaces(spots), words: mapWords(sitting) }),
    pressureKey(),
    h("h3", {}, "Where it presses hardest"),
    known
      ? spotWords(spots, sitting)
      : h(
          "p",
          { class: "small" },
          seat.study_refusal && seat.studies ? seat.study_refusal : "Trying cuts on the model …",
        ),
    h("p", { class: "small" }, mapWords(sitting)),
  );
}

function depthCard() {
  if (!seat.report || seat.state === "following") return null;
  const asked = lengthOf(job, "wishes", "depth_mm");
  return h(
    "section",
    { class: "card", "aria-labelledby": "buys" },
    h("h2", { id: "buys" }, "What depth buys"),
    oldMark(),
    depthCurve(seat.report.sitters, asked),
    h(
      "p",
      { class: "small" },
      "Each depth as it is first fitted to the body. The best shape is searched for from there, so the seat’s own peak is another.",
    ),
    h(
      "details",
      { open: seat.report.sitters.length === 1 },
      h("summary", {}, "In words"),
      seat.report.sitters.map(depthWords),
    ),
  );
}

function sureCard() {
  const sitting = chosenSitting();
  const known = seat.studies?.find((one) => one.body === sitting?.body);
  if (!known?.interval_90) return null;
  const [peak, area] = [known.interval_90.peak_kpa, known.interval_90.contact_area_cm2];
  const shift = known.freedom_to_shift;
  return h(
    "section",
    { class: "card", "aria-labelledby": "surely" },
    h("h2", { id: "surely" }, `How sure these figures are, ${known.body}`),
    oldMark(),
    h(
      "p",
      {},
      `In 9 of 10 cases the peak is between ${figure(peak[0])} and ${figure(peak[1])} kPa and the contact between ${writeArea(area[0], job.units)} and ${writeArea(area[1], job.units)}.`,
    ),
    h("p", { class: "small" }, known.interval_note),
    known.not_measured_words?.length
      ? h(
          "ul",
          { class: "small" },
          known.not_measured_words.map((one) => h("li", {}, inPageWords(one))),
        )
      : null,
    known.measure_next && known.measure_next_narrows_share > 0.02
      ? h(
          "p",
          {},
          `To be surer, measure the ${MEASURES[known.measure_next].title} next.`,
        )
      : null,
    shift
      ? h(
          "p",
          {},
          `Hardest posture: ${shift.worst_posture}`,
          shift.cost === null ? "." : `; its peak is ${figure(100 * shift.cost)} % above that of sitting upright.`,
        )
      : null,
  );
}

function notes() {
  if (!seat.report?.notes?.length || seat.state === "following") return null;
  return h(
    "section",
    { class: "card", "aria-labelledby": "notes" },
    h("h2", { id: "notes" }, "Worth knowing"),
    oldMark(),
    h(
      "ul",
      {},
      seat.report.notes.map((one) => h("li", {}, noteInPageWords(one))),
    ),
  );
}
