// Painting the top of a seat as pixels: bare wood, pressure in bands, lines of equal depth; the front is at the top. Knows
// arrays only, so that a worker paints it.

import { BESIDE_MM, boxOf, contactOf, flat, root } from "./read-grids.js";

const INK = [74, 59, 44];

/**
 * Paint at a number of pixels to the mm; outside the outline it stays clear. `sitting` may be undefined (bare wood),
 * `everyMm` the spacing of the depth lines, 0 for none; `scale` has the steps in kPa and their colours.
 */
export function paintPixels({ grid, sitting, everyMm, perMm, scale }) {
  const [left, right, rear, front] = boxOf(grid.outline_mm);
  const [width, height] = [Math.round((right - left) * perMm), Math.round((front - rear) * perMm)];
  const pixels = new Uint8ClampedArray(4 * width * height);
  const words = new Uint32Array(pixels.buffer);
  const colours = Uint32Array.from([scale.bare, ...scale.colours], word);
  const xs = Float64Array.from({ length: width }, (_, column) => left + (column + 0.5) / perMm);
  const pressureOf = sitting ? pressureRows(sitting, xs) : null;
  const depthOf = everyMm > 0 ? rowReader(grid.x_mm, grid.y_mm, flat(grid.depth_mm), xs) : null;
  const bands = new Uint8Array(width * height);
  const lines = depthOf && new Int16Array(width * height);
  for (let row = 0; row < height; row += 1) {
    const y = front - (row + 0.5) / perMm;
    const pressure = pressureOf?.(y);
    const depth = depthOf?.(y);
    for (const [from, to] of spansAt(grid.outline_mm, y)) {
      const first = Math.max(Math.ceil((from - left) * perMm - 0.5), 0);
      const last = Math.min(Math.floor((to - left) * perMm - 0.5), width - 1);
      for (let column = first, at = row * width + first; column <= last; column += 1, at += 1) {
        if (pressure && pressure[column] > 0) bands[at] = bandAt(scale.steps, pressure[column]);
        if (depth) lines[at] = Math.floor(depth[column] / everyMm);
        words[at] = colours[bands[at]];
      }
    }
  }
  if (sitting && perMm > 1) drawLines(pixels, bands, width, 0.3);
  if (lines) drawLines(pixels, lines, width, 0.6);
  return { width, height, pixels };
}

// A function that gives a whole row of pressures, as `pressureReader` reads them one by one.
function pressureRows(sitting, xs) {
  const { x_mm: x, y_mm: y } = sitting;
  const { overlap, firmness } = contactOf(sitting);
  const [pressed, firm] = [overlap, firmness].map((values) => rowReader(x, y, values, xs));
  const row = new Float32Array(xs.length);
  return (atY) => {
    row.fill(0);
    if (atY < y[0] - BESIDE_MM || atY > y.at(-1) + BESIDE_MM) return row;
    const [overlaps, firms] = [pressed(atY), firm(atY)];
    for (let column = 0; column < row.length; column += 1)
      if (overlaps[column] > 0 && xs[column] >= x[0] - BESIDE_MM && xs[column] <= x.at(-1) + BESIDE_MM)
        row[column] = root(overlaps[column]) * firms[column];
    return row;
  };
}

// A function that reads a grid along a whole row: first between two of the grid's rows, then between its columns.
function rowReader(x, y, values, xs) {
  const wide = x.length;
  const place = (at, places) => {
    const u = ((at - places[0]) / (places.at(-1) - places[0])) * (places.length - 1);
    return Math.min(Math.max(u, 0), places.length - 1 - 1e-9);
  };
  const columns = Float64Array.from(xs, (one) => place(one, x));
  const [between, out] = [new Float32Array(wide), new Float32Array(xs.length)];
  return (atY) => {
    const v = place(atY, y);
    const [low, share] = [Math.floor(v) * wide, v - Math.floor(v)];
    for (let column = 0; column < wide; column += 1)
      between[column] = values[low + column] + share * (values[low + wide + column] - values[low + column]);
    for (let column = 0; column < out.length; column += 1) {
      const at = columns[column] | 0;
      out[column] = between[at] + (columns[column] - at) * (between[at + 1] - between[at]);
    }
    return out;
  };
}

// 0 without contact, then 1 and up.
function bandAt(steps, kpa) {
  let band = steps.length;
  while (band > 0 && kpa < steps[band - 1]) band -= 1;
  return band;
}

function word(hex) {
  const [red, green, blue] = [1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16));
  return new Uint32Array(new Uint8Array([red, green, blue, 255]).buffer)[0];
}

/** Where a row runs within an outline: from and to. */
function spansAt(outline, y) {
  const crossed = [];
  outline.forEach(([x, low], number) => {
    const [nextX, high] = outline[(number + 1) % outline.length];
    if (low > y !== high > y) crossed.push(x + ((y - low) / (high - low)) * (nextX - x));
  });
  crossed.sort((one, other) => one - other);
  return Array.from({ length: crossed.length / 2 }, (_, span) => [crossed[2 * span], crossed[2 * span + 1]]);
}

// Where one level meets the next a line is inked, so strongly.
function drawLines(pixels, levels, width, strength) {
  for (let at = 0; at < levels.length - width; at += 1) {
    if (!pixels[4 * at + 3] || !pixels[4 * (at + 1) + 3] || !pixels[4 * (at + width) + 3]) continue;
    if (levels[at] === levels[at + 1] && levels[at] === levels[at + width]) continue;
    for (let part = 0; part < 3; part += 1)
      pixels[4 * at + part] = (1 - strength) * pixels[4 * at + part] + strength * INK[part];
  }
}
