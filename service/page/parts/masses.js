// Masses as makers write them, in kilograms, pounds or stones: the same rules as seatmesh/units/. A number without a unit is
// in the unit that the maker chose for masses, or that goes with the unit of lengths.

import { DECIMAL, doubtful, fromDecimal, nearest } from "./lengths.js";

export const KG_PER_POUND = 0.45359237;
const POUND = [45359237n, 100000000n];
const IN_KG = { kg: [1n, 1n], g: [1n, 1000n] };
const PATTERN = new RegExp(
  `^(?:(${DECIMAL})\\s*(?:stones?|st)\\.?\\s*)?(?:(${DECIMAL})\\s*(kg|g|lbs?|pounds?|)\\.?)?$`,
  "i",
);

export const ALLOWED_MASSES = {
  mm: "a number of kg, such as 76, or 168 lb, 12 st 4 lb",
  in: "a number of pounds, such as 168, or 12 st 4 lb, 76 kg",
};

/** The unit of masses, "kg" or "lb": the chosen one of a job, else the one that goes with its lengths. */
export function massUnits({ mass_units: chosen, units }) {
  return chosen || (units === "in" ? "lb" : "kg");
}

/** Read a mass in kg from what was typed; `units` as for lengths, "in" for pounds. Returns null for what is none. */
export function readMass(typed, units) {
  const text = String(typed).trim();
  const match = PATTERN.exec(text);
  if (!match || !text || doubtful(text)) return null;
  const [, stones, amount, unit] = match;
  const pounds = /^[lp]/i.test(unit ?? "");
  if (stones !== undefined && amount !== undefined && !pounds) return null;
  const [top, bottom] = amount === undefined ? [0n, 1n] : fromDecimal(amount);
  if (stones === undefined) {
    const per = pounds || (!unit && units === "in") ? POUND : IN_KG[(unit || "kg").toLowerCase()];
    return nearest(top * per[0], bottom * per[1]);
  }
  if (top >= 14n * bottom) return null;
  const [whole, parts] = fromDecimal(stones);
  return nearest((14n * whole * bottom + top * parts) * POUND[0], parts * bottom * POUND[1]);
}
