// The job: all that the maker has told us, kept in this browser so that a reload at the bench loses nothing.

import { readLength } from "./lengths.js";

const PLACE = "seatmesh job";
const listeners = new Set();

/** A job with nothing told yet. Tables have the keys of an order file; a length is mm, or what was typed where it is none. */
function empty() {
  return {
    title: "",
    units: "mm",
    sitters: [{ name: "", sex: "", measures: {}, habit: {}, weight: 1 }],
    blank: {},
    chair: {},
    wishes: {},
    marks: [],
    adjustments: [],
    taken_back: [],
    others: {},
    gauge: { spacing_mm: 40, bar_height_mm: 60, rod_offset_mm: 0, tolerance_mm: 0.5, readings: {}, at: null },
    seat: null,
  };
}

export const job = load();

function load() {
  try {
    const kept = JSON.parse(localStorage.getItem(PLACE));
    if (kept && Array.isArray(kept.sitters)) return { ...empty(), ...kept };
  } catch {
    /* nothing kept, or nothing that can be read: begin anew */
  }
  return empty();
}

/** Change the job, keep it, and tell those who listen. */
export function change(how) {
  how(job);
  try {
    localStorage.setItem(PLACE, JSON.stringify(job));
  } catch {
    /* a browser without a store still works until it is closed */
  }
  for (const listener of listeners) listener();
}

/** Be told of every change; returns a function that ends it. */
export function onChange(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/** Begin another job. */
export function clear() {
  change((one) => Object.assign(one, empty(), { units: one.units }));
}

/** The order that the job makes, with the keys of an order file. */
export function orderOf(one = job) {
  const order = {
    title: one.title.trim() || "seat",
    units: one.units,
    blank: one.blank,
    chair: one.chair,
    wishes: one.wishes,
    sitter: one.sitters.map((sitter, number) => sitterTable(sitter, number)),
    ...one.others,
  };
  if (one.marks.length) order.mark = one.marks;
  if (one.adjustments.length) order.adjustment = one.adjustments;
  return JSON.parse(JSON.stringify(order));
}

/** What a sitter is called, where nothing was written a number. */
export function nameOf(sitter, number) {
  return sitter.name.trim() || `sitter ${number + 1}`;
}

function sitterTable(sitter, number) {
  return { name: nameOf(sitter, number), body: bodyOf(sitter, nameOf(sitter, number)), weight: sitter.weight };
}

/** The body of a sitter as a table with the keys of a body file. */
export function bodyOf(sitter, name) {
  const body = { name, ...sitter.measures };
  if (sitter.sex) body.sex = sitter.sex;
  if (sitter.standard_errors) body.standard_errors = sitter.standard_errors;
  if (Object.keys(sitter.habit).length) body.habit = sitter.habit;
  return body;
}

/** Whether every sitter has what an estimate needs. */
export function isReady(one = job) {
  return (
    one.sitters.length > 0 &&
    one.sitters.every(({ measures }) => measures.stature_mm !== undefined && measures.mass_kg !== undefined)
  );
}

/** Take over an order that was read from a file; `bodies` are those that come with the tool, by name. */
export function fromOrder(order, bodies) {
  const { title, units, blank, chair, wishes, sitter, mark, adjustment, ...others } = order;
  change((one) =>
    Object.assign(one, empty(), {
      title: title ?? "",
      units: units ?? "mm",
      blank: inMm(blank ?? {}),
      chair: inMm(chair ?? {}),
      wishes: inMm(wishes ?? {}),
      sitters: sitter.map((entry) => sitterFrom(entry, bodies)),
      marks: (mark ?? []).map(inMm),
      adjustments: (adjustment ?? []).map(inMm),
      others,
    }),
  );
}

function sitterFrom(entry, bodies) {
  const table = typeof entry.body === "string" ? tableOf(bodies[entry.body], entry.body) : entry.body;
  const { name, sex, habit, standard_errors, ...measures } = table;
  return {
    name: entry.name ?? name ?? "",
    sex: sex ?? "",
    habit: habit ?? {},
    standard_errors,
    measures: inMm(measures),
    weight: entry.weight ?? 1,
  };
}

/** A body of the service's list, as a table with what was measured of it. */
export function tableOf(body, name) {
  const measured = Object.entries(body.measures).filter(([, one]) => one.origin !== "estimated");
  const table = { name: body.name ?? name, ...Object.fromEntries(measured.map(([key, one]) => [key, one.value])) };
  if (body.sex) table.sex = body.sex;
  if (body.habit) table.habit = body.habit;
  return table;
}

// Lengths of an order file may be text with their unit; what cannot be read stays as it was typed.
function inMm(table) {
  return Object.fromEntries(
    Object.entries(table).map(([key, value]) => {
      const mm = key.endsWith("_mm") && typeof value === "string" ? readLength(value, "mm") : null;
      return [key, mm ?? value];
    }),
  );
}
