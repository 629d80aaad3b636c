// The crossings on the plan of the blank: which is at hand, which are read; a press goes to the nearest.

import { h } from "../parts/element.js";
import { boxOf } from "../drawings/read-grids.js";
import { isRead } from "./readings.js";
import { seat } from "../seat/shaped-seat.js";

export function crossingPlan(all, now, go) {
  const outline = seat.grid.outline_mm;
  const [left, right, rear, front] = boxOf(outline);
  const drawing = h(
    "svg",
    {
      viewBox: `${left - 12} -34 ${right - left + 24} ${front - rear + 46}`,
      class: "drawing pressed",
      role: "img",
      "aria-label": `Plan of ${all.length} crossings, ${all.filter(isRead).length} of them read. Next and Back go from one to the other.`,
    },
    h("polygon", { points: outline.map(([x, y]) => `${x},${front - y}`).join(" "), class: "wood-face" }),
    h("text", { x: 0, y: -10, class: "letter strong middle" }, "FRONT"),
    h("text", { x: left, y: -10, class: "letter" }, "LEFT"),
    h("text", { x: right, y: -10, class: "letter end" }, "RIGHT"),
    all.map((one) =>
      h("circle", {
        cx: one.x_mm,
        cy: front - one.y_mm,
        r: isRead(one) ? 5 : 3,
        class: isRead(one) ? "sign done" : "sign",
      }),
    ),
    h("circle", { cx: now.x_mm, cy: front - now.y_mm, r: 13, class: "at-hand" }),
  );
  drawing.addEventListener("click", (event) => {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(drawing.getScreenCTM().inverse());
    const far = (one) => Math.hypot(one.x_mm - point.x, front - one.y_mm - point.y);
    go(all.reduce((best, one, number) => (far(one) < far(all[best]) ? number : best), 0));
  });
  return h("details", {}, h("summary", {}, "Choose on the plan"), drawing);
}
