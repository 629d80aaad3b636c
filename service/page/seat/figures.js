// The few figures of a seat that a maker looks at while shaping it: for each sitter peak, area, and the room between front edge and knee-back.

import { h, fill, sideways } from "../parts/element.js";
import { job } from "../job/job.js";
import { figure, writeArea, writeLength } from "../parts/lengths.js";
import { onSeatWhileShown } from "../service/refusals.js";
import { oldMark } from "./old-mark.js";
import { seat } from "./shaped-seat.js";

export function seatFigures() {
  const place = sideways("Figures of the seat");
  const draw = () => fill(place, seat.sittings.length ? [oldMark(), table()] : null);
  draw();
  onSeatWhileShown(place, draw);
  return place;
}

function table() {
  const flat = seat.report && seat.state !== "following" ? seat.report.sitters : [];
  return h(
    "table",
    { class: "seat-figures" },
    h("caption", {}, seat.state === "following" ? "The fitted seat, while you slide" : "The seat"),
    h(
      "thead",
      {},
      h(
        "tr",
        {},
        h("th", { scope: "col" }, "Sitter"),
        ["Peak, kPa", "Contact", "Knee room"].map((words) => h("th", { scope: "col", class: "number" }, words)),
      ),
    ),
    h(
      "tbody",
      {},
      seat.sittings.map((one, number) =>
        h(
          "tr",
          {},
          h("th", { scope: "row" }, one.body),
          h(
            "td",
            { class: "number" },
            figure(one.peak_kpa, 1),
            flat[number] ? h("span", { class: "small under" }, `flat ${figure(flat[number].peak_flat_kpa, 1)}`) : null,
          ),
          h("td", { class: "number" }, writeArea(one.contact_area_cm2, job.units)),
          h("td", { class: "number" }, writeLength(one.knee_clearance_mm, job.units, 0)),
        ),
      ),
    ),
  );
}
