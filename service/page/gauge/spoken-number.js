// Numbers as they are spoken in English, in words or in digits, to the text of a reading; and the few commands.

const ONES = [
  "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen",
  "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
];
const TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];
const PARTS = { half: 2, halves: 2, quarter: 4, quarters: 4, fourth: 4, fourths: 4, eighth: 8, eighths: 8, "8th": 8,
  "8ths": 8, sixteenth: 16, sixteenths: 16, "16th": 16, "16ths": 16, "thirty-second": 32, "thirty-seconds": 32,
  "32nd": 32, "32nds": 32 };
const UNITS = new Set(["millimetre", "millimetres", "millimeter", "millimeters", "mm", "inch", "inches", "in"]);
const IN_INCHES = new Set(["inch", "inches", "in"]);
const COMMANDS = { next: "next", back: "back", again: "again", "read again": "again", delete: "delete", clear: "delete" };
const POINT = new Set(["point", "dot", "decimal"]);
const ZEROS = new Set(["oh", "o", "nought", "zero"]);

/**
 * What was said: `{text, units, command}`. `text` is the reading as it would be typed in `units`, which is the unit at
 * hand unless another was spoken; null where no number was said. `command` is "next", "back", "again", "delete" or null.
 * Returns null for what can be read in more than one way, or in none.
 */
export function spoken(words, units) {
  let rest = tokens(words);
  let command = null;
  for (const count of [2, 1]) {
    const last = rest.slice(-count).join(" ");
    if (!command && rest.length >= count && last in COMMANDS) {
      command = COMMANDS[last];
      rest = rest.slice(0, -count);
    }
  }
  if (!rest.length) return command ? { text: null, units, command } : null;
  const said = rest.at(-1);
  const own = !UNITS.has(said) ? units : IN_INCHES.has(said) ? "in" : "mm";
  if (UNITS.has(said)) rest = rest.slice(0, -1);
  const text = number(rest, own);
  return text === null ? null : { text, units: own, command };
}

function tokens(words) {
  return words
    .toLowerCase()
    .replace(/½/g, " 1/2 ").replace(/¼/g, " 1/4 ").replace(/¾/g, " 3/4 ").replace(/⅛/g, " 1/8 ")
    .replace(/⅜/g, " 3/8 ").replace(/⅝/g, " 5/8 ").replace(/⅞/g, " 7/8 ")
    .replace(/thirty[ -]second(s?)\b/g, "thirty_second$1")
    .replace(/(\d)\s*(mm|inch|inches|in)\b/g, "$1 $2")
    .replace(/["”″]/g, " inch ")
    .replace(/[-–]/g, " ")
    .replace(/[.!?]+(\s|$)/g, " ")
    .replaceAll("thirty_second", "thirty-second")
    .split(/\s+/)
    .filter(Boolean);
}

function number(words, units) {
  if (!words.length) return null;
  const [sign, rest] = ["minus", "negative"].includes(words[0]) ? ["-", words.slice(1)] : ["", words];
  const text = fractional(rest, units) ?? decimal(rest);
  return text === null ? null : sign + text;
}

/** A whole number and a fraction, "two and three eighths", or a fraction alone; in mm halves and quarters alone. */
function fractional(words, units) {
  const found = fractionAtEnd(words);
  if (!found) return null;
  let { top, bottom, before } = found;
  if (before.at(-1) === "and") before = before.slice(0, -1);
  else if (before.length && !/^\d+$/.test(before.join(""))) return null;
  const front = before.length ? whole(before) : 0;
  if (front === null || top < 1 || top >= bottom) return null;
  if (units === "mm") return bottom > 4 ? null : String(front + top / bottom);
  return `${front ? `${front} ` : ""}${top}/${bottom}`;
}

function fractionAtEnd(words) {
  const last = words.at(-1);
  const written = /^(\d{1,2})\/(\d{1,2})$/.exec(last ?? "");
  if (written) {
    const [top, bottom] = [Number(written[1]), Number(written[2])];
    return [2, 4, 8, 16, 32, 64].includes(bottom) ? { top, bottom, before: words.slice(0, -1) } : null;
  }
  if (!(last in PARTS)) return null;
  const bottom = PARTS[last];
  const and = words.lastIndexOf("and");
  const counted = words.slice(and + 1, -1);
  if (!counted.length) return { top: 1, bottom, before: words.slice(0, Math.max(0, and + 1)) };
  // "Two three eighths" without its "and": the first word is whole, the second counts the parts.
  if (and < 0 && counted.length === 2 && !TENS.includes(counted[0])) {
    const [front, parts] = counted.map((one) => whole([one]));
    return front === null || parts === null ? null : { top: parts, bottom, before: [String(front)] };
  }
  const top = counted.length === 1 && ["a", "an"].includes(counted[0]) ? 1 : whole(counted);
  return top === null ? null : { top, bottom, before: words.slice(0, Math.max(0, and + 1)) };
}

function decimal(words) {
  const at = words.findIndex((one) => POINT.has(one));
  if (at < 0) return plain(words);
  const front = at ? whole(words.slice(0, at)) : 0;
  const back = words.slice(at + 1).map(digit);
  if (front === null || !back.length) return null;
  // "Point twenty five" is said for 25 hundredths.
  if (back.includes(null)) {
    const one = whole(words.slice(at + 1));
    return one !== null && one >= 10 && one < 100 ? `${front}.${one}` : null;
  }
  return `${front}.${back.join("")}`;
}

function plain(words) {
  if (words.length === 1 && /^\d{1,6}([.,]\d{1,4})?$/.test(words[0])) return words[0].replace(",", ".");
  const found = whole(words);
  return found === null ? null : String(found);
}

function digit(word) {
  if (ZEROS.has(word)) return "0";
  if (/^\d+$/.test(word)) return word;
  const found = ONES.indexOf(word);
  return found >= 0 && found < 10 ? String(found) : null;
}

/** A whole number below ten thousand: in figures, in words, or figure by figure; null for anything else. */
function whole(words) {
  if (words.length === 1 && /^\d{1,5}$/.test(words[0])) return Number(words[0]);
  const figures = words.map(digit);
  if (words.length > 1 && figures.every((one) => one?.length === 1)) return Number(figures.join(""));
  let total = 0;
  let part = 0;
  // What may still be added: below a thousand, below a hundred, below ten.
  let room = 1000;
  let any = false;
  for (const [place, word] of words.entries()) {
    if (word === "and") {
      if (!any || place === words.length - 1 || room < 100) return null;
      continue;
    }
    if (word === "a" && ["hundred", "thousand"].includes(words[place + 1]) && !any) {
      part = 1;
      room = 1;
    } else if (ONES.indexOf(word) > 0) {
      const value = ONES.indexOf(word);
      if (value >= room) return null;
      part += value;
      room = 1;
    } else if (TENS.includes(word)) {
      if (room < 100) return null;
      part += 10 * (TENS.indexOf(word) + 2);
      room = 10;
    } else if (word === "hundred") {
      if (part > 9 || (!any && place > 0)) return null;
      part = 100 * (part || 1);
      room = 100;
    } else if (word === "thousand") {
      if (total || !any || part > 9) return null;
      total = 1000 * part;
      part = 0;
      room = 1000;
    } else if (words.length === 1 && ZEROS.has(word)) return 0;
    else return null;
    any = true;
  }
  return any ? total + part : null;
}
