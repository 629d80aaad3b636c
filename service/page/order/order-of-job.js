// The order that a job makes, with the keys of an order file; and a job made of an order that was read from a file.

import { isRows, itemId, job, replaceJob } from "../job/job.js";
import { depthOf } from "../wood/mortise-depth.js";
import { readLength } from "../parts/lengths.js";
import { readMass } from "../parts/masses.js";
import { roomForHollow, roundedUsual, usualOf, WISHES } from "./usual-values.js";

/** The order that the job makes, with the keys of an order file. */
export function orderOf(one = job) {
  const { joint, ...others } = one.others;
  const order = {
    title: one.title.trim() || "seat",
    units: one.units,
    blank: { ...roundedUsual(one, "blank"), ...one.blank },
    chair: { ...roundedUsual(one, "chair"), ...one.chair },
    wishes: {
      ...roundedUsual(one, "wishes"),
      ...one.wishes,
      ...(one.wishes.depth_mm === undefined ? depthThatFits(one) : {}),
    },
    sitter: one.sitters.map((sitter, number) => sitterTable(sitter, number)),
    ...Object.fromEntries(Object.entries(others).filter(([, told]) => isTold(told)).map(plainOther)),
  };
  if (joint?.length) order.joint = joint.map((leg) => plain({ ...leg, depth_mm: depthOf(leg, one) }));
  if (one.marks.length) order.mark = one.marks.map(plain);
  if (one.adjustments.length) order.adjustment = one.adjustments.map(plain);
  return JSON.parse(JSON.stringify(order));
}

// Of thin wood the hollow that is usual would leave less than the floor: it is as deep as the wood allows instead.
function depthThatFits(one) {
  const room = roomForHollow(one);
  return room >= WISHES.depth_mm.span[0] && room < usualOf({ ...one, wishes: {} }, "wishes", "depth_mm") ? { depth_mm: room } : {};
}

function isTold(told) {
  return typeof told !== "object" || Object.keys(told).length > 0;
}

function plainOther([name, told]) {
  return [name, isRows(told) ? told.map(plain) : told];
}

/** An item of a list as it stands in an order: without what is for the page alone. */
function plain({ id, chosen, ...item }) {
  return item;
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
  const errors = Object.entries(sitter.standard_errors ?? {}).filter(([key]) => sitter.measures[key] !== undefined);
  if (errors.length) body.standard_errors = Object.fromEntries(errors);
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

/**
 * Take over an order that was read from a file; `bodies` are those that come with the tool, by name. The job at hand
 * goes among the earlier ones; returns why it cannot, or null.
 */
export function fromOrder(order, bodies, wishes) {
  const { title, units, blank, chair, wishes: wished, sitter, mark, adjustment, ...rest } = order;
  const typed = {};
  const table = (name, told) => noted(name, told ?? {}, typed);
  const rows = (name, all) => (all ?? []).map((one) => row(name, one, typed));
  const other = ([name, told]) => {
    if (isRows(told)) return [name, rows(name, told)];
    return [name, typeof told === "object" && !Array.isArray(told) ? table(name, told) : told];
  };
  return replaceJob(
    {
      title: title ?? "",
      units: units ?? "mm",
      blank: table("blank", blank),
      chair: table("chair", chair),
      wishes: table("wishes", wished),
      sitters: sitter.map((entry) => sitterFrom(entry, bodies, typed)),
      marks: rows("mark", mark),
      adjustments: rows("adjustment", adjustment),
      others: Object.fromEntries(Object.entries(rest).map(other)),
      typed,
    },
    wishes,
  );
}

function item(table) {
  return { ...table, id: itemId() };
}

function row(name, told, typed) {
  const made = item(told);
  return { ...noted(`${name}.${made.id}`, told, typed), id: made.id };
}

// Lengths as mm; what the file says in words stays as it was typed there, with its unit.
function noted(as, told, typed) {
  const read = inMm(told);
  for (const [key, value] of Object.entries(told))
    if (typeof value === "string" && typeof read[key] === "number")
      typed[`${as}.${key}`] = { text: value, units: "mm", value: read[key] };
  return read;
}

function sitterFrom(entry, bodies, typed) {
  const table = typeof entry.body === "string" ? tableOf(namedBody(entry.body, bodies), entry.body) : entry.body;
  const made = { ...sitterOf(table), name: entry.name ?? table.name ?? "", weight: entry.weight ?? 1 };
  const { name, sex, habit, standard_errors, ...measures } = table;
  noted(`sitter.${made.id}`, measures, typed);
  noted(`sitter.${made.id}.habit`, habit ?? {}, typed);
  return made;
}

function namedBody(name, bodies) {
  if (bodies[name]) return bodies[name];
  throw new Error(`it names the body “${name}”, which does not come with the tool: write its measures out.`);
}

/** A sitter of the job from a body's table. */
export function sitterOf({ name, sex, habit, standard_errors, ...measures }) {
  const told = { name: name ?? "", sex: sex ?? "", habit: inMm(habit ?? {}), measures: inMm(measures), weight: 1 };
  return item(standard_errors ? { ...told, standard_errors: inMm(standard_errors) } : told);
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
      if (key.endsWith("_mm")) return [key, lengthsIn(value)];
      return [key, (typeof value === "string" && key.endsWith("_kg") ? readMass(value, "mm") : null) ?? value];
    }),
  );
}

function lengthsIn(value) {
  if (Array.isArray(value)) return value.map(lengthsIn);
  return (typeof value === "string" ? readLength(value, "mm") : null) ?? value;
}

/** The title as the beginning of a file's name. */
export function nameOfFile(one = job) {
  return (one.title.normalize().toLowerCase().match(/[\p{L}\p{N}][\p{L}\p{M}\p{N}]*/gu) ?? ["seat"]).join("-");
}
