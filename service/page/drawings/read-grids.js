// Grids: values at x (columns) and y (rows), read in between. Knows arrays only, so that a worker may read them as well.

/** Rows of numbers one after the other. */
export function flat(rows) {
  const values = new Float32Array(rows.length * rows[0].length);
  rows.forEach((row, number) => values.set(row, number * row.length));
  return values;
}

/** A function that reads values, row after row, at a place: in between by straight lines, beyond the edge as at the edge. */
export function reader(x, y, values) {
  const [x0, dx, nx] = [x[0], (x[x.length - 1] - x[0]) / (x.length - 1), x.length];
  const [y0, dy, ny] = [y[0], (y[y.length - 1] - y[0]) / (y.length - 1), y.length];
  return (atX, atY) => {
    const u = Math.min(Math.max((atX - x0) / dx, 0), nx - 1);
    const v = Math.min(Math.max((atY - y0) / dy, 0), ny - 1);
    const i = Math.min(u | 0, nx - 2);
    const j = Math.min(v | 0, ny - 2);
    const s = u - i;
    const t = v - j;
    const at = j * nx + i;
    return (
      (1 - t) * ((1 - s) * values[at] + s * values[at + 1]) + t * ((1 - s) * values[at + nx] + s * values[at + nx + 1])
    );
  };
}

export function depthReader(grid) {
  return reader(grid.x_mm, grid.y_mm, once(grid, () => flat(grid.depth_mm)));
}

const ONSET_MM = 0.15;
/** How far beyond a sitter's grid its outer cells reach. */
export const BESIDE_MM = 2;

// About the root of an overlap, in proportion to it near 0: so pressure starts at the edge of contact.
export function root(overlap) {
  return overlap > 0 ? Math.sqrt(overlap + ONSET_MM) - Math.sqrt(ONSET_MM) : 0;
}

/**
 * How far a sitting's skin and seat overlap, and pressure over the root of that, for each cell: what changes slowly. It
 * goes on a little beyond the edge of contact, so that it can be read in between up to there.
 */
export function contactOf(sitting) {
  return once(sitting, () => {
    const overlap = flat(sitting.gap_mm).map((gap) => -gap);
    const firm = flat(sitting.pressure_kpa).map((kpa, at) => (overlap[at] > 0 ? kpa / root(overlap[at]) : 0));
    const wide = sitting.x_mm.length;
    return { overlap, firmness: spread(spread(firm, wide), wide) };
  });
}

/**
 * Pressure of a sitting: none beyond its grid. It ends where the gap between skin and seat is 0, which lies in the middle
 * of cells, so that overlap and firmness are read apart.
 */
export function pressureReader(sitting) {
  const { x_mm: x, y_mm: y } = sitting;
  const { overlap, firmness } = contactOf(sitting);
  const [pressed, firm] = [reader(x, y, overlap), reader(x, y, firmness)];
  const [left, right] = [x[0] - BESIDE_MM, x.at(-1) + BESIDE_MM];
  const [rear, front] = [y[0] - BESIDE_MM, y.at(-1) + BESIDE_MM];
  return (atX, atY) => {
    if (atX < left || atX > right || atY < rear || atY > front) return 0;
    const deep = root(pressed(atX, atY));
    return deep > 0 ? deep * firm(atX, atY) : 0;
  };
}

// Cells that are not pressed take the mean of their pressed neighbours; 0 beyond.
function spread(values, wide) {
  const out = values.slice();
  const high = values.length / wide;
  for (let row = 0; row < high; row += 1)
    for (let column = 0; column < wide; column += 1) {
      if (values[row * wide + column] > 0) continue;
      let sum = 0;
      let count = 0;
      for (let j = Math.max(row - 1, 0); j <= Math.min(row + 1, high - 1); j += 1)
        for (let i = Math.max(column - 1, 0); i <= Math.min(column + 1, wide - 1); i += 1)
          if (values[j * wide + i] > 0) {
            sum += values[j * wide + i];
            count += 1;
          }
      if (count) out[row * wide + column] = sum / count;
    }
  return out;
}

const known = new WeakMap();

// What is made of a grid is made once.
function once(grid, make) {
  if (!known.has(grid)) known.set(grid, make());
  return known.get(grid);
}

/** The rectangle round an outline: [left, right, rear, front] in mm. */
export function boxOf(outline) {
  const [xs, ys] = [outline.map(([x]) => x), outline.map(([, y]) => y)];
  return [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
}
