// What the readings say: where to cut next, in order, with amounts; the map of the crossings; left against right.

import { h, sideways } from "../parts/element.js";
import { boxOf } from "../drawings/read-grids.js";
import { job } from "../job/job.js";
import { inUnits, writeLength } from "../parts/lengths.js";
import { seat } from "../seat/shaped-seat.js";

const STATES = {
  take: "wood still to take",
  done: "done",
  too_deep: "too deep",
  questioned: "questioned: read again",
  misread: "misread: left out",
};

/**
 * The answer. `isOld` says that readings were changed since, `waiting` are readings that are questioned; `read` goes to a
 * crossing, `readPoint` to the one of a number, `readCut` through the crossings of a cut.
 */
export function gaugeAnswer(sheet, { isOld, waiting, read, readPoint, readPoints, readCut }) {
  if (sheet.answered) return h("div", { class: "refusal", role: "alert" }, h("p", {}, sheet.answered));
  const told = sheet.answer;
  if (!told)
    return h(
      "section",
      { class: "card" },
      h("h2", {}, "Where to cut next"),
      h("p", { class: "small" }, "Key in some readings, then ask."),
      notCounted(waiting, [], read, readPoint),
    );
  return h(
    "section",
    { class: "card", "aria-labelledby": "cut-next" },
    h("h2", { id: "cut-next", tabindex: -1 }, told.finished ? "Finished" : "Where to cut next"),
    isOld ? h("p", { class: "small" }, "Readings were changed since: ask again when you have read enough.") : null,
    told.finished ? h("p", {}, "Every reading is close enough, and the surface is fair.") : null,
    notCounted(waiting, told.set_aside ?? [], read, readPoint),
    listed("The bar", told.bar_words),
    told.finished || told.next_cuts.length
      ? null
      : h(
          "p",
          {},
          nothingToCut(told.counts),
        ),
    told.next_cuts.length
      ? h(
          "ol",
          { class: "cuts" },
          told.next_cuts.map((cut, number) =>
            h(
              "li",
              {},
              cut.words,
              h(
                "button",
                { type: "button", class: "under-cut", onclick: () => readCut(cut, number + 1) },
                "Cut: read its crossings again",
              ),
            ),
          ),
        )
      : null,
    stateMap(told),
    counts(told),
    told.left_right ? h("p", {}, told.left_right.words) : null,
    listed(
      "Ripples that a hand would feel",
      told.ripples?.map((one) => one.words),
    ),
    listed("Not finished, because", told.finished ? [] : told.not_finished_because),
    readNext(told.further_readings ?? [], readPoints),
    listed("To note", [...(told.notes ?? []), ...(told.unseen ? [told.unseen] : [])]),
  );
}

/** Numbers that do not count: those that wait for an answer, and those that no wood can have. */
function notCounted(waiting, aside, read, readPoint) {
  if (!waiting.length && !aside.length) return null;
  const item = (point, words, go) =>
    h("li", {}, `${words} `, h("button", { type: "button", class: "quiet", onclick: go }, `Go to crossing ${point}`));
  return h(
    "div",
    { class: "refusal" },
    h("p", {}, "Not counted; all others are:"),
    h(
      "ul",
      {},
      waiting.map(({ crossing, doubt }) => item(crossing.point, doubt.words, () => read(crossing))),
      aside.map((one) => item(one.point, inUnits(one.words, job.units), () => readPoint(one.point))),
    ),
  );
}

/** What to read next, in one line for each reason; crossings of a line are gone through by a press. */
function readNext(further, readPoints) {
  if (!further.length) return null;
  const reasons = [...new Set(further.map(({ why }) => why))];
  const line = (why) => {
    const all = further.filter((one) => one.why === why);
    const points = all.filter(({ point }) => point).map(({ point }) => point);
    const places = all.filter(({ point }) => !point).map(({ place }) => place);
    return h(
      "li",
      {},
      inUnits(`${capital(why)}: `, job.units),
      points.length
        ? h("button", { type: "button", class: "quiet", onclick: () => readPoints(points) }, crossingsInWords(points))
        : null,
      inUnits(`${points.length && places.length ? "; " : ""}${places.join("; ")}`, job.units),
    );
  };
  return [h("h3", {}, "Read these next"), h("ul", {}, reasons.map(line))];
}

