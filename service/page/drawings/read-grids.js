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

/** Pressure of a sitting: none beyond its grid. */
export function pressureReader(sitting) {
  const read = reader(sitting.x_mm, sitting.y_mm, sitting.pressure_kpa);
  const half = 2;
  const [left, right] = [sitting.x_mm[0] - half, sitting.x_mm.at(-1) + half];
  const [rear, front] = [sitting.y_mm[0] - half, sitting.y_mm.at(-1) + half];
  return (x, y) => (x < left || x > right || y < rear || y > front ? 0 : read(x, y));
}

/** The rectangle round an outline: [left, right, rear, front] in mm. */
export function boxOf(outline) {
  const [xs, ys] = [outline.map(([x]) => x), outline.map(([, y]) => y)];
  return [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
}
