// What is usual where the maker says nothing, and what an order allows, as the service tells it.

import { askedFor, fieldsOf, vocabulary } from "./vocabulary.js";

const { blank, chair, wishes, joint, board } = vocabulary.tables;

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
export const { choices: OUTLINES, default: OUTLINE } = blank.keys.outline;

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
