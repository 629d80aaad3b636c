// The layers of the view and what is compared: pressure, depth lines, the sitter, a cut along a section, before and after.

import { isAlike, heightsOf, levelLike, between } from "./heights.js";
import { boxOf } from "../drawings/read-grids.js";
import { sectionAt, spanAt } from "../seat/section-places.js";
import { move, stop } from "./motion.js";
import { show, shown } from "./scene.js";

const [SETTLE_FROM_MM, SETTLE_MS, FOLLOW_MS] = [45, 1100, 90];

/** What the maker chose to see. `share` is 1 for this seat, 0 for the one that it is compared with. */
export const chosen = { pressure: true, lines: false, sitter: false, cut: "whole", against: "before", share: 1 };

const made = new WeakMap();
const level = new WeakMap();

function heightsFor(grid) {
  if (!made.has(grid)) made.set(grid, heightsOf(grid));
  return made.get(grid);
}

/** Show a grid of depths at once, or a moment later where the one before flows into it. */
export function showGrid(grid, { flowing = false } = {}) {
  const is = heightsFor(grid);
  if (shown.is === is && shown.was === is) return;
  const before = shown.is;
  stop("flow");
  show({ outline: sameOutline(grid.outline_mm) });
  if (!flowing || !before || !isAlike(before, is)) return show({ was: is, is, now: 1 });
  const from = shown.now < 1 ? between(shown.was, shown.is, shown.now) : before;
  show({ was: from, is, now: 0 });
  return move("flow", FOLLOW_MS, (now) => show(now < 1 ? { now } : { was: is, now: 1 }));
}

/** Show a share of the way from another seat, or from the bare blank where `other` is null, to a grid of depths. */
export function showBetween(grid, other, share) {
  const is = heightsFor(grid);
  if (share >= 1) return showGrid(grid);
  stop("flow");
  if (!level.has(is)) level.set(is, levelLike(is));
  const was = other ? heightsFor(other) : level.get(is);
  return show({ outline: sameOutline(grid.outline_mm), was, is, now: share });
}

/** Whether two seats lie in the same blank, so that one can be drawn turning into the other. */
export function isComparable(grid, other) {
  return isAlike(heightsFor(grid), heightsFor(other)) && isSame(grid.outline_mm, other.outline_mm);
}

/** How much deeper and how much less deep a seat is than another, at most, in mm. */
export function differences(grid, other) {
  const [is, was] = [heightsFor(grid).values, heightsFor(other).values];
  let [deeper, higher] = [0, 0];
  for (let at = 0; at < is.length; at += 4) {
    deeper = Math.max(deeper, was[at] - is[at]);
    higher = Math.max(higher, is[at] - was[at]);
  }
  return { deeper, higher };
}

/** Let the sitter down onto the seat, or take it away. */
export function settle(sits) {
  stop("settle");
  if (!sits) return show({ sitter: false });
  show({ sitter: true, lift: SETTLE_FROM_MM });
  return move("settle", SETTLE_MS, (share) => show({ lift: SETTLE_FROM_MM * (1 - share) }));
}

/** Cut the seat where a section runs: "across", "along", or "whole". */
export function cutAt(name, outline) {
  const place = name === "whole" ? null : sectionAt(name);
  if (place === null) return show({ cut: null });
  const [from, to] = spanAt(name, place, outline);
  const across = name === "across";
  const [left, right, rear, front] = boxOf(outline);
  // Nothing of the outline, or all of it, lies beyond an edge.
  if (across ? place <= rear || place >= front : place <= left || place >= right) return show({ cut: null });
  const ends = across ? { from: [from, place], to: [to, place] } : { from: [place, from], to: [place, to] };
  return show({ cut: { name, way: across ? [0, 1] : [1, 0], at: place, ...ends } });
}

function isSame(one, other) {
  return one.length === other.length && one.every(([x, y], at) => x === other[at][0] && y === other[at][1]);
}

// The outline that is on the card already, where it is the same.
function sameOutline(outline) {
  return shown.outline && isSame(shown.outline, outline) ? shown.outline : outline;
}
