// The client's remarks so far: each with its effect on every sitter, the last to be undone or put back.

import { h } from "../parts/element.js";
import { placeWords } from "../drawings/contact-map.js";
import { change, itemId, job } from "../job/job.js";
import { figure, writeLength } from "../parts/lengths.js";
import { seat, shape } from "../seat/shaped-seat.js";
import { live } from "../seat/step.js";
import { furtherOf } from "../order/table-rows.js";
import { choicesOf } from "../order/vocabulary.js";

const SAID = { deepen: "Take more", ease: "Ease an edge", raise: "Leave more" };
export const ACTIONS = choicesOf("adjustment", "action", SAID);

export function remarkList(redraw) {
  const last = job.adjustments.findLastIndex((one) => !one.locked);
  return h(
    "section",
    { class: "card", "aria-labelledby": "remarks-made", "aria-live": "polite" },
    h("h2", { id: "remarks-made", tabindex: -1 }, `Remarks so far, ${job.adjustments.length}`),
    h(
      "div",
      { class: "row" },
      h(
        "button",
        {
          type: "button",
          disabled: last < 0,
          onclick: () => {
            takeBack(last);
            redraw();
            shape();
          },
        },
        "Undo the last",
      ),
      h(
        "button",
        {
          type: "button",
          disabled: !job.taken_back.length,
          onclick: () => {
            putBack();
            redraw();
            shape();
          },
        },
        "Put it back",
      ),
    ),
    h(
      "ol",
      { class: "entries" },
      job.adjustments.map((one, number) => entryLine(one, number, redraw)),
    ),
  );
}

function takeBack(number) {
  change((one) => one.taken_back.push(one.adjustments.splice(number, 1)[0]));
}

function putBack() {
  // Put back it is the last one again, as if it had been made now.
  change((one) => one.adjustments.push({ ...one.taken_back.pop(), id: itemId() }));
}

function entryLine(entry, number, redraw) {
  const effect = seat.state === "shaped" ? seat.report.adjustments?.[number] : null;
  const place = placeWords(entry.side === "left" ? -entry.x_mm : entry.x_mm, entry.y_mm, entry.side === "both");
  return h(
    "li",
    { "data-key": `adjustment.${number}` },
    h(
      "div",
      {},
      h("strong", {}, `${ACTIONS[entry.action]}: ${writeLength(entry.amount_mm, job.units)}`),
      ` over a radius of ${writeLength(entry.radius_mm, job.units)}, ${place}.`,
      entry.why ? h("q", {}, entry.why) : null,
    ),
    effect
      ? h(
          "ul",
          { class: "small" },
          effect.peaks.map((peak) => h("li", {}, effectWords(peak))),
        )
      : null,
    h(
      "label",
      { class: "tick" },
      h("input", {
        type: "checkbox",
        checked: entry.locked,
        onchange: (event) => {
          change(() => {
            if (event.target.checked) entry.locked = true;
            else delete entry.locked;
          });
          redraw();
          shape();
        },
      }),
      "Keep it, whatever is undone",
    ),
    furtherOf("adjustment", entry, number),
  );
}

function effectWords({ body, before_kpa: before, after_kpa: after }) {
  const share = after / before - 1;
  const felt = Math.abs(share) >= 0.1 ? "" : ", less than can be felt";
  return `${body}: peak ${figure(before, 1)} to ${figure(after, 1)} kPa (${share >= 0 ? "+" : ""}${figure(100 * share)} %${felt})`;
}
