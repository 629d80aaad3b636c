// The job: all that the maker has told us, kept in this browser for all its tabs, so that a reload loses nothing.

import { earlierJobs, dropEarlier, keepEarlier } from "./earlier-jobs.js";
import { same } from "./merge-tabs.js";
import { keep, keepTogether, keptText, setAside } from "./tabs.js";

const VERSION = 2;
const listeners = new Set();
const otherListeners = new Set();
const GAUGE = { spacing_mm: 40, bar_height_mm: 60, rod_offset_mm: 0, tolerance_mm: 0.5 };
const ROUND_GAUGE = { spacing_mm: 38.1, bar_height_mm: 63.5 };
let made = 0;

/** An id that no other item has; ids are in the order in which items were made. */
export function itemId() {
  made += 1;
  const time = Date.now().toString(36).padStart(9, "0");
  return `${time}-${String(made).padStart(5, "0")}-${Math.random().toString(36).slice(2, 6)}`;
}

/**
 * A job with nothing told yet. Tables have the keys of an order file; a length is mm, or what was typed where it is
 * none; `typed` holds what was typed with its unit. Lists are of items with an id. A job that nobody opened is one and
 * the same in every tab.
 */
function empty() {
  return {
    version: VERSION,
    id: "first",
    opened: 0,
    seen: {},
    by: "",
    at: 0,
    title: "",
    units: "mm",
    mass_units: "",
    round: false,
    sitters: [{ id: "0", name: "", sex: "", measures: {}, habit: {}, weight: 1 }],
    blank: {},
    chair: {},
    wishes: {},
    marks: [],
    adjustments: [],
    taken_back: [],
    others: {},
    typed: {},
    gauge: { ...GAUGE, readings: {} },
    seat: null,
  };
}

export const job = load();
keepTogether(job, keptText(), read, tellOther);

function load() {
  const text = keptText();
  try {
    if (text !== null) return read(text);
  } catch {
    setAside(text);
  }
  return empty();
}

/** Make a job of a kept text, also of one that an older page kept; raises where it is none. */
function read(text) {
  const kept = JSON.parse(text);
  if (!kept.sitters.every((one) => typeof one.measures === "object")) throw new Error("no job");
  const one = { ...empty(), ...kept, version: Math.max(VERSION, kept.version ?? 0) };
  const rows = Object.values(one.others).filter(isRows);
  for (const list of [one.sitters, one.marks, one.adjustments, one.taken_back, ...rows]) number(list);
  const { at, ...gauge } = { ...GAUGE, ...kept.gauge };
  one.gauge = { ...gauge, readings: withUnits(gauge.readings ?? {}, one.units) };
  return one;
}

/** Whether something kept is a list of tables, such as joints or tools. */
export function isRows(told) {
  return Array.isArray(told) && told.every((one) => typeof one === "object" && !Array.isArray(one));
}

// Items of an older page have no id: they get one that is the same in every tab.
function number(list) {
  list.forEach((item, place) => {
    item.id ??= `0-${String(place).padStart(5, "0")}`;
  });
}

// An older page kept the text of a reading alone, and read it in whatever unit was chosen.
function withUnits(readings, units) {
  return Object.fromEntries(
    Object.entries(readings).map(([place, one]) => [
      place,
      typeof one === "string" ? { text: one, units, unsure: true } : one,
    ]),
  );
}

/** Change the job, keep it, and tell those who listen. */
export function change(how) {
  how(job);
  const taken = keep(job, read);
  for (const listener of listeners) listener();
  if (taken) tellOther();
}

/** Be told of every change; returns a function that ends it. */
export function onChange(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/** Be told when what another tab changed was taken over. */
export function onOtherTab(listener) {
  otherListeners.add(listener);
}

function tellOther() {
  for (const listener of otherListeners) listener();
}

/** Whether anything was told that is worth keeping. */
export function isTold(one = job) {
  const { title, sitters, blank, chair, wishes, marks, adjustments, others, gauge } = empty();
  const bare = { title, sitters: sitters.map(bareSitter), blank, chair, wishes, marks, adjustments, others };
  const now = Object.fromEntries(Object.keys(bare).map((key) => [key, one[key]]));
  now.sitters = one.sitters.map(bareSitter);
  return !same(now, bare) || ![gauge, { ...gauge, ...ROUND_GAUGE }].some((fresh) => same(one.gauge, fresh));
}

function bareSitter({ id, ...told }) {
  return told;
}

/** Put another job in place of the one at hand, which goes among the earlier ones; returns why it cannot, or null. */
export function replaceJob(told, { evenIfLost = false } = {}) {
  const fault = isTold() ? keepEarlier({ job: structuredClone(job) }) : null;
  if (fault && !evenIfLost) return fault;
  change((one) => {
    const { seen } = one;
    for (const key of Object.keys(one)) delete one[key];
    Object.assign(one, empty(), { id: itemId() }, told, { opened: Date.now(), seen });
  });
  return null;
}

/** Begin another job; returns why the one at hand cannot be kept, or null. */
export function clear(wishes) {
  const { units, mass_units } = job;
  return replaceJob({ mass_units, ...inUnitsOf(empty(), units) }, wishes);
}

/**
 * What of a job changes with its unit. One of whose wood nothing is told yet, and which has no seat, begins with what is
 * usual in round figures of that unit, which `round` says from then on; a seat that is there stays as it is.
 */
export function inUnitsOf(one, units) {
  const { blank, chair, wishes, others } = one;
  const isBegun = one.seat || [blank, chair, wishes, others].some((table) => Object.keys(table).length);
  if (isBegun) return { units };
  const round = units === "in";
  const { gauge } = one;
  const [plain, rounded] = [{ ...gauge, ...GAUGE }, { ...gauge, ...GAUGE, ...ROUND_GAUGE }];
  const isFresh = !Object.keys(gauge.readings).length && (same(gauge, plain) || same(gauge, rounded));
  return { units, round, gauge: isFresh ? (round ? rounded : plain) : gauge };
}

/** Bring an earlier job back. */
export function bringBack(key) {
  const found = earlierJobs().find((one) => one.key === key);
  if (!found?.job) return "gone";
  const { seen, opened, ...told } = read(JSON.stringify(found.job));
  const fault = replaceJob(told);
  if (!fault) dropEarlier(key);
  return fault;
}
