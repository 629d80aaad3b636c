// Lengths as makers write them, in millimetres or in inches with fractions: the same rules and the same rounding as
// seatmesh/units/, so that page, sheets and reports agree to the last 1/32". Tests read and write tables of them by both.

const MM_PER_INCH = 25.4;
const STEP = 32;
export const DECIMAL = "\\d{1,9}(?:\\.\\d{0,18}|,\\d{1,18})?|[.,]\\d{1,18}";
const PATTERN = new RegExp(
  "^([+\\-−]?)\\s*(?:(\\d{1,9})\\s*(?:'|′|’|ft\\.?|feet|foot)(?:\\s*-\\s*|\\s*)(?=[0-9.,]|$))?" +
    `(?:(?:(\\d{1,9})(?:\\s+|\\s*-\\s*))?(\\d{1,9})\\s*/\\s*(\\d{1,9})|(${DECIMAL}))?` +
    '\\s*(mm|cm|m|inches|inch|in|"|″|”|)\\.?$',
  "i",
);
// What one reader takes for a decimal and another for thousands.
const THOUSANDS = /(?<![0-9.,])[1-9][0-9]{0,2},[0-9]{3}(?![0-9])/;
// Tenths of a millimetre in each unit, exact.
const TENTHS = { mm: 10n, cm: 100n, m: 10000n };
const DIGITS = 40n;

export const ALLOWED = {
  mm: "a number of mm, such as 412.5",
  in: 'inches such as 16 3/16" or 16.19, or mm with their unit',
};

/** Read a length in mm from what was typed; a number without a unit is in `units`. Returns null for what is none. */
export function readLength(typed, units) {
  const match = PATTERN.exec(String(typed).trim());
  if (!match || doubtful(typed)) return null;
  const [, sign, feet, whole, top, bottom, decimal, written] = match;
  if (feet === undefined && top === undefined && decimal === undefined) return null;
  const unit = feet === undefined ? written.toLowerCase() || units : "in";
  const inches = !(unit in TENTHS);
  if (feet !== undefined && written.toLowerCase() in TENTHS) return null;
  if (top !== undefined && !inches) return null;
  if (top !== undefined && (BigInt(bottom) === 0n || (whole !== undefined && BigInt(top) >= BigInt(bottom))))
    return null;
  const per = inches ? 254n : TENTHS[unit];
  let size = [0n, 1n];
  if (decimal !== undefined) size = fromDecimal(decimal);
  else if (top !== undefined) size = fraction(whole, top, bottom);
  if (feet !== undefined) {
    if (size[0] >= 12n * size[1]) return null;
    size = [size[0] + BigInt(feet) * 12n * size[1], size[1]];
  }
  const mm = nearest(size[0] * per, size[1] * 10n);
  return sign === "-" || sign === "−" ? -mm : mm;
}

/** Say that a comma may stand for decimals or for thousands, and what to write; null where nothing is in doubt. */
export function doubtful(typed) {
  const [found] = THOUSANDS.exec(String(typed)) ?? [];
  if (found === undefined) return null;
  const [whole, decimal] = [found.replace(",", ""), found.replace(",", ".")];
  return `“${typed}”: a comma before three digits may stand for decimals or for thousands; write ${whole}, or ${decimal}.`;
}

function fraction(whole, top, bottom) {
  return [BigInt(whole ?? 0) * BigInt(bottom) + BigInt(top), BigInt(bottom)];
}

/** The number that a decimal stands for, as numerator and denominator. */
export function fromDecimal(text) {
  const [front, back = ""] = text.replace(",", ".").split(".");
  return [BigInt(`${front}${back}` || "0"), 10n ** BigInt(back.length)];
}

/** The number nearest to a fraction. */
export function nearest(top, bottom) {
  const scaled = String((top * 10n ** DIGITS) / bottom).padStart(Number(DIGITS) + 1, "0");
  return Number(`${scaled.slice(0, -Number(DIGITS))}.${scaled.slice(-Number(DIGITS))}`);
}

/** Write a length: `412.5 mm`, or `16 7/32"` to the nearest 1/`step` inch in lowest terms. */
export function writeLength(mm, units, decimals = 1, step = STEP) {
  return units === "in" ? inches(mm, step) : `${trimmed(mm, decimals)} mm`;
}

/** Write a length without its unit, as it stands in a field that has its unit beside it. */
export function bareLength(mm, units, decimals = 1) {
  return units === "in" ? inches(mm, STEP).slice(0, -1) : trimmed(mm, decimals);
}

function inches(mm, step) {
  const parts = roundEven((Math.abs(mm) / MM_PER_INCH) * step);
  const whole = Math.floor(parts / step);
  const rest = parts - whole * step;
  const sign = mm < 0 && parts ? "-" : "";
  if (!rest) return `${sign}${whole}"`;
  const shared = divisor(rest, step);
  return `${sign}${whole ? `${whole} ` : ""}${rest / shared}/${step / shared}"`;
}

