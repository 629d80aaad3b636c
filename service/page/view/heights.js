// Heights of a seat on the view's own grid: smoothly read out of the service's, with slopes and how much light each place has.

import { boxOf } from "../drawings/read-grids.js";

export const SPACING_MM = 4;
const DIRECTIONS = 12;
const STEPS_MM = [4, 9, 18, 34, 60];
// A window to the left and ahead lights more than the room does.
const WINDOW = Math.atan2(0.37, -0.74);

/** Heights of a service's grid of depths, as [height, slope to the right, slope forward, light] for each place. */
export function heightsOf(grid) {
  const [left, right, rear, front] = boxOf(grid.outline_mm);
  const columns = 1 + Math.ceil((right - left) / SPACING_MM);
  const rows = 1 + Math.ceil((front - rear) / SPACING_MM);
  const values = new Float32Array(4 * columns * rows);
  const heights = smoothed(grid, { left, right, rear, front, columns, rows });
  const [dx, dy] = [(right - left) / (columns - 1), (front - rear) / (rows - 1)];
  for (let at = 0; at < heights.length; at += 1) values[4 * at] = heights[at];
  slopes(values, heights, columns, rows, dx, dy);
  daylight(values, heights, columns, rows, dx, dy);
  return { box: [left, right, rear, front], columns, rows, values };
}

/** The heights of a bare blank on the grid of another seat. */
export function levelLike({ box, columns, rows }) {
  const values = new Float32Array(4 * columns * rows);
  for (let at = 3; at < values.length; at += 4) values[at] = 1;
  return { box, columns, rows, values };
}

/** Heights between those of two seats, or beyond: `share` 0 is the first, 1 the second. */
export function between(one, other, share) {
  const values = one.values.map((value, at) => value + share * (other.values[at] - value));
  for (let at = 0; at < values.length; at += 4) values[at] = Math.min(values[at], 0);
  return { ...one, values };
}

export function isAlike(one, other) {
  return one.columns === other.columns && one.rows === other.rows && one.box.every((mm, at) => mm === other.box[at]);
}

// A cubic through four neighbours (Catmull and Rom 1974), first along rows, then across them.
function smoothed({ x_mm: xs, y_mm: ys, depth_mm: depth }, { left, right, rear, front, columns, rows }) {
  const wide = weights(xs, left, right, columns);
  const long = weights(ys, rear, front, rows);
  const across = depth.map((row) => {
    const out = new Float32Array(columns);
    for (let column = 0; column < columns; column += 1) {
      const { at, w } = wide[column];
      out[column] = w[0] * row[at[0]] + w[1] * row[at[1]] + w[2] * row[at[2]] + w[3] * row[at[3]];
    }
    return out;
  });
  const heights = new Float32Array(columns * rows);
  for (let row = 0; row < rows; row += 1) {
    const { at, w } = long[row];
    const [a, b, c, d] = at.map((one) => across[one]);
    for (let column = 0; column < columns; column += 1) {
      const told = w[0] * a[column] + w[1] * b[column] + w[2] * c[column] + w[3] * d[column];
      heights[row * columns + column] = Math.min(-told, 0);
    }
  }
  return heights;
}

function weights(places, from, to, count) {
  const [first, step, last] = [places[0], (places.at(-1) - places[0]) / (places.length - 1), places.length - 1];
  return Array.from({ length: count }, (_, number) => {
    const u = Math.min(Math.max((from + ((to - from) * number) / (count - 1) - first) / step, 0), last);
    const cell = Math.min(Math.floor(u), last - 1);
    const t = u - cell;
    return {
      at: [-1, 0, 1, 2].map((aside) => Math.min(Math.max(cell + aside, 0), last)),
      w: [
        0.5 * t * (-1 + t * (2 - t)),
        1 + 0.5 * t * t * (3 * t - 5),
        0.5 * t * (1 + t * (4 - 3 * t)),
        0.5 * t * t * (t - 1),
      ],
    };
  });
}

function slopes(values, heights, columns, rows, dx, dy) {
  for (let row = 0; row < rows; row += 1)
    for (let column = 0; column < columns; column += 1) {
      const at = row * columns + column;
      const [west, east] = [Math.max(column - 1, 0), Math.min(column + 1, columns - 1)];
      const [south, north] = [Math.max(row - 1, 0), Math.min(row + 1, rows - 1)];
      values[4 * at + 1] = (heights[row * columns + east] - heights[row * columns + west]) / ((east - west) * dx);
      values[4 * at + 2] = (heights[north * columns + column] - heights[south * columns + column]) / ((north - south) * dy);
    }
}

// How much of the sky is open over each place: in each direction down to the highest wood there.
function daylight(values, heights, columns, rows, dx, dy) {
  const [steepest, open] = [new Float64Array(heights.length), new Float64Array(heights.length)];
  let total = 0;
  for (let number = 0; number < DIRECTIONS; number += 1) {
    const turn = (2 * Math.PI * number) / DIRECTIONS;
    const weight = 1 + 0.8 * Math.cos(turn - WINDOW);
    total += weight;
    steepest.fill(0);
    for (const mm of STEPS_MM) {
      const [i, j] = [Math.round((mm * Math.cos(turn)) / dx), Math.round((mm * Math.sin(turn)) / dy)];
      rise(steepest, heights, columns, rows, i, j, Math.hypot(i * dx, j * dy));
    }
    for (let at = 0; at < open.length; at += 1) {
      // Steeper than it is, as the relief is lit.
      const hidden = 1.6 * steepest[at];
      open[at] += hidden > 0 ? weight * (1 - hidden / Math.sqrt(1 + hidden * hidden)) : weight;
    }
  }
  for (let at = 0; at < open.length; at += 1) values[4 * at + 3] = open[at] / total;
}

// Raise what is steepest by the wood that lies `i` columns and `j` rows aside, as far as there is any.
function rise(steepest, heights, columns, rows, i, j, far) {
  const [first, last] = [Math.max(0, -i), Math.min(columns, columns - i)];
  const [begin, end] = [Math.max(0, -j), Math.min(rows, rows - j)];
  const aside = j * columns + i;
  for (let row = begin; row < end; row += 1)
    for (let at = row * columns + first; at < row * columns + last; at += 1) {
      const steep = (heights[at + aside] - heights[at]) / far;
      if (steep > steepest[at]) steepest[at] = steep;
    }
}
