// What is usual where the maker says nothing, and what an order allows, as the service tells it.

import { askedFor, fieldsOf, vocabulary } from "./vocabulary.js";

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
export const { choices: OUTLINES, default: OUTLINE } = blank.keys.outline;

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

/** How deep a hollow the wood lets be: thickness less floor, in mm. */
export function roomForHollow(blank) {
  const [thickness, floor] = ["thickness_mm", "floor_mm"].map((key) =>
    typeof blank[key] === "number" ? blank[key] : BLANK[key].usual,
  );
  return thickness - floor;
}
