// Lists that are typed: lengths, shares, places and readings. One is written below the other, or with a semicolon between.

import { job } from "../job/job.js";
import { bareLength, doubtful, readLength, writeLength } from "./lengths.js";

const BETWEEN = /[;\n]+|,\s+/;

/** Kinds of lists by name, as `KINDS` of single quantities. `most` is how many numbers a row has; 1 has no rows. */
export function listKinds(share) {
  return {
    lengths: list("lengths such as −80; 80", lengthHere, bareHere),
    shares: list("shares such as 0.5; 0.8", share.read, share.write),
    points: rows(2, "a place on each line, such as 0; 0"),
    depths: rows(3, "a reading on each line, such as −60; 160; 17.5"),
    pith: {
      ...list("a length, or two such as 20; 90", lengthHere, bareHere),
      read: (typed) => alone(readAll(typed, lengthHere)),
      write: (value) => (Array.isArray(value) ? value : [value]).map(bareHere).join("; "),
    },
  };
}

const lengthHere = (typed) => readLength(typed, job.units);
const bareHere = (value) => bareLength(value, job.units, 3);
const unit = () => job.units;

function alone(all) {
  return all?.length === 1 ? all[0] : all?.length === 2 ? all : null;
}

function readAll(typed, one) {
  if (doubtful(typed)) return null;
  const read = typed
    .split(BETWEEN)
    .map((part) => part.trim())
    .filter(Boolean)
    .map(one);
  return read.length && read.every((value) => value !== null) ? read : null;
}

function list(allowed, one, written) {
  return {
    unit: one === lengthHere ? unit : () => "",
    read: (typed) => readAll(typed, one),
    write: (all) => all.map(written).join("; "),
    say: (all) => all.map((value) => (one === lengthHere ? writeLength(value, job.units) : written(value))).join(", "),
    allowed: () => allowed,
    keyboard: () => "text",
    isList: true,
  };
}

function rows(count, allowed) {
  const read = (typed) => {
    const lines = typed
      .split("\n")
      .map((line) => line.trim())
      .filter(Boolean)
      .map((line) => readAll(line, lengthHere));
    return lines.length && lines.every((line) => line?.length === count) ? lines : null;
  };
  return {
    unit,
    read,
    write: (all) => all.map((row) => row.map(bareHere).join("; ")).join("\n"),
    say: (all) => `${all.length}`,
    allowed: () => allowed,
    keyboard: () => "text",
    isList: true,
    isLong: true,
  };
}
