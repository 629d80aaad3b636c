// The seat as triangles in plan: a grid cut along the outline for surface and underside, and the wall round it. Heights
// are no part of it: the shader reads them, so that a mesh lasts as long as its outline.

export const CELL_MM = 8;
const CORNER_COS = Math.cos((20 * Math.PI) / 180);
const WALL_STEP_MM = 4;

/** Vertices (x, y, 0 on the surface or 1 on the underside, normal of a wall) and triangles of a seat. */
export function solidMesh(outline) {
  const plan = planMesh(outline);
  const wall = wallMesh(outline);
  const count = plan.points.length / 2;
  const vertices = new Float32Array(5 * (2 * count + wall.points.length / 5));
  const triangles = new Uint32Array(2 * plan.triangles.length + wall.triangles.length);
  for (let level = 0; level < 2; level += 1) {
    for (let number = 0; number < count; number += 1) {
      const at = 5 * (level * count + number);
      vertices[at] = plan.points[2 * number];
      vertices[at + 1] = plan.points[2 * number + 1];
      vertices[at + 2] = level;
    }
    triangles.set(level ? plan.triangles.map((one) => one + count) : plan.triangles, level * plan.triangles.length);
  }
  vertices.set(wall.points, 10 * count);
  triangles.set(
    wall.triangles.map((one) => one + 2 * count),
    2 * plan.triangles.length,
  );
  return { vertices, triangles };
}

/** A strip for the face of a cut: shares of its way, at the surface and at the underside. */
export function cutMesh(parts = 240) {
  const vertices = Array.from({ length: parts + 1 }, (_, part) => [part / parts, 0, 0, 0, 0, part / parts, 0, 1, 0, 0]);
  const triangles = Array.from({ length: parts }, (_, part) => [0, 1, 2, 1, 3, 2].map((one) => one + 2 * part));
  return { vertices: new Float32Array(vertices.flat()), triangles: new Uint32Array(triangles.flat()) };
}

/** A grid of so many columns and rows as triangles between its points, which are told by column and row. */
export function gridMesh(columns, rows) {
  const vertices = new Float32Array(2 * columns * rows);
  const triangles = new Uint32Array(6 * (columns - 1) * (rows - 1));
  let at = 0;
  for (let row = 0; row < rows; row += 1)
    for (let column = 0; column < columns; column += 1) {
      const here = row * columns + column;
      vertices.set([column, row], 2 * here);
      if (!row || !column) continue;
      triangles.set([here - columns - 1, here - columns, here, here - columns - 1, here, here - 1], at);
      at += 6;
    }
  return { vertices, triangles };
}

// Lines of the grid never run along an edge of the outline: it begins a little outside.
function planMesh(outline) {
  const [xs, ys] = [0, 1].map((axis) => linesOf(outline.map((one) => one[axis])));
  const inside = ys.map((y) => rowInside(outline, xs, y));
  const corners = sharpCorners(outline);
  const [points, triangles, known] = [[], [], new Map()];
  const node = (column, row) => {
    const key = row * xs.length + column;
    if (!known.has(key)) known.set(key, put(xs[column], ys[row]));
    return known.get(key);
  };
  const put = (x, y) => points.push(x, y) / 2 - 1;
  for (let row = 1; row < ys.length; row += 1)
    for (let column = 1; column < xs.length; column += 1) {
      const [a, b, c, d] = [
        [column - 1, row - 1],
        [column, row - 1],
        [column, row],
        [column - 1, row],
      ];
      for (const three of [
        [a, b, c],
        [a, c, d],
      ]) {
        const kept = three.map(([i, j]) => inside[j][i]);
        if (kept.every(Boolean)) triangles.push(...three.map(([i, j]) => node(i, j)));
        else if (kept.some(Boolean)) clip(three, kept);
      }
    }
  return { points, triangles };

  // The part of a triangle within the outline, as a fan; a sharp corner of the outline in it is kept.
  function clip(three, kept) {
    const ring = [];
    const spots = three.map(([i, j]) => [xs[i], ys[j]]);
    spots.forEach((spot, number) => {
      const next = (number + 1) % 3;
      if (kept[number]) ring.push(node(...three[number]));
      if (kept[number] === kept[next]) return;
      const crossed = crossing(outline, spot, spots[next]);
      ring.push(put(...crossed));
      const corner = kept[number] && corners.find((one) => isWithin(one, spots));
      if (corner) ring.push(put(...corner));
    });
    for (let number = 2; number < ring.length; number += 1) triangles.push(ring[0], ring[number - 1], ring[number]);
  }
}

