// The words that orders, sheets and pictures are spoken in, as the service tells them: keys with their labels, ranges and
// defaults, papers, woods, formats, cautions, the pressure scale. Asked for once, before the first step is shown.

import { h, fill } from "../parts/element.js";
import { askJson } from "../service/requests.js";
import "../service/token-dialog.js";

export const vocabulary = await told();

async function told() {
  for (;;) {
    try {
      return await askJson("/vocabulary");
    } catch (error) {
      await again(error.message);
    }
  }
}

/** Say why there is nothing to show yet, until the maker asks for it again. */
function again(words) {
  return new Promise((done) => {
    const button = h("button", { type: "button", onclick: done }, "Try again");
    fill(document.getElementById("step"), h("div", { class: "refusal", role: "alert" }, h("p", {}, words), button));
  });
}

const KINDS = { length: "length", angle: "angle", number: "share" };
// Keys have their unit at their end; one that is counted in percent of something has none of its own.
const SIGNS = {
  _per_percent: "",
  _percent: "%",
  _mm_per_m: "mm per m",
  _kg_m3: "kg/m³",
  _mpa: "MPa",
  _gpa: "GPa",
  _c: "°C",
  _n: "N",
};

/** The keys of a table as the page's fields: what is usual, what is allowed, and what each is called. */
export function fieldsOf(table) {
  const here = Object.entries(table.keys).filter(([, one]) => !one.names_file);
  return Object.fromEntries(here.map(([key, one]) => [key, fieldOf(key, one)]));
}

function fieldOf(key, one) {
  const { default: usual, kind, lowest, highest, above, slider, label, meaning, asked } = one;
  const [, sign = null] = Object.entries(SIGNS).find(([end]) => kind === "number" && key.endsWith(end)) ?? [];
  return {
    usual,
    kind: kind === "number" && key.endsWith("_kg") ? "mass" : (KINDS[kind] ?? kind),
    sign,
    choices: one.choices ?? null,
    longest: one.longest ?? null,
    needed: one.needed,
    neededFor: one.needed_for ?? null,
    range: lowest === undefined ? null : [above ? Number.MIN_VALUE : lowest, highest],
    span: slider && [slider.lowest, slider.highest],
    ends: slider?.ends,
    label,
    hint: sentence(meaning),
    asked,
  };
}

/** Fields whose side is chosen beside them: distances, which have no minus. */
export function fromZero(fields) {
  const cut = ([key, one]) => [key, one.range ? { ...one, range: [Math.max(0, one.range[0]), one.range[1]] } : one];
  return Object.fromEntries(Object.entries(fields).map(cut));
}

/** Some fields by where the page asks for them. */
export function askedFor(fields, asked) {
  return Object.fromEntries(Object.entries(fields).filter(([, one]) => one.asked === asked));
}

/** The words to choose from for a key of a table, each as the page says it where it says it otherwise. */
export function choicesOf(table, key, said) {
  return Object.fromEntries(vocabulary.tables[table].keys[key].choices.map((word) => [word, said[word] ?? word]));
}

/** Words of the library as a sentence of the page. */
export function sentence(words) {
  const text = words.replaceAll("'", "’");
  return `${text[0].toUpperCase()}${text.slice(1)}${text.endsWith(".") ? "" : "."}`;
}
