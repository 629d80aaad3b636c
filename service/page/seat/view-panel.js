// The seat in 3D with its layers and buttons, and what takes its place where the browser cannot draw it.

import { h, fill } from "../parts/element.js";
import { choice } from "../parts/choice-field.js";
import { pressureKey } from "../drawings/pressure-scale.js";
import { job } from "../job/job.js";
import { isReady } from "../order/order-of-job.js";
import { lengthOf } from "../order/usual-values.js";
import { writeLength } from "../parts/lengths.js";
import { onSeatWhileShown } from "../service/refusals.js";
import { ask } from "../service/requests.js";
import { beforeAfter, comparedSeat } from "../view/before-after.js";
import { theContext } from "../view/context.js";
import { asAtFirst, come, standAt, turn } from "../view/hand.js";
import { chosen, cutAt, settle, showBetween, showGrid } from "../view/layers.js";
import { readDepthsFrom, viewPlace } from "../view/place.js";
import { show } from "../view/scene.js";
import { onForeseen } from "./foresight.js";
import { onSection, sectionAt } from "./section-places.js";
import { seat, chosenSitting } from "./shaped-seat.js";
import { sitterChoice } from "./sitter-choice.js";

const TURN_DEG = 15;
let lineOf = null;

/** The view with its buttons; a small one leaves out what is not needed beside the wishes. */
export function seatView({ small = false } = {}) {
  const waiting = isReady() ? "The seat is being drawn …" : "Nothing to draw yet: nobody sits on it.";
  const card = h("section", { class: "card", "aria-label": "The seat in 3D" });
  const content = (parts) => fill(card, sitterChoice(), parts, pressureKey());
  const place = viewPlace({ small, waiting, instead: () => content([picture()]) });
  return content(place ? [place, ...controls(place, small)] : [picture()]);
}

function controls(place, small) {
  const draw = () => drawSeat(small);
  lineOf = null;
  show({ sitter: false, cut: null, sections: [0, 0, 0, 0] });
  if (small) chosen.share = 1;
  draw();
  if (!small && chosen.sitter) settle(true);
  onSeatWhileShown(place, draw);
  whileShown(place, onForeseen, (grid) => {
    readDepthsFrom(null);
    showGrid(grid);
  });
  whileShown(place, onSection, (way) => {
    lineOf = way;
    if (!small) draw();
  });
  const buttons = h("div", { class: "row view-buttons" }, turning(), small ? null : looking());
  return small ? [buttons] : [buttons, layers(draw), beforeAfter(draw)];
}

// Listen for as long as an element stands on the page; it may not stand there yet.
function whileShown(element, listen, act) {
  let stood = false;
  const end = listen((told) => {
    if (element.isConnected) {
      stood = true;
      act(told);
    } else if (stood) end();
  });
}

function drawSeat(small) {
  describe(theContext().canvas);
  if (!seat.grid) {
    show({ was: null, is: null });
    return;
  }
  const compared = !small && chosen.against === "before" ? comparedSeat() : null;
  const { share } = chosen;
  if (share < 1) showBetween(seat.grid, compared?.grid ?? null, share);
  else showGrid(seat.grid, { flowing: true });
  readDepthsFrom(share < 1 ? null : seat.grid);
  const sitting = sittingAt(share, compared);
  const [across, along] = [sectionAt("across") ?? 0, sectionAt("along")];
  const line = (way) => (!small && lineOf === way && chosen.cut === "whole" ? 1 : 0);
  show({
    thickness: lengthOf(job, "blank", "thickness_mm"),
    rings: seat.rings,
    sitting,
    pressure: Boolean(sitting) && (small || chosen.pressure),
    everyMm: chosen.lines && !small ? everyMm() : 0,
    sections: [across, along, line("across"), line("along")],
  });
  if (!small) cutAt(chosen.cut, seat.grid.outline_mm);
}

