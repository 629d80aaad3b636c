// Step: take away. Files for the bench, for a printer, for other programs and to show the client; the order file.

import { h, fill } from "../parts/element.js";
import { cautions } from "../parts/cautions.js";
import { earlierJobsCard } from "./earlier-jobs-card.js";
import { forAPrinter, forOtherPrograms, forTheBench, toShowTheClient } from "./groups.js";
import { isReady } from "../order/order-of-job.js";
import { orderCard } from "./order-file-card.js";
import { refusalPlace } from "../service/refusals.js";
import { oldLine } from "../seat/old-mark.js";
import { seat, shape } from "../seat/shaped-seat.js";
import { live, needsSitter } from "../seat/step.js";

export function takeAway() {
  const root = h("div");
  fill(root, refusalPlace(root, "take"), isReady() ? live(files) : needsSitter(), orderCard(), earlierJobsCard());
  shape();
  return root;
}

function files() {
  // Sheets of the seat before would be taken for those of the one that was refused.
  if (seat.state === "refused")
    return h("p", { class: "card" }, "There is nothing to take away until there is a seat.");
  if (!seat.id || seat.state === "following")
    return h(
      "p",
      { class: "card" },
      seat.state === "shaping" ? "Shaping the seat …" : "There is no seat to take away yet.",
    );
  return [
    oldLine(),
    h(
      "div",
      { class: "columns two" },
      h("div", {}, forTheBench(), toShowTheClient()),
      h("div", {}, forAPrinter(), forOtherPrograms()),
    ),
    cautions("cutters", "strength", "pressure"),
  ];
}
