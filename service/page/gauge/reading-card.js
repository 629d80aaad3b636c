// One crossing at a time: where the rod goes, what it shows, in large type and on large keys; and on to the next.

import { h, fill } from "../parts/element.js";
import { atHand, choose, goThrough, goTo, isFromBefore, key, keyed, notAgain, readAgain, setDownAnew, settingOver } from "./at-hand.js";
import { doubtAbout } from "./doubt.js";
import { job } from "../job/job.js";
import { keypad, wrongKeyWords } from "./keypad.js";
import { mapButton, placeParts } from "./crossing-map.js";
import { onSwipe } from "./gestures.js";
import { confirmReading, isRead, readingAt, readingInUnits, readingMm, readingsAt, readingWords, sayOfReading } from "./readings.js";
import { speech } from "./speech.js";
import { isUncut, whyUncut } from "./walk.js";
import { writeLength } from "../parts/lengths.js";

const ORDER = ["1st", "2nd", "3rd", "4th", "5th"];

/**
 * The card. `sheet` has crossings, columns and the blank’s thickness; `draw` draws all anew, `check` asks where to cut;
 * `large` fills the window with it.
 */
export function readingCard(sheet, { draw, check, large }) {
  const now = atHand(sheet);
  const { crossing, all, at, list } = now;
  const room = h("section", { class: large ? "reading large" : "card reading", "aria-labelledby": "crossing" });
  const shown = h("output", { class: "shown", "aria-live": "off" });
  const told = h("div", { class: "told", role: "status" });
  const further = h("div", { class: "further" });
  const anew = h("button", { type: "button", onclick: () => again() }, "Read again");
  // A number that is being keyed and may go on is judged when it is left: keys do not move under the thumb meanwhile.
  let [isKeying, isLeft] = [false, true];
  const tell = () => {
    const fresh = atHand(sheet);
    const reading = isFromBefore(fresh) ? null : fresh.readings[fresh.number];
    const also = readingInUnits(reading);
    fill(shown, readingWords(reading), also ? h("span", { class: "small under" }, `that is ${also}`) : null);
    const asked = question(sheet, fresh, reading, { tell, put });
    const waits = Boolean(asked) && isKeying && mayGoOn(reading, crossing);
    fill(told, waits ? h("p", {}, "") : asked ?? h("p", {}, words(fresh, reading)));
    isLeft = !waits;
    fill(further, furtherReadings(sheet, fresh, { tell, large }));
    anew.disabled = !fresh.readings[0]?.text || isFromBefore(fresh);
  };
  const put = (text) => {
    isKeying = true;
    key(sheet, atHand(sheet), text);
    tell();
    isKeying = false;
  };
  const go = (one) => {
    goTo(one);
    draw();
    toKeys();
  };
  const next = () => (isLeft ? go(all[(at + 1) % all.length]) : tell());
  const back = () => go(all[(at + all.length - 1) % all.length]);
  const again = () => {
    readAgain(sheet, atHand(sheet));
    tell();
    toKeys();
  };
  const wrong = (pressed) => fill(told, h("p", {}, wrongKeyWords(pressed)));
  const acts = { value: () => keyed(atHand(sheet)), put, next, back, again, wrong };
  const chosen = list ? all : null;
  fill(
    room,
    heading(sheet, now, large),
    list && h("p", { class: "list-at-hand" }, h("strong", {}, list.title), ` · ${at + 1} of ${all.length} `, endOfList(draw)),
    h(
      "div",
      { class: "whither" },
      h("p", { class: "where" }, whereWords(crossing)),
      mapButton(sheet.crossings, crossing, chosen, { thickness_mm: sheet.thickness_mm, go }),
    ),
    whyUncut(crossing, sheet.crossings) && h("p", { class: "why-uncut" }, whyUncut(crossing, sheet.crossings)),
    h(
      "dl",
      { class: "expected" },
      h("dt", {}, isUncut(crossing) ? "It should show" : "When it is done"),
      h("dd", {}, writeLength(crossing.expected_mm, job.units)),
      h("dt", {}, "The rod shows"),
      h("dd", {}, shown),
    ),
    told,
    further,
    keypad({ ...acts, room, isAlone: large }),
    h(
      "div",
      { class: "row acts" },
      anew,
      speech(acts),
      check && h(
        "button",
        { type: "button", class: "go asks", disabled: !sheet.crossings.some(isRead), onclick: check },
        "Where to cut next",
      ),
    ),
  );
  onSwipe(room, { left: next, right: back });
  tell();
  return room;
}

// What was pressed may be gone: the keyboard goes on with the keys.
function toKeys() {
  document.querySelector(".keys")?.focus({ preventScroll: true });
}

function whereWords(crossing) {
  const { across, ahead } = placeParts(crossing);
  return [h("span", {}, `${across}, `), h("span", {}, ahead, h("small", {}, " from the rear edge"))];
}

function heading(sheet, { crossing }, large) {
  const done = sheet.crossings.filter(isRead).length;
  return h(
    "div",
    { class: "row spread reading-head" },
    h(
      "h2",
      { id: "crossing", "aria-live": "polite" },
      `Crossing ${crossing.point}`,
      h("span", { class: "small" }, ` · ${done} of ${sheet.crossings.length} read`),
    ),
    large
      ? h("a", { class: "button", href: "#bench/gauge" }, "Leave")
      : h("a", { class: "button", href: "#bench/read" }, "Large"),
  );
}

