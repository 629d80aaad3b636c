// Ways out of a refusal: what the service advises, put into the job by a press, and the seat shaped again.

import { h } from "../parts/element.js";
import { change, job } from "../job/job.js";
import { readLength, writeLength } from "../parts/lengths.js";
import { massUnits } from "../parts/masses.js";
import { redrawStep } from "../parts/redraw-in-place.js";
import { shape } from "../seat/shaped-seat.js";
import { MEASURES } from "../sitters/measures.js";
import { vocabulary } from "../order/vocabulary.js";
import { fieldAt, labelOf, valueAt } from "./page-words.js";

const IN_STEPS = 32 / 25.4;

/** A button for each way out of a refusal. */
export function waysOut({ place, ways }) {
  const open = ways
    .map((way) => way.map(rounded))
    .filter((way) => way.every((one) => !isGuessedFromMm(one, place) && tableAt(one) && fieldAt(one)));
  if (!open.length) return null;
  return h(
    "div",
    { class: "row ways" },
    open.map((way) => h("button", { type: "button", class: "offer", onclick: () => take(way) }, wayInWords(way, place))),
  );
}

// The service guesses a body measure's unit from mm; of what was typed as inches that guess would be another one. What
// is allowed at least or at most is no guess.
function isGuessedFromMm({ value, bound }, place) {
  const isTypedOtherwise = job.units === "in" || massUnits(job) === "lb";
  return isTypedOtherwise && value !== null && !bound && ["body", "sitter"].includes(place?.table);
}

function wayInWords(way, fault) {
  const isFault = (one) => one.key === fault.key && one.table === fault.table;
  if (way.every(({ value }) => value === null))
    return way.length === 1 && isFault(way[0])
      ? "Leave it out"
      : `Leave out ${way.map(labelOf).join(" and ")}`;
  const [first] = way;
  if (way.length === 1 && isFault(first)) return `Use ${valueAt(first, first.value)}`;
  return `Use ${way.map((one) => `${labelOf(one)} ${valueAt(one, one.value)}`).join(" and ")}`;
}

// A least or a greatest length is rounded to a step of the page's unit that will still do.
function rounded(one) {
  if (fieldAt(one)?.kind !== "length" || typeof one.value !== "number" || !one.bound || job.units !== "in") return one;
  const near = readLength(writeLength(one.value, "in"), "in");
  const isGood = one.bound === "most" ? near <= one.value : near >= one.value;
  return { ...one, value: isGood ? near : near + (one.bound === "most" ? -1 : 1) / IN_STEPS };
}

function take(way) {
  change(() => way.forEach(put));
  redrawStep();
  shape();
}

function put(setting) {
  const { key, value } = setting;
  const { table, as } = tableAt(setting);
  delete job.typed[`${as}.${key}`];
  if (key === "depth_mm" && setting.table === "joint") delete table.chosen;
  if (value === null) delete table[key];
  else table[key] = value;
}

/** The table of the job that holds a key, and what stands before the key where it says what was typed; null where there is none. */
export function tableAt({ table, number, key }) {
  if (table === "sitter") return sitterTable(job.sitters[(number ?? 1) - 1], key);
  const rows = { mark: job.marks, adjustment: job.adjustments }[table] ?? job.others[table];
  if (number) {
    const item = Array.isArray(rows) ? rows[number - 1] : null;
    return item ? { table: item, as: `${table}.${item.id}` } : null;
  }
  if (["blank", "chair", "wishes"].includes(table)) return { table: job[table], as: table };
  if (!table || table === "order") return { table: job.others, as: "order" };
  return { table: (job.others[table] ??= {}), as: table };
}

function sitterTable(sitter, key) {
  if (!sitter) return null;
  const as = `sitter.${sitter.id}`;
  if (key in MEASURES) return { table: sitter.measures, as };
  if (key in vocabulary.habit.keys) return { table: sitter.habit, as: `${as}.habit` };
  return { table: sitter, as };
}
