// A quantity that is typed: its label, unit, hint, and the refusal beside it. What was typed is never thrown away.

import { h, newId, fill } from "./element.js";
import { change, job } from "../job/job.js";
import { same } from "../job/merge-tabs.js";
import { ALLOWED, bareLength, doubtful, readLength, writeLength } from "./lengths.js";
import { ALLOWED_MASSES, KG_PER_POUND, massUnits, readMass } from "./masses.js";

const inPounds = () => massUnits(job) === "lb";
const massAs = () => (inPounds() ? "in" : "mm");
import { listKinds } from "./list-kinds.js";
import { redrawStep, whenStill } from "./redraw-in-place.js";

/** Kinds of quantity: how each is read from what was typed, written into its field, and called. */
export const KINDS = {
  length: {
    unit: () => job.units,
    read: (typed) => readLength(typed, job.units),
    write: (value) => bareLength(value, job.units),
    say: (value) => writeLength(value, job.units, 1),
    allowed: () => ALLOWED[job.units],
    keyboard: () => (job.units === "in" ? "text" : "decimal"),
  },
  mass: {
    unit: () => massUnits(job),
    read: (typed) => readMass(typed, massAs()),
    write: (value) => short(inPounds() ? value / KG_PER_POUND : value, 1),
    say: (value) => (inPounds() ? `${short(value / KG_PER_POUND, 1)} lb` : `${short(value, 1)} kg`),
    allowed: () => ALLOWED_MASSES[massAs()],
    keyboard: () => (inPounds() ? "text" : "decimal"),
  },
  years: number(" years", 0),
  percent: number(" %", 0),
  angle: number("°", 1),
  share: { ...number("", 2), write: significant, say: significant },
  count: number("", 0),
};
Object.assign(KINDS, listKinds(KINDS.share));

const IN_UNITS = ["length", "mass", "lengths", "points", "depths", "pith"];

function number(unit, decimals) {
  return {
    unit: () => unit,
    read: plain,
    write: (value) => short(value, decimals),
    say: (value) => `${short(value, decimals)}${unit}`,
    allowed: () => "a plain number",
    keyboard: () => "text",
  };
}

function plain(typed) {
  if (doubtful(typed)) return null;
  const text = String(typed)
    .trim()
    .replace("−", "-")
    .replace(/^(-?\d*),(\d+)$/, "$1.$2");
  return /^-?(\d+\.?\d*|\.\d+)$/.test(text) ? Number(text) : null;
}

function significant(value) {
  return String(Number(value.toPrecision(6)));
}

function short(value, decimals) {
  return String(Number(value.toFixed(decimals)));
}

/** What a field shows for a value: what was typed, as long as its unit is the maker's, or the value in that unit. */
export function shownIn(kind, value, typed) {
  if (value === undefined || value === null) return "";
  if (typeof value === "string") return value;
  return isAsTyped(kind, value, typed) ? typed.text : KINDS[kind].write(value);
}

function isAsTyped(kind, value, typed) {
  return same(typed?.value, value) && (isInUnits(kind, typed) || !IN_UNITS.includes(kind) || bringsUnit(kind, typed));
}

// Masses were once noted with the unit of lengths that they went with.
function isInUnits(kind, { units }) {
  return kind === "mass" ? (MASS_OF[units] ?? units) === massUnits(job) : units === job.units;
}
const MASS_OF = { mm: "kg", in: "lb" };

// What was typed with its unit says the same whatever the page's unit is.
function bringsUnit(kind, { text }) {
  const read = { length: readLength, mass: readMass }[kind];
  return Boolean(read) && read(text, "mm") === read(text, "in");
}

/** Write down what was typed, with its unit, before its value is put into the job; a field that was emptied leaves none. */
export function noteTyped(all, key, kind, text) {
  if (text.trim() === "") delete all[key];
  else all[key] = { text, units: kind === "mass" ? massUnits(job) : job.units, value: KINDS[kind].read(text) ?? text };
}

/**
 * A field with its label. `put` takes the value in mm or kg, the text where it is none, or undefined where it is empty.
 * `typed` gives the table of what was typed, `as` is the field's key in it.
 */
