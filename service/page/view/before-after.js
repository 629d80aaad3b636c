// Before and after by one slider: from the bare blank, or from the seat before the last change, to this one.

import { h, fill, newId } from "../parts/element.js";
import { choice } from "../parts/choice-field.js";
import { job } from "../job/job.js";
import { writeLength } from "../parts/lengths.js";
import { seatBefore } from "../seat/seats-before.js";
import { seat } from "../seat/shaped-seat.js";
import { onSeatWhileShown } from "../service/refusals.js";
import { chosen, differences, isComparable } from "./layers.js";

const NAMES = {
  before: ["Before the last change", "This seat"],
  blank: ["Bare blank", "This seat"],
};

/** The seat before the last change, if one can be drawn turning into this one; else null. */
export function comparedSeat() {
  const before = seatBefore();
  return seat.grid && before && before.id !== seat.id && isComparable(seat.grid, before.grid) ? before : null;
}

/** The slider with its words; `redraw` is called when it is moved. */
export function beforeAfter(redraw) {
  const place = h("div", { class: "before-after" });
  let drawnFor;
  const draw = () => {
    if (seat.state !== "shaped" || seat.id === drawnFor) return;
    drawnFor = seat.id;
    chosen.share = 1;
    fill(place, ...content(redraw, draw));
  };
  draw();
  onSeatWhileShown(place, draw);
  return place;
}

function content(redraw) {
  const before = comparedSeat();
  const id = newId("share");
  const ends = h("div", { class: "ends" });
  const words = h("p", { class: "small" });
  const slider = h("input", { id, type: "range", min: 0, max: 1, step: 0.01, value: 1 });
  const against = () => (before && chosen.against === "before" ? "before" : "blank");
  const say = () => {
    const [from, to] = NAMES[against()];
    fill(ends, h("span", {}, from), h("span", {}, to));
    const share = Number(slider.value);
    const between = share === 0 ? from : share === 1 ? to : `${Math.round(100 * share)} % of the way to this seat`;
    slider.setAttribute("aria-valuetext", between);
    fill(words, [against() === "before" ? changeWords(before) : null, share < 1 ? noPressureWords(share, against()) : null].filter(Boolean).join(" "));
  };
  slider.addEventListener("input", () => {
    chosen.share = Number(slider.value);
    say();
    redraw();
  });
  const put = (name) => {
    chosen.against = name;
    say();
    redraw();
  };
  say();
  return [
    h("label", { for: id }, h("strong", {}, "Before and after")),
    before
      ? choice(
          "Compared with",
          [
            ["before", "the seat before the last change"],
            ["blank", "the bare blank"],
          ],
          against(),
          put,
        )
      : null,
    slider,
    ends,
    words,
  ];
}

// The layer's box stays ticked: that nothing is painted is said.
function noPressureWords(share, against) {
  if (!chosen.pressure || (share === 0 && against === "before")) return null;
  return share === 0 ? "No pressure is shown on the bare blank." : "No pressure is shown between the two.";
}

const LEAST_MM = 0.05;

function changeWords(before) {
  const { deeper, higher } = differences(seat.grid, before.grid);
  const told = [
    deeper > LEAST_MM ? `takes up to ${writeLength(deeper, job.units)} more away` : null,
    higher > LEAST_MM ? `leaves up to ${writeLength(higher, job.units)} more standing` : null,
  ].filter(Boolean);
  return told.length ? `The last change ${told.join(", and ")}.` : "The last change is too small to carve.";
}
