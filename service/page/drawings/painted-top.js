// Painting the top of a seat: bare wood, pressure in bands, lines of equal depth; the front is at the top.

import { boxOf, depthReader, pressureReader } from "./read-grids.js";
import { BARE, COLOURS, bandOf } from "./pressure-scale.js";

const INK = [74, 59, 44];

function rgb(hex) {
  return [1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16));
}

const BAND_RGB = COLOURS.map(rgb);
const BARE_RGB = rgb(BARE);

/**
 * Paint a canvas at a number of pixels to the mm; outside the outline it stays clear. `sitting` may be undefined (bare
 * wood), `everyMm` the spacing of the depth lines, 0 for none.
 */
export function paintSeat(canvas, { grid, sitting, everyMm = 0, perMm = 1 }) {
  const [left, right, rear, front] = boxOf(grid.outline_mm);
  canvas.width = Math.round((right - left) * perMm);
  canvas.height = Math.round((front - rear) * perMm);
  const context = canvas.getContext("2d");
  const image = context.createImageData(canvas.width, canvas.height);
  const place = (column, row) => [left + (column + 0.5) / perMm, front - (row + 0.5) / perMm];
  fillPressure(image, place, sitting ? pressureReader(sitting) : () => 0);
  const pressure = sitting ? pressureReader(sitting) : null;
  if (pressure && perMm > 1) drawLines(image, place, (x, y) => bandOf(pressure(x, y)), 0.3);
  if (everyMm > 0) {
    const depth = depthReader(grid);
    drawLines(image, place, (x, y) => Math.floor(depth(x, y) / everyMm), 0.6);
  }
  context.putImageData(image, 0, 0);
  cutOut(context, grid.outline_mm, (x, y) => [(x - left) * perMm, (front - y) * perMm]);
  return canvas;
}

function fillPressure(image, place, pressure) {
  for (let row = 0, at = 0; row < image.height; row += 1) {
    for (let column = 0; column < image.width; column += 1, at += 4) {
      const band = bandOf(pressure(...place(column, row)));
      const colour = band < 0 ? BARE_RGB : BAND_RGB[band];
      image.data.set(colour, at);
      image.data[at + 3] = 255;
    }
  }
}

// Where one level meets the next a line is inked, so strongly.
function drawLines(image, place, levelAt, strength) {
  const row = (number) => Array.from({ length: image.width }, (_, column) => levelAt(...place(column, number)));
  let above = row(0);
  for (let number = 0; number < image.height - 1; number += 1) {
    const below = row(number + 1);
    for (let column = 0; column < image.width - 1; column += 1) {
      if (above[column] !== below[column] || above[column] !== above[column + 1]) ink(image, column, number, strength);
    }
    above = below;
  }
}

function ink(image, column, row, strength) {
  const at = 4 * (row * image.width + column);
  for (let part = 0; part < 3; part += 1)
    image.data[at + part] = (1 - strength) * image.data[at + part] + strength * INK[part];
}

function cutOut(context, outline, at) {
  context.globalCompositeOperation = "destination-in";
  context.beginPath();
  for (const [x, y] of outline) context.lineTo(...at(x, y));
  context.closePath();
  context.fill();
  context.globalCompositeOperation = "source-over";
}
