// Grids: values at x (columns) and y (rows), read in between.

/** A function that reads `rows[row][column]` at a place, in between by straight lines, beyond the edge as at the edge. */
export function reader(x, y, rows) {
  const [x0, dx, nx] = [x[0], (x[x.length - 1] - x[0]) / (x.length - 1), x.length];
  const [y0, dy, ny] = [y[0], (y[y.length - 1] - y[0]) / (y.length - 1), y.length];
  return (atX, atY) => {
    const u = Math.min(Math.max((atX - x0) / dx, 0), nx - 1);
    const v = Math.min(Math.max((atY - y0) / dy, 0), ny - 1);
    const [i, j] = [Math.min(u | 0, nx - 2), Math.min(v | 0, ny - 2)];
    const [s, t] = [u - i, v - j];
    const [low, high] = [rows[j], rows[j + 1]];
    return (1 - t) * ((1 - s) * low[i] + s * low[i + 1]) + t * ((1 - s) * high[i] + s * high[i + 1]);
  };
}

export function depthReader(grid) {
  return reader(grid.x_mm, grid.y_mm, grid.depth_mm);
}

const ONSET_MM = 0.15;

// About the root of an overlap, in proportion to it near 0: so pressure starts at the edge of contact.
function root(overlap) {
  return overlap > 0 ? Math.sqrt(overlap + ONSET_MM) - Math.sqrt(ONSET_MM) : 0;
}

/**
 * Pressure of a sitting: none beyond its grid. It ends where the gap between skin and seat is 0, which lies in the middle
 * of cells: what changes slowly, pressure over the root of the overlap, is read in between, and the overlap apart from it.
 */
export function pressureReader(sitting) {
  const { x_mm: x, y_mm: y, gap_mm: gaps } = sitting;
  const gap = reader(x, y, gaps);
  const firmness = reader(x, y, spread(sitting.pressure_kpa.map((row, j) => row.map((p, i) => p / root(-gaps[j][i])))));
  const half = 2;
  const [left, right] = [x[0] - half, x.at(-1) + half];
  const [rear, front] = [y[0] - half, y.at(-1) + half];
  return (atX, atY) => {
    if (atX < left || atX > right || atY < rear || atY > front) return 0;
    const pressed = root(-gap(atX, atY));
    return pressed > 0 ? pressed * firmness(atX, atY) : 0;
  };
}

// Fill cells that are not pressed with the mean of their pressed neighbours, two rings wide; 0 beyond.
function spread(rows) {
  const known = (value) => Number.isFinite(value) && value > 0;
  const around = (from, j, i) =>
    [-1, 0, 1].flatMap((dj) => [-1, 0, 1].map((di) => from[j + dj]?.[i + di])).filter(known);
  const mean = (values) => (values.length ? values.reduce((sum, value) => sum + value, 0) / values.length : 0);
  const ring = (from) =>
    from.map((row, j) => row.map((value, i) => (known(value) ? value : mean(around(from, j, i)))));
  return ring(ring(rows));
}

/** The rectangle round an outline: [left, right, rear, front] in mm. */
export function boxOf(outline) {
  const [xs, ys] = [outline.map(([x]) => x), outline.map(([, y]) => y)];
  return [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
}
