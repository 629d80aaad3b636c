// Step: several sitters side by side on one seat: their maps on one scale, their figures, and what sharing costs each.

import { h, fill, sideways } from "../parts/element.js";
import { contactMap, mapWords } from "../drawings/contact-map.js";
import { job } from "../job/job.js";
import { isReady } from "../order/order-of-job.js";
import { figure, writeArea, writeLength } from "../parts/lengths.js";
import { pressureKey } from "../drawings/pressure-scale.js";
import { peopleCard } from "../people/people-card.js";
import { refusalPlace } from "../service/refusals.js";
import { seat, shape } from "../seat/shaped-seat.js";
import { oldLine } from "../seat/old-mark.js";
import { live, needsSitter } from "../seat/step.js";

const FELT = 0.1;

export function sideBySide() {
  const root = h("div");
  fill(root, refusalPlace(root, "compare"), isReady() ? [live(content), peopleCard()] : needsSitter());
  shape();
  return root;
}

function content() {
  if (!seat.report || seat.state === "following")
    return h(
      "p",
      { class: "card" },
      seat.state === "shaping" ? "Shaping the seat …" : "There is no seat to compare people on yet.",
    );
  return [
    oldLine(),
    seat.sittings.length === 1
      ? h(
          "p",
          { class: "lead" },
          "One sitter so far. ",
          h("a", { href: "#sitters" }, "Add others"),
          " who will share the seat, to see them side by side.",
        )
      : h(
          "p",
          { class: "lead" },
          "Everyone on the same seat, with one scale of pressure. Nobody can feel the difference between peaks within 10 % of each other.",
        ),
    h(
      "div",
      { class: "maps" },
      seat.sittings.map((one) =>
        h(
          "section",
          { class: "card", "aria-label": one.body },
          h("h2", {}, one.body),
          contactMap({ grid: seat.grid, sitting: one, words: mapWords(one) }),
        ),
      ),
    ),
    h("div", { class: "card" }, pressureKey(), sideways("Figures of every sitter", table()), verdict()),
  ];
}

// Of the two peaks as they are shown: whoever works it out from them comes to the same.
function sharingWords({ peak_kpa: shared }, { peak_own_seat_kpa: own }) {
  if (own === undefined) return null;
  return `${figure(100 * (shown(shared) / shown(own) - 1) || 0)} %`;
}

const shown = (value) => Number(value.toFixed(1));

const percent = (value) => `${Math.round(100 * value)} %`;

function table() {
  const told = seat.report.sitters;
  const rows = [
    ["Peak on the bare blank, kPa", (_, one) => figure(one.peak_flat_kpa, 1)],
    ["Peak on the seat, kPa", (sitting) => figure(sitting.peak_kpa, 1)],
    [
      "Peak on a seat of their own, kPa",
      (_, one) => (one.peak_own_seat_kpa === undefined ? null : figure(one.peak_own_seat_kpa, 1)),
    ],
    ["What sharing costs", (sitting, one) => sharingWords(sitting, one)],
    ["Contact", (sitting) => writeArea(sitting.contact_area_cm2, job.units)],
    ["Mean pressure, kPa", (sitting) => figure(sitting.mean_kpa, 1)],
    ["Load on the seat, N", (sitting) => figure(sitting.load_n)],
    ["Sit bones carry", (sitting) => percent(sitting.load_share.left_sit_bone + sitting.load_share.right_sit_bone)],
    ["Thighs carry", (sitting) => percent(sitting.load_share.left_thigh + sitting.load_share.right_thigh)],
    ["Knee room", (sitting) => writeLength(sitting.knee_clearance_mm, job.units, 0)],
    ["Tailbone above the seat", (sitting) => writeLength(sitting.tailbone_clearance_mm, job.units, 0)],
  ];
  const filled = rows
    .map(([words, read]) => [words, seat.sittings.map((sitting, number) => read(sitting, told[number]))])
    .filter(([, cells]) => cells.some((one) => one !== null));
  return h(
    "table",
    {},
    h("caption", {}, "Every sitter on this seat"),
    h(
      "thead",
      {},
      h(
        "tr",
        {},
        h("td", {}),
        seat.sittings.map((one) => h("th", { scope: "col", class: "number" }, one.body)),
      ),
    ),
    h(
      "tbody",
      {},
      filled.map(([words, cells]) =>
        h(
          "tr",
          {},
          h("th", { scope: "row" }, words),
          cells.map((one) => h("td", { class: "number" }, one ?? "–")),
        ),
      ),
    ),
  );
}

function verdict() {
  if (seat.sittings.length < 2) return null;
  const least = seat.sittings.reduce((best, one) => (one.peak_kpa < best.peak_kpa ? one : best));
  const harder = seat.sittings.filter((one) => one.peak_kpa >= least.peak_kpa * (1 + FELT));
  if (!harder.length) return h("p", {}, "All of them would feel the same pressure.");
  return h(
    "p",
    {},
    `${least.body} feels the least pressure. ${harder.map((one) => `${one.body}: ${Math.round(100 * (shown(one.peak_kpa) / shown(least.peak_kpa) - 1))} % more`).join(", ")}.`,
  );
}