export function quantity({
  key,
  as = key,
  label,
  kind = "length",
  value,
  put,
  hint = null,
  range = null,
  placeholder = "",
  sign = null,
  after = null,
  typed = () => job.typed,
}) {
  const id = newId("field");
  const refusal = h("div", { class: "refusal", id: `${id}-refusal`, hidden: true });
  const { isLong } = KINDS[kind];
  const shown = shownIn(kind, value, typed()[as]);
  const input = h(isLong ? "textarea" : "input", {
    id,
    type: isLong ? null : "text",
    rows: isLong ? 4 : null,
    inputmode: KINDS[kind].keyboard(),
    autocomplete: "off",
    placeholder,
    value: isLong ? null : shown,
    "aria-describedby": `${id}-hint ${id}-refusal`,
  });
  if (isLong) input.value = shown;
  const check = () => {
    const told = faultOf(kind, input.value, range);
    whenStill(() => showRefusal(input, refusal, told, told && offered(kind, input.value, range), use));
    return told;
  };
  const use = (words) => {
    input.value = words;
    for (const name of ["input", "change"]) input.dispatchEvent(new Event(name, { bubbles: true }));
    input.focus();
  };
  input.addEventListener("input", () => {
    noteTyped(typed(), as, kind, input.value);
    const mm = KINDS[kind].read(input.value);
    put(input.value.trim() === "" ? undefined : (mm ?? input.value));
    if (!refusal.hidden) check();
  });
  input.addEventListener("change", () => {
    if (!check() && after) after();
  });
  if (typeof value === "string") showRefusal(input, refusal, faultOfKept(kind, value, typed()[as], range));
  const unit = sign ?? KINDS[kind].unit();
  return h(
    "div",
    { class: "field", "data-key": key },
    h("label", { for: id }, label),
    h("div", { class: "entry" }, input, typeof unit === "string" ? unit && h("span", { class: "unit" }, unit) : unit),
    h("p", { class: "hint", id: `${id}-hint` }, hint),
    refusal,
  );
}

/** The unit of masses, to be chosen where one is typed: not every maker who works in inches weighs in pounds. */
export function massChoice() {
  return h(
    "select",
    {
      class: "unit",
      "aria-label": "Body mass in",
      onchange: (event) => {
        change((one) => {
          one.mass_units = event.target.value;
        });
        redrawStep();
      },
    },
    ["kg", "lb"].map((one) => h("option", { value: one, selected: one === massUnits(job) }, one)),
  );
}

const UNIT_WORDS = { mm: "mm", in: "inches", kg: "kg", lb: "pounds" };

/** Say what is wrong with a text that was no quantity when it was typed; in another unit it is not read anew. */
export function faultOfKept(kind, text, typed, range) {
  const units = kind === "mass" ? MASS_OF[typed?.units] ?? typed?.units : typed?.units;
  if (typed && !isInUnits(kind, typed))
    return `“${text}” was typed in ${UNIT_WORDS[units]}, and could not be read: type it again.`;
  return faultOf(kind, text, range) ?? `“${text}” could not be read when it was typed: type it again.`;
}

/** Say what is wrong with what was typed, or null where nothing is. */
export function faultOf(kind, typed, range) {
  if (typed.trim() === "") return null;
  const value = KINDS[kind].read(typed);
  if (value === null) {
    const name = KINDS[kind].isList ? "list of numbers" : ["length", "mass"].includes(kind) ? kind : "number";
    return doubtful(typed) ?? `“${typed}” is not a ${name}: give ${KINDS[kind].allowed()}.`;
  }
  if (KINDS[kind].isList) return null;
  if (range && (value < range[0] || value > range[1])) {
    return `${KINDS[kind].say(value)} is outside ${KINDS[kind].say(range[0])} to ${KINDS[kind].say(range[1])}: check number and unit.`;
  }
  return null;
}

// What a quantity out of range may have been meant as, or the nearest that is allowed, in words; null where none is.
function offered(kind, typed, range) {
  const value = KINDS[kind].read(typed);
  if (kind !== "length" || typeof value !== "number" || !range) return null;
  // A bare number of mm may have been one of centimetres.
  const isBare = job.units === "mm" && /^[\d.,]+$/.test(typed.trim());
  const meant = isBare && value * 10 >= range[0] && value * 10 <= range[1] && value < 0.5 * range[0] ? value * 10 : null;
  const near = Math.min(Math.max(value, range[0]), range[1]);
  return KINDS[kind].say(withinRange(meant ?? near, range));
}

// In inches the nearest 1/32 may lie beyond the end of the range: the one inside is taken.
function withinRange(value, range) {
  const read = readLength(writeLength(value, job.units), job.units);
  if (job.units !== "in" || (read >= range[0] && read <= range[1])) return value;
  return value + (read < range[0] ? 1 : -1) * (25.4 / 32);
}

/** Show a refusal beside its field, or take it away; `offer` is what a button puts into the field by `use`. */
export function showRefusal(input, place, words, offer = null, use = null) {
  fill(
    place,
    words ?? "",
    words && offer && use
      ? h("button", { type: "button", class: "offer", onclick: () => use(offer) }, `Use ${offer}`)
      : null,
  );
  place.hidden = !words;
  if (words) input.setAttribute("aria-invalid", "true");
  else input.removeAttribute("aria-invalid");
}
