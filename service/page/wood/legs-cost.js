// What the wood does to the seat, in the service's words, and what the legs cost: the seat is shaped without them as well.

import { h, fill } from "../parts/element.js";
import { job } from "../job/job.js";
import { figure, writeLength } from "../parts/lengths.js";
import { whenStill } from "../parts/redraw-in-place.js";
import { inPageWords, noteInPageWords } from "../service/page-words.js";
import { orderOf } from "../order/order-of-job.js";
import { onSeatWhileShown } from "../service/refusals.js";
import { seat } from "../seat/shaped-seat.js";
import { askJson } from "../service/requests.js";
import { lengthOf } from "../order/usual-values.js";

const FELT = 0.1;
const LITTLE = 0.02;
const REACHED_MM = 0.3;
const ABOUT_WOOD = /\b(joint|bound|bounds|floor|bevel|deck|glue|board|gutter|undulation|wood)\b/;
let asking = null;

export function woodCost() {
  const place = h("div", { "aria-live": "polite" });
  const draw = () => {
    const words = seat.state === "shaped" ? [floorWords(), noteWords()].filter(Boolean) : [];
    const legs = h("div");
    fill(place, words.length || hasLegs() ? card(words, legs) : null);
    if (seat.state === "shaped" && hasLegs()) tellLegs(legs);
  };
  draw();
  onSeatWhileShown(place, () => whenStill(draw));
  return place;
}

function card(words, legs) {
  return h(
    "section",
    { class: "card", "aria-labelledby": "wood-cost" },
    h("h2", { id: "wood-cost" }, "What the wood does to the seat"),
    legs,
    words,
  );
}

function hasLegs() {
  return (job.others.joint ?? []).some(isLeg);
}

function isLeg(one) {
  return one.kind === "leg mortise";
}

function floorWords() {
  const { deepest_mm: deepest, floor_left_mm: left } = seat.report.hollow;
  const floor = lengthOf(job, "blank", "floor_mm");
  if (deepest <= 0 || left > floor + REACHED_MM) return null;
  return h(
    "p",
    {},
    `The floor is reached: at its deepest, ${writeLength(deepest, job.units)}, the hollow leaves ${writeLength(left, job.units)} of wood. Thicker wood would let it go deeper.`,
  );
}

function noteWords() {
  const notes = (seat.report.notes ?? []).filter((one) => ABOUT_WOOD.test(one));
  if (!notes.length) return null;
  return h(
    "ul",
    {},
    notes.map((one) => h("li", {}, noteInPageWords(one))),
  );
}

async function tellLegs(place) {
  asking?.abort();
  asking = new AbortController();
  const { signal } = asking;
  // Nobody waits for it on another step.
  window.addEventListener("hashchange", () => asking.abort(), { once: true });
  const { report } = seat;
  // Figures alone are wanted: they are the same under any title and in any unit.
  const order = { ...orderOf(), title: "seat", units: "mm" };
  const others = order.joint.filter((one) => !isLeg(one));
  delete order.joint;
  fill(place, h("p", { class: "small" }, "Shaping the seat without the legs, to see what they cost …"));
  try {
    const bare = await withoutLegs(others.length ? { ...order, joint: others } : order, signal);
    if (!signal.aborted)
      fill(
        place,
        report.sitters.map((one, number) => costWords(one, bare.sitters[number])),
      );
  } catch (error) {
    if (!signal.aborted) fill(place, h("p", { class: "small" }, `What the legs cost is not known: ${inPageWords(error.message)}`));
  }
}

let known = { key: "", report: null };
async function withoutLegs(order, signal) {
  const key = JSON.stringify(order);
  if (known.key !== key) known = { key, report: await askJson("/seats", { body: order, signal }) };
  return known.report;
}

function costWords({ name, peak_best_kpa: now }, { peak_best_kpa: bare }) {
  const cost = now / bare - 1;
  const peaks = `${figure(now, 1)} kPa instead of ${figure(bare, 1)}`;
  if (cost < LITTLE)
    return h(
      "p",
      {},
      `${name}: the legs add less than ${100 * LITTLE} % to the peak: ${figure(now, 1)} kPa, and ${figure(bare, 1)} without them.`,
    );
  if (cost < FELT)
    return h("p", {}, `${name}: the legs add ${figure(100 * cost)} % to the peak, ${peaks}; too little to feel.`);
  return h(
    "p",
    { class: "refusal" },
    `${name}: the legs add ${figure(100 * cost)} % to the peak, ${peaks}. Drill them less deep, or right through; or set them farther out.`,
  );
}