function crossingsInWords(points) {
  if (points.length === 1) return `Go to crossing ${points[0]}`;
  return `Go through crossings ${points.join(", ")}`;
}

function capital(words) {
  return words.charAt(0).toUpperCase() + words.slice(1);
}

function nothingToCut(counts) {
  if (counts?.take) return "Too few readings to name a cut: read more of the hollow.";
  if (counts?.questioned)
    return "Nothing is cut until the questioned readings are read again. A bar that sits low looks like wood to take.";
  return "Nothing to take at the crossings that were read.";
}

function listed(words, lines) {
  if (!lines?.length) return null;
  return [
    h("h3", {}, words),
    h(
      "ul",
      {},
      lines.map((one) => h("li", {}, inUnits(one, job.units))),
    ),
  ];
}

function counts(told) {
  const found = Object.entries(STATES)
    .map(([state, words]) => [told.points.filter((one) => one.state === state), words])
    .filter(([points]) => points.length);
  return sideways(
    "Every reading",
    h(
      "table",
      {},
      h("caption", {}, "Every reading"),
      h(
        "tbody",
        {},
        found.map(([points, words]) =>
          h(
            "tr",
            {},
            h("th", { scope: "row" }, `${points.length} ${words}`),
            h(
              "td",
              {},
              points
                .map(
                  (one) =>
                    `${one.point}${Math.abs(one.to_take_mm) < 0.05 ? "" : ` (${one.to_take_mm > 0 ? "" : "−"}${writeLength(Math.abs(one.to_take_mm), job.units)})`}`,
                )
                .join(", "),
            ),
          ),
        ),
      ),
    ),
  );
}

// Each state has a sign of its own, so that none rests on colour: a ring to take, a dot when done, a cross when too deep.
const SIGNS = {
  take: (x, y) => h("circle", { cx: x, cy: y, r: 9, class: "sign take" }),
  done: (x, y) => h("circle", { cx: x, cy: y, r: 4, class: "sign done" }),
  too_deep: (x, y) => h("path", { d: `M${x - 7} ${y - 7}l14 14M${x + 7} ${y - 7}l-14 14`, class: "sign deep" }),
  questioned: (x, y) => h("text", { x, y: y + 8, class: "letter strong middle" }, "?"),
  misread: (x, y) => h("text", { x, y: y + 8, class: "letter middle" }, "–"),
};

function stateMap(told) {
  const outline = seat.grid.outline_mm;
  const [left, right, rear, front] = boxOf(outline);
  return h(
    "figure",
    {},
    h(
      "svg",
      {
        viewBox: `${left - 30} -30 ${right - left + 60} ${front - rear + 44}`,
        class: "drawing",
        role: "img",
        "aria-label": "Plan of the readings; the table below says the same.",
      },
      h("polygon", { points: outline.map(([x, y]) => `${x},${front - y}`).join(" "), class: "wood-face" }),
      h("line", { x1: 0, x2: 0, y1: 0, y2: front - rear, class: "centre" }),
      h("text", { x: 0, y: -10, class: "letter strong middle" }, "FRONT"),
      h("text", { x: left, y: -10, class: "letter" }, "LEFT"),
      h("text", { x: right, y: -10, class: "letter end" }, "RIGHT"),
      told.points.map((one) => SIGNS[one.state](one.x_mm, front - one.y_mm)),
      told.next_cuts.map((cut, number) => [
        h("circle", { cx: cut.x_mm, cy: front - cut.y_mm, r: 14, class: "spot" }),
        h("text", { x: cut.x_mm, y: front - cut.y_mm + 5.5, class: "spot-number" }, number + 1),
      ]),
    ),
    h(
      "figcaption",
      { class: "small" },
      "Ring: wood to take. Dot: done. Cross: too deep. Question mark: read again. Dash: misread. Numbers: the cuts, in order.",
    ),
  );
}
