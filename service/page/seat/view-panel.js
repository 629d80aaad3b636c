// The seat in 3D with pressure on it, its buttons, and what takes its place where the browser cannot draw it.

import { h, fill } from "../parts/element.js";
import { job } from "../job/job.js";
import { writeLength } from "../parts/lengths.js";
import { paintSeat } from "../drawings/painted-top.js";
import { pressureKey } from "../drawings/pressure-scale.js";
import { onSeatWhileShown } from "../service/refusals.js";
import { seat, chosenSitting } from "./shaped-seat.js";
import { ask } from "../service/requests.js";
import { sitterChoice } from "./sitter-choice.js";
import { BLANK } from "../order/usual-values.js";
import { makeView } from "../drawings/view-3d.js";

const TURN_DEG = 15;
const shown = { pressure: true, lines: false };

/** The view with its buttons; a small one leaves out what is not needed beside the wishes. */
export function seatView({ small = false } = {}) {
  const canvas = h("canvas", { class: small ? "view small-view" : "view", role: "img" });
  const place = h("div", { class: "view-place" }, canvas);
  const state = { view: null, painted: document.createElement("canvas") };
  const draw = () => {
    describe(canvas);
    if (state.view && seat.grid) drawInto(state, small);
  };
  const started = makeView(canvas)
    .then((view) => {
      state.view = view;
      drag(canvas, view);
      draw();
    })
    .catch(() => picture(place));
  onSeatWhileShown(canvas, draw);
  const buttons = h(
    "div",
    { class: "row view-buttons" },
    turning(state),
    small ? null : [toggle("pressure", "Pressure", draw), toggle("lines", "Depth lines", draw)],
  );
  started.finally(() => {
    if (!state.view) buttons.hidden = true;
  });
  return h("section", { class: "card", "aria-label": "The seat in 3D" }, sitterChoice(), place, buttons, pressureKey());
}

function drawInto(state, small) {
  const thickness = typeof job.blank.thickness_mm === "number" ? job.blank.thickness_mm : BLANK.thickness_mm.usual;
  const following = seat.state === "following";
  paintSeat(state.painted, {
    grid: seat.grid,
    sitting: shown.pressure || small ? chosenSitting() : undefined,
    everyMm: shown.lines && !small ? everyMm() : 0,
    perMm: following ? 1 : 2,
  });
  state.view.show(seat.grid, thickness, state.painted);
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
  return canvas.setAttribute("aria-label", words.join(" "));
}

function turning(state) {
  const button = (words, sign, act) =>
    h(
      "button",
      { type: "button", "aria-label": words, title: words, onclick: () => state.view && act(state.view) },
      sign,
    );
  return h(
    "div",
    { class: "row", role: "group", "aria-label": "Turn the seat" },
    button("Turn to the left", "◀", (view) => view.turn(-TURN_DEG, 0)),
    button("Turn to the right", "▶", (view) => view.turn(TURN_DEG, 0)),
    button("From higher up", "▲", (view) => view.turn(0, TURN_DEG)),
    button("From lower down", "▼", (view) => view.turn(0, -TURN_DEG)),
    button("Nearer", "+", (view) => view.nearer(0.85)),
    button("Farther", "−", (view) => view.nearer(1 / 0.85)),
    button("As at first", "⌂", (view) => view.home()),
  );
}

function toggle(name, words, draw) {
  return h(
    "label",
    { class: "tick" },
    h("input", {
      type: "checkbox",
      checked: shown[name],
      onchange: (event) => {
        shown[name] = event.target.checked;
        draw();
      },
    }),
    words,
  );
}

// Sideways turns; up and down is left to the page on a touch screen, so that a finger can scroll past.
function drag(canvas, view) {
  let from = null;
  canvas.addEventListener("pointerdown", (event) => {
    from = [event.clientX, event.clientY];
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!from) return;
    view.turn(-0.4 * (event.clientX - from[0]), event.pointerType === "mouse" ? 0.4 * (event.clientY - from[1]) : 0);
    from = [event.clientX, event.clientY];
  });
  for (const end of ["pointerup", "pointercancel"])
    canvas.addEventListener(end, () => {
      from = null;
    });
}

// Without WebGL the service's own picture stands here; it is drawn anew for each best shape.
function picture(place) {
  const image = h("img", { class: "view-picture", alt: "The seat in 3D, as the service draws it" });
  const note = h(
    "p",
    { class: "small" },
    "This browser cannot draw in 3D; the picture is the service’s and follows each best shape.",
  );
  fill(place, image, note);
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
}
