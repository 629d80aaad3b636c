// What is usual where the maker says nothing, and what an order allows, as the service tells it.

import { askedFor, fieldsOf, vocabulary } from "./vocabulary.js";
import { roundInches } from "../parts/lengths.js";

const { blank, chair, wishes, joint, board, order } = vocabulary.tables;

export const BLANK = fieldsOf(blank);
export const CHAIR = askedFor(fieldsOf(chair), "first");
/** The wishes that are slid, in the order in which they are asked; `span` is what a slider covers, `range` what an order allows. */
export const WISHES = measured(askedFor(fieldsOf(wishes), "first"));
export const FURTHER_WISHES = measured(askedFor(fieldsOf(wishes), "further"));
/** The wishes that are one word of a few. */
export const WORD_WISHES = Object.fromEntries(
  Object.entries(fieldsOf(wishes)).filter(([key]) => wishes.keys[key].choices),
);
export const CHARACTERS = vocabulary.characters;
export const BOARD = fieldsOf(board);
export const JOINT = askedFor(fieldsOf(joint), "first");
/** What is folded away: keys that few ask for, and that no form of their own asks for. */
export const FURTHER_BLANK = without(askedFor(BLANK, ""), ["outline"]);
export const FURTHER_BOARD = without(askedFor(BOARD, ""), ["turned"]);
export const FURTHER_ORDER = without(fieldsOf(order), ["title", "units"]);
export const OUTLINES = blank.keys.outline.choices;
export const OUTLINE = blank.keys.outline.default;

function without(fields, keys) {
  return Object.fromEntries(Object.entries(fields).filter(([key]) => !keys.includes(key)));
}

function measured(fields) {
  return Object.fromEntries(Object.entries(fields).filter(([key]) => !wishes.keys[key].choices));
}

/** The wishes that a character starts from; none where it is the usual one. */
export function wishesOf(character) {
  return CHARACTERS.find((one) => one.name === character)?.wishes ?? {};
}

// What is offered in round inches, where a job begins in them.
const ROUND = {
  blank: ["width_mm", "depth_mm", "thickness_mm", "floor_mm", "deck_mm"],
  chair: ["shoe_mm"],
  wishes: ["depth_mm", "pommel_mm", "pommel_length_mm", "front_roll_mm", "tailbone_relief_mm"],
};

/** What a key of blank, chair or wishes is where a job says nothing of it: as a character has it, in round inches where it began in them. */
export function usualOf(one, table, key) {
  const told = { blank: BLANK, chair: CHAIR, wishes: { ...FURTHER_WISHES, ...WISHES } }[table][key].usual;
  const usual = (table === "wishes" ? wishesOf(one.wishes.character)[key] : undefined) ?? told;
  return one.round && typeof usual === "number" && ROUND[table].includes(key) ? roundInches(usual) : usual;
}

/** The usual values that an order has to say, as they are none of the service's own; none but of a job that began in inches. */
export function roundedUsual(one, table) {
  if (!one.round) return {};
  const isOwn = (key) => one[table][key] === undefined && !(isOutlined(one) && OF_OUTLINE.includes(key));
  return Object.fromEntries(ROUND[table].filter(isOwn).map((key) => [key, usualOf(one, table, key)]));
}

// An outline of one's own says how wide and deep the blank is.
const OF_OUTLINE = ["width_mm", "depth_mm"];
function isOutlined({ blank }) {
  return blank.outline_points_mm !== undefined || blank.outline_file !== undefined;
}

/** A length of a job in mm: as it was told, or the usual one where it was not, or is none. */
export function lengthOf(one, table, key) {
  return typeof one[table][key] === "number" ? one[table][key] : usualOf(one, table, key);
}

/** How deep a hollow the wood lets be: thickness less floor, in mm. */
export function roomForHollow(one) {
  return lengthOf(one, "blank", "thickness_mm") - lengthOf(one, "blank", "floor_mm");
}
