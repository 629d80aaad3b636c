// Joints that are no legs: posts and spindles from above, and zones that keep wood.

import { h } from "../parts/element.js";
import { job } from "../job/job.js";
import { writeLength } from "../parts/lengths.js";
import { tableRows } from "../order/table-rows.js";

const FRESH = { kind: "back post", x_mm: 120, y_mm: 25, diameter_mm: 22, side: "both" };

/** The card of all joints that are no leg mortises; `edited` is called when one has changed. */
export function otherJoints(edited) {
  return h(
    "section",
    { class: "card", "aria-labelledby": "wood-joints" },
    h("h2", { id: "wood-joints" }, "Other joints, and zones that keep wood"),
    h("p", { class: "small" }, "Posts and spindles from above; circles, bars and polygons under which wood is to stay."),
    tableRows("joint", {
      thing: "joint",
      add: "Add a joint or a zone",
      fresh: () => ({ ...FRESH }),
      titleOf: (one, number) => `Joint ${number + 1}: ${one.kind}${where(one)}`,
      isHere: (one) => one.kind !== "leg mortise",
      edited,
    }),
  );
}

function where({ x_mm: x, y_mm: y }) {
  if (typeof x !== "number" || typeof y !== "number") return "";
  return `, ${writeLength(x, job.units)} from the centre line, ${writeLength(y, job.units)} from the rear edge`;
}