function endOfList(draw) {
  return h(
    "button",
    {
      type: "button",
      class: "quiet",
      onclick: () => {
        goThrough(null);
        draw();
      },
    },
    "All crossings",
  );
}

/** Whether more digits, or a fraction, may follow what is keyed so far. */
function mayGoOn(reading, crossing) {
  if (!/^\d+$/.test(reading?.text ?? "")) return false;
  return reading.units === "in" || reading.text.length < String(Math.trunc(crossing.expected_mm)).length;
}

function question(sheet, { crossing, number }, reading, { tell, put }) {
  const doubt = reading && doubtAbout(crossing, reading, sheet.crossings, { thickness_mm: sheet.thickness_mm, units: job.units });
  if (!doubt) return null;
  const { likely } = doubt;
  const settle = (said) => () => {
    sayOfReading(crossing, number, said);
    tell();
    toKeys();
  };
  const changing = () => {
    put("");
    toKeys();
  };
  return h(
    "div",
    { class: "question" },
    h("p", {}, doubt.words),
    h(
      "div",
      { class: "row" },
      likely
        ? h("button", { type: "button", class: "go", onclick: settle(likely) }, `Change to ${readingWords(likely)}`)
        : h("button", { type: "button", class: "go", onclick: changing }, "Change it"),
      h("button", { type: "button", onclick: settle({ sure: true }) }, `Keep ${readingWords(reading)}`),
    ),
  );
}

function words(now, reading) {
  const { crossing, readings, number } = now;
  if (isFromBefore(now)) return `Before the cut it showed ${readingWords(readings[0])}. Lift the bar, set it down again, and take a fresh reading.`;
  if (number && !reading?.text) return "Lift the bar, set it down again, and read once more.";
  if (!reading?.text) return "";
  const mm = readingMm(reading);
  if (mm === null)
    return reading.units === "in" ? "Not a length yet: whole inches, then and, then the fraction." : "Not a length yet.";
  const left = crossing.expected_mm - mm;
  const close = job.gauge.tolerance_mm ?? 0.5;
  const by = writeLength(Math.abs(left), job.units);
  if (Math.abs(left) <= close) return "It shows what it should when the seat is done.";
  if (isUncut(crossing))
    return `This wood stays uncut: the bar sits ${by} ${left > 0 ? "low" : "high"} here, or the point was misread.`;
  return left > 0
    ? `${by} less than when it is done: wood still to take, or a bar that sits low. Ask where to cut before you cut.`
    : `${by} more than when it is done: too deep, misread, or a bar that sits high.`;
}

/** The readings of the crossing beside one another where there are, or are to be, several. */
function furtherReadings(sheet, now, { tell, large }) {
  const { crossing, readings, number } = now;
  const count = Math.max(readings.length, number + 1);
  const isFurther = count > 1;
  const isConfirmable = !isFurther && sheet.columns.includes("confirmed") && readingMm(readings[0]) !== null && !large;
  if (isConfirmable) return confirming(crossing);
  if (!isFurther) return null;
  const setting = settingOver(crossing);
  return [
    h(
      "div",
      { class: "row readings", role: "group", "aria-label": "Readings of this crossing" },
      Array.from({ length: count }, (_, place) =>
        h(
          "button",
          {
            type: "button",
            "aria-pressed": String(place === number),
            onclick: () => {
              choose(crossing, place);
              tell();
              toKeys();
            },
          },
          `${ORDER[place] ?? `${place + 1}th`} ${readingWords(readings[place])}`,
        ),
      ),
      number === readings.length && readings[0].reread
        ? h(
            "button",
            {
              type: "button",
              class: "quiet",
              onclick: () => {
                notAgain(now);
                tell();
                toKeys();
              },
            },
            "Not again",
          )
        : null,
    ),
    number && setting !== null
      ? h(
          "p",
          { class: "small setting" },
          `Setting ${setting} of the bar. `,
          h(
            "button",
            {
              type: "button",
              class: "quiet",
              onclick: () => {
                setDownAnew(sheet, crossing);
                tell();
                toKeys();
              },
            },
            "Lifted once more",
          ),
          " Read uncut wood of this row from it too.",
        )
      : null,
  ];
}

function confirming(crossing) {
  const tick = h("input", {
    type: "checkbox",
    checked: Boolean(readingAt(crossing).confirmed),
    onchange: () => confirmReading(crossing, tick.checked),
  });
  return h("label", { class: "tick" }, tick, "Read twice, the bar set down again: the same reading");
}

/** Readings that are questioned and not answered for: they wait, and the others count. */
export function questioned(sheet) {
  const about = { thickness_mm: sheet.thickness_mm, units: job.units };
  return sheet.crossings.flatMap((crossing) =>
    readingsAt(crossing)
      .map((reading) => ({ crossing, reading, doubt: doubtAbout(crossing, reading, sheet.crossings, about) }))
      .filter(({ doubt }) => doubt),
  );
}
