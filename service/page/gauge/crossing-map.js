// The map of the crossings, which fills in: every state has a sign and a colour of its own; a press goes to the nearest.

import { h, fill } from "../parts/element.js";
import { boxOf } from "../drawings/read-grids.js";
import { job } from "../job/job.js";
import { writeLength } from "../parts/lengths.js";
import { doubtAbout } from "./doubt.js";
import { placeKey, readingMm, readingsAt } from "./readings.js";
import { isUncut } from "./walk.js";
import { seat } from "../seat/shaped-seat.js";

const USUAL_TOLERANCE_MM = 0.5;

/** The states of a crossing as it was read, the bar taken to sit as it is meant to; in the order of the key. */
export const STATES = {
  none: "not read",
  take: "to cut",
  done: "right",
  deep: "too deep",
  asked: "questioned, or to read again",
  uncut: "uncut wood, read: it tells how the bar sits",
};

export function stateOf(crossing, all, thickness_mm) {
  const readings = readingsAt(crossing).filter((one) => one.text);
  if (!readings.length) return "none";
  const values = readings.map(readingMm);
  const within = job.gauge.tolerance_mm ?? USUAL_TOLERANCE_MM;
  const isAsked = readings.some((one) => doubtAbout(crossing, one, all, { thickness_mm, units: job.units }));
  if (readings[0].reread || isAsked || values.includes(null)) return "asked";
  if (!isUncut(crossing) && Math.max(...values) - Math.min(...values) > within) return "asked";
  if (isUncut(crossing)) return "uncut";
  const left = crossing.expected_mm - values.at(-1);
  return Math.abs(left) <= within ? "done" : left > 0 ? "take" : "deep";
}

const SIGNS = {
  none: (x, y) => h("circle", { cx: x, cy: y, r: 2.5, class: "sign none" }),
  take: (x, y) => h("circle", { cx: x, cy: y, r: 8, class: "sign take" }),
  done: (x, y) => h("circle", { cx: x, cy: y, r: 7, class: "sign done" }),
  deep: (x, y) => h("path", { d: `M${x - 7} ${y - 7}l14 14M${x + 7} ${y - 7}l-14 14`, class: "sign deep" }),
  asked: (x, y) => h("text", { x, y: y + 8, class: "letter strong middle sign-asked" }, "?"),
  uncut: (x, y) => h("rect", { x: x - 6, y: y - 6, width: 12, height: 12, class: "sign uncut" }),
};

/** The map; `now` is lit, `chosen` are places that are gone through. `words` stand for it where it cannot be seen. */
export function crossingMap(all, now, { thickness_mm, words, chosen = null }) {
  const outline = seat.grid.outline_mm;
  const [left, right, rear, front] = boxOf(outline);
  return h(
    "svg",
    {
      viewBox: `${left - 12} -30 ${right - left + 24} ${front - rear + 40}`,
      class: "drawing crossings",
      role: "img",
      "aria-label": words,
    },
    h("polygon", { points: outline.map(([x, y]) => `${x},${front - y}`).join(" "), class: "wood-face" }),
    h("line", { x1: 0, x2: 0, y1: 0, y2: front - rear, class: "centre" }),
    h("text", { x: 0, y: -9, class: "letter strong middle" }, "FRONT"),
    h("text", { x: left, y: -9, class: "letter" }, "LEFT"),
    h("text", { x: right, y: -9, class: "letter end" }, "RIGHT"),
    chosen?.map((one) => h("circle", { cx: one.x_mm, cy: front - one.y_mm, r: 13, class: "gone-through" })),
    all.map((one) => SIGNS[stateOf(one, all, thickness_mm)](one.x_mm, front - one.y_mm)),
    now && [
      h("line", { x1: left, x2: right, y1: front - now.y_mm, y2: front - now.y_mm, class: "bar-line" }),
      h("circle", { cx: now.x_mm, cy: front - now.y_mm, r: 17, class: "at-hand" }),
      h("circle", { cx: now.x_mm, cy: front - now.y_mm, r: 4, class: "at-hand-dot" }),
    ],
  );
}

/** The key of the signs, with how many crossings are in each state. */
export function mapKey(all, thickness_mm) {
  const counts = {};
  for (const one of all) {
    const state = stateOf(one, all, thickness_mm);
    counts[state] = (counts[state] ?? 0) + 1;
  }
  return h(
    "ul",
    { class: "map-key" },
    Object.entries(STATES)
      .filter(([state]) => counts[state])
      .map(([state, words]) =>
        h(
          "li",
          {},
          h("svg", { viewBox: "-12 -12 24 24", "aria-hidden": "true" }, SIGNS[state](0, 0)),
          `${counts[state]} ${words}`,
        ),
      ),
  );
}

/** The small map, which opens the large one to choose a crossing on. */
export function mapButton(all, now, chosen, { thickness_mm, go }) {
  const read = all.filter((one) => stateOf(one, all, thickness_mm) !== "none").length;
  const words = `Map of ${all.length} crossings, ${read} of them read`;
  return h(
    "button",
    { type: "button", class: "map-button", "aria-label": `${words}. Choose a crossing`, onclick: open },
    crossingMap(all, now, { thickness_mm, words, chosen }),
  );

  function open(event) {
    const dialog = largeMap(all, now, { thickness_mm, words, go, chosen });
    const opener = event.currentTarget;
    opener.parentElement.append(dialog);
    dialog.addEventListener("close", () => {
      dialog.remove();
      if (opener.isConnected) opener.focus({ preventScroll: true });
    });
    dialog.showModal();
  }
}

function largeMap(all, now, { thickness_mm, words, go, chosen }) {
  const drawing = crossingMap(all, now, { thickness_mm, words, chosen });
  const [, , , front] = boxOf(seat.grid.outline_mm);
  const dialog = h("dialog", { class: "map-dialog", "aria-labelledby": "map-title" });
  const choose = (one) => {
    dialog.close();
    go(one);
  };
  drawing.classList.add("pressed");
  drawing.addEventListener("click", (event) => {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(drawing.getScreenCTM().inverse());
    const far = (one) => Math.hypot(one.x_mm - point.x, front - one.y_mm - point.y);
    choose(all.reduce((best, one) => (far(one) < far(best) ? one : best)));
  });
  const list = h(
    "select",
    { "aria-label": "Crossing", onchange: () => choose(all.find((one) => placeKey(one) === list.value)) },
    all.map((one) =>
      h(
        "option",
        { value: placeKey(one), selected: one === now },
        `${one.point}: ${placeInShort(one)}, ${STATES[stateOf(one, all, thickness_mm)]}`,
      ),
    ),
  );
  fill(
    dialog,
    h(
      "div",
      { class: "row spread" },
      h("h2", { id: "map-title" }, "Choose a crossing"),
      h("button", { type: "button", onclick: () => dialog.close() }, "Close"),
    ),
    drawing,
    list,
    mapKey(all, thickness_mm),
    h("p", { class: "small" }, "As read, if the bar sits as it should. “Where to cut next” judges bar and readings together."),
  );
  return dialog;
}

/** A place as it is found with a rule: so far left or right, so far from the rear edge; each a length and words. */
export function placeParts({ x_mm: x, y_mm: y }) {
  const across = Math.abs(x) < 0.5 ? "on the centre line" : `${x < 0 ? "left" : "right"} ${writeLength(Math.abs(x), job.units, 0)}`;
  return { across, ahead: writeLength(y, job.units, 0) };
}

function placeInShort(crossing) {
  const { across, ahead } = placeParts(crossing);
  return `${across}, ${ahead} from the rear edge`;
}