// Pressure belongs to the seat that it was found on: what lies between two seats has none.
function sittingAt(share, compared) {
  const now = chosenSitting();
  if (share >= 1) return now ?? null;
  if (share > 0 || !compared) return null;
  return compared.sittings.find((one) => one.body === now?.body) ?? null;
}

/** Spacing of depth lines: 2 mm, or 1/16 inch. */
export function everyMm() {
  return job.units === "in" ? 25.4 / 16 : 2;
}

function describe(canvas) {
  const sitting = chosenSitting();
  if (!seat.grid) return canvas.setAttribute("aria-label", "The seat, not drawn yet.");
  const deepest = seat.state === "shaped" ? seat.report.hollow.deepest_mm : null;
  const words = [
    deepest === null
      ? "The seat in 3D."
      : `The seat in 3D; its hollow is up to ${writeLength(deepest, job.units)} deep.`,
  ];
  if (sitting)
    words.push(
      `${sitting.body} presses hardest with ${sitting.peak_kpa.toFixed(0)} kPa; the table of figures says more.`,
    );
  words.push("Arrow keys turn it, plus and minus bring it nearer and farther, Home brings the first view back.");
  return canvas.setAttribute("aria-label", words.join(" "));
}

function button(words, sign, act) {
  return h("button", { type: "button", "aria-label": words, title: words, onclick: act }, sign);
}

function turning() {
  return h(
    "div",
    { class: "row", role: "group", "aria-label": "Turn the seat" },
    button("Turn to the left", "◀", () => turn(-TURN_DEG, 0)),
    button("Turn to the right", "▶", () => turn(TURN_DEG, 0)),
    button("From higher up", "▲", () => turn(0, TURN_DEG)),
    button("From lower down", "▼", () => turn(0, -TURN_DEG)),
    button("Nearer", "+", () => come(0.85)),
    button("Farther", "−", () => come(1 / 0.85)),
    button("Back to the first view", "⌂", asAtFirst),
  );
}

function looking() {
  return h(
    "div",
    { class: "row", role: "group", "aria-label": "Look at the seat" },
    button("From above", "Above", () => standAt(0, 89)),
    button("From the sitter’s left side", "Side", () => standAt(270, 6)),
    button("From the front", "Front", () => standAt(180, 24)),
  );
}

function layers(draw) {
  const settled = () => {
    settle(chosen.sitter);
    draw();
  };
  const cuts = [
    ["whole", "whole"],
    ["across", "cut across"],
    ["along", "cut along"],
  ];
  const cut = (name) => {
    chosen.cut = name;
    draw();
  };
  return h(
    "div",
    { class: "view-layers" },
    h(
      "div",
      { class: "row" },
      toggle("pressure", "Pressure", draw),
      toggle("lines", "Depth lines", draw),
      toggle("sitter", "The sitter’s underside", settled),
    ),
    choice("Show the seat", cuts, chosen.cut, cut),
  );
}

function toggle(name, words, act) {
  return h(
    "label",
    { class: "tick" },
    h("input", {
      type: "checkbox",
      checked: chosen[name],
      onchange: (event) => {
        chosen[name] = event.target.checked;
        act();
      },
    }),
    words,
  );
}

// Without WebGL the service's own picture stands here; it is drawn anew for each best shape.
function picture() {
  const image = h("img", { class: "view-picture", alt: "The seat in 3D, as the service draws it" });
  const note = h(
    "p",
    { class: "small" },
    "This browser cannot draw in 3D; the picture is the service’s and follows each best shape.",
  );
  const draw = async () => {
    if (seat.state !== "shaped" || image.dataset.seat === seat.id) return;
    image.dataset.seat = seat.id;
    try {
      const answer = await ask(`/seats/${seat.id}/pictures/view.png`);
      image.src = URL.createObjectURL(await answer.blob());
    } catch (error) {
      fill(note, `No view in 3D: ${error.message}`);
    }
  };
  draw();
  onSeatWhileShown(image, draw);
  return h("div", { class: "view-place" }, image, note);
}
