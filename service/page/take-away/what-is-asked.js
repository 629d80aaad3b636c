// What is asked before a file is made: paper, wood, scale, the printer’s bed; kept as long as the page is open.

import { h, newId } from "../parts/element.js";
import { choice } from "../parts/choice-field.js";
import { draftOf, keepDrafts } from "../job/form-drafts.js";
import { job } from "../job/job.js";
import { nameOf } from "../order/order-of-job.js";
import { quantity } from "../parts/quantity-field.js";
import { vocabulary } from "../order/vocabulary.js";

const { papers: PAPERS, woods: WOODS } = vocabulary;
export const SCALES = ["1:1", "1:2", "1:3", "1:4", "1:5", "1:10"];
/** `paper` is null until it is chosen: paper goes by the unit till then. */
export const asked = { paper: null, wood: WOODS.usual, scale: "1:1", joints: false, sitter: 1 };
const PRINTER = { scale: "1:4", width_mm: 220, depth_mm: 220, height_mm: 220, wall_mm: 1.2, shell_mm: null, sitter: 0, typed: {} };

/** The printer as it was told for this job. */
export function printer() {
  return draftOf("printer", PRINTER);
}

/** The paper that is chosen, or the usual one where lengths are in this unit. */
export function paper() {
  const ofInches = PAPERS.names.includes("Letter") ? "Letter" : PAPERS.usual;
  return asked.paper ?? (job.units === "in" ? ofInches : PAPERS.usual);
}

export function paperChoice() {
  return choice("Paper", same(PAPERS.names), paper(), (value) => {
    asked.paper = value;
  });
}

export function scaleChoice() {
  return choice("Scale", same(SCALES), asked.scale, (value) => {
    asked.scale = value;
  });
}

function same(all) {
  return all.map((one) => [one, one]);
}

/** Which wood, where no boards say so. */
export function woodChoice() {
  const named = [...new Set((job.others.board ?? []).map((one) => one.species ?? WOODS.usual))];
  if (named.length) return h("p", { class: "small" }, `Wood: ${named.join(" and ")}, as your boards say.`);
  return oneOf("Wood", same(WOODS.names), asked.wood, (value) => (asked.wood = value), "For how much each stage takes off, by weight.");
}

/** One of a list, of pairs of value and words. */
export function oneOf(label, all, chosen, put, hint = null) {
  const id = newId("one-of");
  return h(
    "div",
    { class: "field" },
    h("label", { for: id }, label),
    h(
      "div",
      { class: "entry" },
      h(
        "select",
        { id, onchange: (event) => put(event.target.value) },
        all.map(([value, words]) => h("option", { value, selected: String(value) === String(chosen) }, words)),
      ),
    ),
    hint && h("p", { class: "hint" }, hint),
  );
}

/** The sitters of the job, numbered as in its order. */
export function sitterChoices() {
  return job.sitters.map((one, number) => [number + 1, nameOf(one) || `Sitter ${number + 1}`]);
}

export function tick(words, isOn, put) {
  const box = h("input", { type: "checkbox", checked: isOn, onchange: () => put(box.checked) });
  return h("label", { class: "tick" }, box, words);
}

/** A length of the printer. */
export function printerLength(key, label, range, hint = null, placeholder = "") {
  const now = printer();
  return quantity({
    key: `printer.${key}`,
    label,
    range,
    hint,
    placeholder,
    value: now[key] ?? undefined,
    typed: () => now.typed,
    put: (value) => {
      now[key] = value ?? PRINTER[key];
      keepDrafts();
    },
  });
}

export function sheetWishes() {
  return new URLSearchParams({ paper: paper(), wood: asked.wood, units: job.units });
}