function divisor(a, b) {
  return b ? divisor(b, a % b) : a;
}

function roundEven(value) {
  const below = Math.floor(value);
  const over = value - below;
  if (over !== 0.5) return over < 0.5 ? below : below + 1;
  return below % 2 ? below + 1 : below;
}

function trimmed(value, decimals) {
  const text = fixed(value, decimals);
  const short = text.includes(".") ? text.replace(/0+$/, "").replace(/\.$/, "") : text;
  return short === "-0" ? "0" : short;
}

// A binary number lies exactly between two decimals only if it is an odd multiple of 1/2^(decimals + 1): then the even one.
function fixed(value, decimals) {
  const halves = value * 2 ** (decimals + 1);
  if (!Number.isInteger(halves) || halves % 2 === 0) return value.toFixed(decimals);
  const scaled = Math.abs(value) * 10 ** decimals;
  if (scaled - Math.floor(scaled) !== 0.5) return value.toFixed(decimals);
  const text = (roundEven(scaled) / 10 ** decimals).toFixed(decimals);
  return value < 0 ? `-${text}` : text;
}

/** Write an area: `645 cm²`, or `100 sq in`, and less than ten of those as `1.4 sq in`. */
export function writeArea(cm2, units) {
  if (units !== "in") return `${fixed(cm2, 0)} cm²`;
  const square = (cm2 * 100) / MM_PER_INCH ** 2;
  return `${fixed(square, square < 9.95 ? 1 : 0)} sq in`;
}

/** What a peak is the mean over: a square of 10 mm. */
export function peakSquare(units) {
  return units === "in" ? '3/8" square' : "1 cm²";
}

/** Write a plain figure to a number of decimals. */
export function figure(value, decimals = 0) {
  return value.toFixed(decimals).replace("-", "−");
}

const NUMBER = "-?[0-9]+(?:\\.[0-9]+)?";
const QUOTED = `(?<![\\w"'])(?:'(?:\\\\.|[^'\\\\\\n]|'(?=\\w))*'(?!\\w)|"(?=\\S)(?:\\\\.|[^"\\\\\\n])*")`;
const IN_WORDS = new RegExp(
  `(${QUOTED})|(?<![\\w.,/-])(${NUMBER}(?:(?: to | x | and | or |, at most )${NUMBER})*|\\(${NUMBER}, ${NUMBER}\\)) mm\\b`,
  "g",
);
// What a length may be written like, as the service says it.
const WAYS_TO_WRITE = /allowed are a plain number of mm, or text like .*?, 5' 6 1\/2"/g;
// Parts of a step by which a length may miss a whole one and still be that one.
const SAME_PARTS = 1e-4;

/**
 * Words of the service in the maker's unit: a range keeps within its ends, what is quoted and the list of ways to write a
 * length stay as they are.
 */
export function inUnits(words, units) {
  if (units !== "in") return words;
  const kept = words.match(WAYS_TO_WRITE) ?? [];
  return words
    .split(WAYS_TO_WRITE)
    .map((part) => part.replace(IN_WORDS, (_, quoted, run) => quoted ?? runInInches(run)))
    .map((part, number) => part + (kept[number] ?? ""))
    .join("");
}

// A fraction of an inch, or a decimal where the nearest 1/32 would be none.
function finely(mm) {
  const none = mm !== 0 && Math.abs(mm) < (0.5 * MM_PER_INCH) / STEP;
  return none ? `${fixed(mm / MM_PER_INCH, 3)} in` : inches(mm, STEP);
}

function runInInches(run) {
  const range = / to |, at most /.test(run);
  const last = run.match(new RegExp(NUMBER, "g")).length - 1;
  let count = 0;
  return run.replace(new RegExp(NUMBER, "g"), (one) => {
    const parts = (Number(one) / MM_PER_INCH) * STEP;
    const number = count++;
    if (!range) return finely(Number(one));
    if (number === last) return inches((Math.floor(parts + SAME_PARTS) * MM_PER_INCH) / STEP, STEP);
    return number ? finely(Number(one)) : inches((Math.ceil(parts - SAME_PARTS) * MM_PER_INCH) / STEP, STEP);
  });
}

// So long lengths are offered in quarters of an inch, in eighths, in sixteenths; shorter ones in 1/32.
const ROUND_TO = [
  [100, 4],
  [20, 8],
  [5, 16],
];

/** A length near another, in mm, that a maker who works in inches would choose. */
export function roundInches(mm) {
  const [, step] = ROUND_TO.find(([least]) => mm >= least) ?? [0, STEP];
  return Number(((Math.round((mm / MM_PER_INCH) * step) / step) * MM_PER_INCH).toFixed(6));
}

/** How far one step of a slider or of a key goes: half a millimetre, or 1/32 inch. */
export function stepMm(units) {
  return units === "in" ? MM_PER_INCH / STEP : 0.5;
}
