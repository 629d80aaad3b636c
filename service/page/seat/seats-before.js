// The seat before the last change: of the best shapes that this page saw, the one before that which stands now.

import { onSeat } from "./shaped-seat.js";

let before = null;
let last = null;

onSeat((seat) => {
  if (seat.state === "none") [before, last] = [null, null];
  if (seat.state !== "shaped" || seat.id === last?.id) return;
  before = last;
  last = { id: seat.id, grid: seat.grid, sittings: seat.sittings };
});

/** The best shape before the one that stands, or null: {id, grid, sittings}. */
export function seatBefore() {
  return before;
}
