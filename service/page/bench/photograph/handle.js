// The handle of a point: a button that is dragged, or moved pixel by pixel with the arrow keys.

import { h, fill } from "../../parts/element.js";
import { choose, move, nameOfPoint, photo, remove, signOf, tell } from "./photo.js";

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const QUIET_MS = 500;
// A tap beside the circle of a handle is meant for what lies there, not for the handle.
const CIRCLE_PX = 15;

/** A handle: `{point, element, renew}`. `view` has the stage, its frame, the magnifier and what announces. */
export function handleOf(point, view) {
  const sign = h("span", { class: "photo-sign", "aria-hidden": "true" });
  const element = h("button", { type: "button", class: `photo-handle ${point.kind}` }, crossHair(), sign);
  let telling = 0;
  const done = () => {
    clearTimeout(telling);
    telling = setTimeout(() => view.say(placeWords(point)), QUIET_MS);
    tell("changed");
  };
  drag(element, point, view, done);
  element.addEventListener("focus", () => {
    if (element.matches(":focus-visible") && view.frame()) {
      choose(point.id);
      view.bringIn(point);
      view.show(point);
    }
  });
  element.addEventListener("blur", view.hide);
  element.addEventListener("keydown", (event) => {
    if (event.key === "Delete" || event.key === "Backspace") {
      if (point.first) return view.say(`${nameOfPoint(point)} stays: the picture needs it.`);
      event.preventDefault();
      const next = element.nextElementSibling ?? element.previousElementSibling;
      view.say(`${nameOfPoint(point)} removed.`);
      remove(point);
      return next?.focus();
    }
    if (event.key === "Enter" && !point.placed) {
      event.preventDefault();
      move(point, point.u, point.v);
      return done();
    }
    const way = ARROWS[event.key];
    if (!way || event.altKey || event.metaKey) return;
    event.preventDefault();
    const step = event.ctrlKey ? 100 : event.shiftKey ? 10 : 1;
    move(point, point.u + way[0] * step, point.v + way[1] * step);
    view.bringIn(point);
    view.show(point);
    done();
  });
  return {
    point,
    element,
    renew() {
      fill(sign, signOf(point));
      element.setAttribute("aria-label", `${placeWords(point)}${point.placed ? "" : ", not put yet"}`);
      element.classList.toggle("unplaced", !point.placed);
      element.classList.toggle("chosen", photo.chosen === point.id);
    },
  };
}

/** A point and its pixel in words. */
function placeWords(point) {
  return `${nameOfPoint(point)}: ${Math.round(point.u)} across, ${Math.round(point.v)} down`;
}

function drag(element, point, view, done) {
  let from = null;
  element.addEventListener("pointerdown", (event) => {
    if (event.button > 0) return;
    event.stopPropagation();
    element.setPointerCapture(event.pointerId);
    from = { x: event.clientX, y: event.clientY, u: point.u, v: point.v, moved: false, beside: isBeside(element, event) };
    if (!from.beside) choose(point.id);
    view.show(point);
  });
  element.addEventListener("pointermove", (event) => {
    if (!from) return;
    const { scale } = view.frame();
    from.moved ||= Math.hypot(event.clientX - from.x, event.clientY - from.y) > 2;
    if (!from.moved) return;
    choose(point.id);
    move(point, from.u + (event.clientX - from.x) / scale, from.v + (event.clientY - from.y) / scale);
    view.show(point);
  });
  const end = (event) => {
    if (!from) return;
    const { moved: wasMoved, beside } = from;
    if (event.type === "pointercancel" && wasMoved) move(point, from.u, from.v);
    from = null;
    if (!element.matches(":focus-visible")) view.hide();
    if (wasMoved) done();
    else if (beside && event.type === "pointerup") view.tapped(event);
  };
  element.addEventListener("pointerup", end);
  element.addEventListener("pointercancel", end);
}

function isBeside(element, { clientX, clientY }) {
  const { left, top, width, height } = element.getBoundingClientRect();
  return Math.hypot(clientX - left - width / 2, clientY - top - height / 2) > CIRCLE_PX;
}

/** Four strokes that leave the pixel itself free. */
function crossHair() {
  const strokes = "M22 8V18M22 26V36M8 22H18M26 22H36";
  return h(
    "svg",
    { viewBox: "0 0 44 44", "aria-hidden": "true" },
    h("circle", { cx: 22, cy: 22, r: 14, class: "under" }),
    h("path", { d: strokes, class: "under" }),
    h("circle", { cx: 22, cy: 22, r: 14, class: "over" }),
    h("path", { d: strokes, class: "over" }),
  );
}
