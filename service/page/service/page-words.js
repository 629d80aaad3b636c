// Words of the service as the page says them: keys by the labels of their fields, lengths in the maker's unit.

import { job } from "../job/job.js";
import { nameOf } from "../order/order-of-job.js";
import { fieldsOf, sentence, vocabulary } from "../order/vocabulary.js";
import { inUnits } from "../parts/lengths.js";
import { KINDS } from "../parts/quantity-field.js";
import { kindOf, MEASURES } from "../sitters/measures.js";

const TABLES = Object.fromEntries(Object.entries(vocabulary.tables).map(([name, table]) => [name, fieldsOf(table)]));
const HABIT = fieldsOf(vocabulary.habit);
const THINGS = { joint: "joint", sitter: "sitter", mark: "mark", adjustment: "remark", tool: "tool", board: "board" };
const ORDER = "order";

/** What the page knows of a key: its label and its kind; null where it has no field for it. */
export function fieldAt({ table, key }) {
  if (!key) return null;
  if (table === "sitter" || table === "body" || table === "habit") return measureField(key) ?? HABIT[key] ?? TABLES.sitter[key] ?? null;
  return TABLES[table || ORDER]?.[key] ?? null;
}

function measureField(key) {
  const measure = MEASURES[key];
  return measure ? { label: measure.title, kind: kindOf(measure) } : null;
}

/** What a place is called at the beginning of a sentence. */
export function subjectOf(place) {
  const label = fieldAt(place)?.label;
  const thing = thingAt(place);
  if (!thing) return label ?? "The order";
  return label ? `${thing}, ${low(label)}` : thing;
}

function thingAt({ table, number }) {
  if (!number) return null;
  if (table === "sitter" && job.sitters[number - 1]) return capital(nameOf(job.sitters[number - 1], number - 1));
  return THINGS[table] ? `${capital(THINGS[table])} ${number}` : null;
}

/** What a key is called within a sentence. */
export function labelOf(place) {
  return low(fieldAt(place)?.label ?? String(place.key ?? "").replaceAll("_", " "));
}

/** A value of a key, in the maker's unit. */
export function valueAt(place, value) {
  const field = fieldAt(place);
  if (typeof value === "number") {
    const kind = KINDS[field?.kind]?.isList ? "length" : (field?.kind ?? "share");
    const sign = field?.sign ? ` ${field.sign}` : "";
    return `${KINDS[kind].say(value)}${sign}`;
  }
  return typeof value === "boolean" ? (value ? "yes" : "no") : `“${value}”`;
}

const UNIT_KINDS = { mm: "length", kg: "mass", deg: "angle", years: "years", percent: "percent" };

/** Parts of a sentence, as the service gives them, in the page's words. */
export function partsInWords(parts) {
  const kinds = parts.map(({ unit }) => UNIT_KINDS[unit] ?? null);
  // Of numbers in a row the last one has the unit.
  for (let k = kinds.length - 2; k >= 0; k -= 1)
    if (!kinds[k] && !parts[k].place && typeof parts[k].value === "number") kinds[k] = nextKind(parts, kinds, k);
  return tidy(parts.map((part, number) => partInWords(part, kinds[number])).join(""));
}

function nextKind(parts, kinds, from) {
  const next = parts.findIndex((part, number) => number > from && typeof part.value === "number");
  return next < 0 || parts[next].place ? null : kinds[next];
}

function partInWords({ words, place, value, named }, kind) {
  if (words !== null) return inPageWords(words);
  if (place) {
    const said = value === null ? "" : valueAt(place, value);
    return named ? `${labelOf(place)} ${said}`.trim() : said;
  }
  return typeof value === "number" ? KINDS[kind ?? "share"].say(value) : String(value);
}

// Ends of a range: what stands behind a unit already is not said twice.
function tidy(words) {
  return words
    .replace(/(mm|kg|°|") (mm|kg|deg)\b/g, "$1")
    .replace(/(mm|")\) mm\b/g, "$1)")
    .replace(/(\S) mm to (\S+) mm/g, "$1 to $2 mm")
    .replace(/°( to -?\d+°)/g, "$1")
    .replace(/(?<!\w)'([^']+)'(?!\w)/g, "“$1”")
    .replaceAll("'", "’")
    .replace(/\bown own\b/g, "own")
    .replace(/\s+/g, " ")
    .trim();
}

const KEYS = keyLabels();
const KEY = new RegExp(`\\b(${Object.keys(KEYS).sort((a, b) => b.length - a.length).join("|")})\\b( = )?`, "g");

// Keys with an underscore are none of a sentence's own words.
function keyLabels() {
  const all = { ...Object.fromEntries(Object.keys(MEASURES).map((key) => [key, MEASURES[key].title])) };
  for (const table of [...Object.values(TABLES), HABIT])
    for (const [key, { label }] of Object.entries(table)) if (key.includes("_")) all[key] ??= label;
  return all;
}

/** A sentence of the service: keys as labels, tables as what they are of, lengths in the maker's unit. */
export function inPageWords(words) {
  const said = quotes(words)
    .replace(/(-?\d+(?:\.\d+)?) (mm|deg)\b/g, "$1 $2")
    .replace(/\b([a-z_]+_mm)( = | )(-?\d+(?:\.\d+)?)(?! mm)\b/g, "$1 $3 mm")
    .replace(/\b([a-z_]+_kg)(?: = | )(\d+(?:\.\d+)?)(?! kg)\b/g, (_, key, kg) => `${key} ${KINDS.mass.say(Number(kg))}`)
    .replace(/(\d)%/g, "$1 %")
    .replace(/\border (?=\[)/g, "")
    .replace(/\[\[(\w+)\]\] tables/g, (_, table) => `${THINGS[table] ?? table}s`)
    .replace(/\[\[(\w+)\]\] ?(\d+)?/g, (_, table, number) => `${THINGS[table] ?? table}${number ? ` ${number}` : ""}`)
    .replace(/\[\w+\] /g, "")
    .replace(KEY, (_, key) => `${low(KEYS[key])} `)
    .replace(/ ([,;:.)])/g, "$1")
    .replace(/(\d) deg\b/g, "$1°")
    .replace(/ {2,}/g, " ")
    .trimEnd();
  return keepEnds(words, inUnits(said, job.units));
}

/** A note of the service as a sentence; a sitter's name at its beginning stays as it was typed. */
export function noteInPageWords(words) {
  const said = inPageWords(words);
  const isNamed = job.sitters.some((one, number) => said.startsWith(`${nameOf(one, number)}:`));
  return isNamed ? `${said}${said.endsWith(".") ? "" : "."}` : sentence(said);
}

function quotes(words) {
  return words.replace(/(?<![\w’])'([^'\n]+)'(?!\w)/g, "“$1”").replace(/(\w)'(\w)/g, "$1’$2");
}

function keepEnds(words, said) {
  const end = /\s$/.test(words) ? " " : "";
  return `${said}${end}`;
}

function low(label) {
  return /^[A-Z][a-z]/.test(label) ? label[0].toLowerCase() + label.slice(1) : label;
}

export function capital(words) {
  return words ? words[0].toUpperCase() + words.slice(1) : words;
}
