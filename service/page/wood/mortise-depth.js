// How deep a leg's mortise is where the maker does not say: blind where the wood has room for it, else through and through.

import { lengthOf, roomForHollow, usualOf } from "../order/usual-values.js";

/** Wood that stays round a mortise, as in the library where an order does not say. */
export const AROUND_MM = 10;
/** A blind mortise is at least so deep, as a share of its diameter (common practice, from memory); a shorter tenon works loose. */
export const LEAST_SHARE = 0.75;
const STEP_MM = 0.5;

/**
 * The depth along the leg in mm, undefined for through and through. Over a blind mortise the floor stays, wherever the
 * hollow is as deep as it is wished: so it keeps the hollow from nothing.
 */
export function chosenDepth(leg, job) {
  const room = roomForHollow(job);
  const thickness = lengthOf(job, "blank", "thickness_mm");
  const floor = lengthOf(job, "blank", "floor_mm");
  const hollow = Math.min(number(job.wishes.depth_mm, usualOf({ ...job, wishes: {} }, "wishes", "depth_mm")), room);
  const lean = (number(leg.angle_deg, 0) * Math.PI) / 180;
  const diameter = number(leg.diameter_mm, 25);
  // The end of a leaning mortise is a disc on edge: its rim stands higher than its middle.
  const rim = (0.5 * diameter + AROUND_MM) * Math.sin(lean);
  const depth = Math.floor(((thickness - hollow - rim) / Math.cos(lean) - floor) / STEP_MM) * STEP_MM;
  return depth >= LEAST_SHARE * diameter ? depth : undefined;
}

/** The depth of a leg as it stands in the order. */
export function depthOf(leg, job) {
  return leg.chosen ? chosenDepth(leg, job) : leg.depth_mm;
}

function number(value, usual) {
  return typeof value === "number" ? value : usual;
}
