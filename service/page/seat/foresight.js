// While a wish is slid the shape is drawn ahead of the service's answer: along the straight line through the two previews
// whose value of that wish lies nearest, everything else alike. The next preview takes its place.

const [MOST_SEEN, FARTHEST] = [8, 1.5];
const seen = [];
const listeners = new Set();

/** Be told grids of depths that are foreseen; returns what ends that. */
export function onForeseen(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/** Remember the grid of depths that the service gave for an order. */
export function remember(order, grid) {
  seen.unshift({ order, grid });
  seen.length = Math.min(seen.length, MOST_SEEN);
}

/** Tell the grid that an order will have, if two others say; returns it, or null. */
export function foresee(order) {
  const grid = foreseen(order, seen);
  if (grid) for (const listener of [...listeners]) listener(grid);
  return grid;
}

/** The grid of depths of an order by those of others, or null where they do not say. */
export function foreseen(order, others) {
  for (const [key, value] of Object.entries(order.wishes)) {
    if (typeof value !== "number") continue;
    const rest = withoutWish(order, key);
    const alike = others
      .filter((one) => typeof one.order.wishes[key] === "number" && withoutWish(one.order, key) === rest)
      .sort((one, other) => Math.abs(one.order.wishes[key] - value) - Math.abs(other.order.wishes[key] - value));
    const near = alike[0];
    const next = alike.find((one) => one.order.wishes[key] !== near.order.wishes[key]);
    if (!next || !isOnOneGrid(near.grid, next.grid)) continue;
    const [from, to] = [near, next].map((one) => one.order.wishes[key]);
    const share = (value - from) / (to - from);
    if (Math.abs(share) <= FARTHEST) return onTheLine(near.grid, next.grid, share);
  }
  return null;
}

function withoutWish(order, key) {
  return JSON.stringify({ ...order, wishes: { ...order.wishes, [key]: null } });
}

function isOnOneGrid(one, other) {
  return ["x_mm", "y_mm", "outline_mm"].every((part) => JSON.stringify(one[part]) === JSON.stringify(other[part]));
}

function onTheLine(one, other, share) {
  const at = (row, j) => row.map((mm, i) => Math.max(mm + share * (other.depth_mm[j][i] - mm), 0));
  return { ...one, depth_mm: one.depth_mm.map(at) };
}