function linesOf(values) {
  const [low, high] = [Math.min(...values) - 0.37, Math.max(...values) + 0.37];
  const parts = Math.ceil((high - low) / CELL_MM);
  return Array.from({ length: parts + 1 }, (_, part) => low + ((high - low) * part) / parts);
}

/** Which of the places of a row lie within an outline. */
function rowInside(outline, xs, y) {
  const crossed = [];
  outline.forEach(([x, low], number) => {
    const [nextX, high] = outline[(number + 1) % outline.length];
    if (low > y !== high > y) crossed.push(x + ((y - low) / (high - low)) * (nextX - x));
  });
  return xs.map((x) => crossed.filter((one) => one > x).length % 2 === 1);
}

// Where the way from one place to another first meets the outline.
function crossing(outline, [x, y], [toX, toY]) {
  let first = 1;
  const [dx, dy] = [toX - x, toY - y];
  outline.forEach(([ax, ay], number) => {
    const [bx, by] = outline[(number + 1) % outline.length];
    const across = dx * (by - ay) - dy * (bx - ax);
    if (across === 0) return;
    const way = ((ax - x) * (by - ay) - (ay - y) * (bx - ax)) / across;
    const along = ((ax - x) * dy - (ay - y) * dx) / across;
    if (way >= 0 && way < first && along >= 0 && along <= 1) first = way;
  });
  return [x + first * dx, y + first * dy];
}

function sharpCorners(outline) {
  return outline.filter(([x, y], number) => {
    const [before, after] = [outline.at(number - 1), outline[(number + 1) % outline.length]];
    const [ax, ay, bx, by] = [x - before[0], y - before[1], after[0] - x, after[1] - y];
    return ax * bx + ay * by < CORNER_COS * Math.hypot(ax, ay) * Math.hypot(bx, by);
  });
}

function isWithin([x, y], [a, b, c]) {
  const side = ([px, py], [qx, qy]) => (qx - px) * (y - py) - (qy - py) * (x - px);
  const sides = [side(a, b), side(b, c), side(c, a)];
  return sides.every((one) => one >= 0) || sides.every((one) => one <= 0);
}

// Round corners are shaded smoothly, sharp ones keep their edge.
function wallMesh(outline) {
  const ring = outline.map(([x, y], number) => {
    const [nextX, nextY] = outline[(number + 1) % outline.length];
    const long = Math.hypot(nextX - x, nextY - y) || 1;
    return { x, y, nextX, nextY, long, normal: [(nextY - y) / long, (x - nextX) / long] };
  });
  const area = ring.reduce((sum, one) => sum + one.x * one.nextY - one.nextX * one.y, 0);
  const sign = Math.sign(area) || 1;
  const [points, triangles] = [[], []];
  ring.forEach((one, number) => {
    const [before, after] = [ring.at(number - 1), ring[(number + 1) % ring.length]];
    const [from, to] = [blend(one, before), blend(one, after)];
    const parts = Math.max(1, Math.ceil(one.long / WALL_STEP_MM));
    for (let part = 0; part <= parts; part += 1) {
      const share = part / parts;
      const [x, y] = [one.x + share * (one.nextX - one.x), one.y + share * (one.nextY - one.y)];
      const normal = [0, 1].map((axis) => sign * ((1 - share) * from[axis] + share * to[axis]));
      const at = points.length / 5;
      points.push(x, y, 0, ...normal, x, y, 1, ...normal);
      if (part) triangles.push(at - 2, at, at - 1, at - 1, at, at + 1);
    }
  });
  return { points, triangles };
}

function blend(one, beside) {
  const [x, y] = [one.normal[0] + beside.normal[0], one.normal[1] + beside.normal[1]];
  const long = Math.hypot(x, y);
  const turned = one.normal[0] * beside.normal[0] + one.normal[1] * beside.normal[1];
  return turned < CORNER_COS ? one.normal : [x / long, y / long];
}
