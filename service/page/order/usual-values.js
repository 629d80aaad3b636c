// What is usual where the maker says nothing, and what an order allows, as the service tells it.

import { askedFor, fieldsOf, vocabulary } from "./vocabulary.js";

const { blank, chair, wishes, joint, board } = vocabulary.tables;

export const BLANK = fieldsOf(blank);
export const CHAIR = askedFor(fieldsOf(chair), "first");
/** The wishes that are slid, in the order in which they are asked; `span` is what a slider covers, `range` what an order allows. */
export const WISHES = askedFor(fieldsOf(wishes), "first");
export const FURTHER_WISHES = askedFor(fieldsOf(wishes), "further");
export const BOARD = fieldsOf(board);
export const JOINT = askedFor(fieldsOf(joint), "first");
export const { choices: OUTLINES, default: OUTLINE } = blank.keys.outline;

/** How deep a hollow the wood lets be: thickness less floor, in mm. */
export function roomForHollow(blank) {
  const [thickness, floor] = ["thickness_mm", "floor_mm"].map((key) =>
    typeof blank[key] === "number" ? blank[key] : BLANK[key].usual,
  );
  return thickness - floor;
}
