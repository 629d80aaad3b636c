// Where a ray from the eye first meets the carved surface, and how deep it is there.

import { depthReader } from "../drawings/read-grids.js";

const [STEP_MM, EDGE_MM] = [3, 0.3];

/**
 * The place {x, y, depth} where a ray meets the surface within the outline; null where it meets a side, the ground, or
 * wood that is cut away. `plane` is [direction x, y, distance]: what lies beyond is cut away.
 */
export function touchedPlace(eye, way, grid, plane) {
  const depth = depthReader(grid);
  const long = Math.hypot(...way);
  const ray = way.map((one) => one / long);
  if (ray[2] >= 0) return null;
  const at = (far) => eye.map((one, axis) => one + far * ray[axis]);
  const above = ([x, y, z]) => z + depth(x, y);
  const deepest = Math.max(...grid.depth_mm.map((row) => Math.max(...row)));
  const [first, last] = [-eye[2] / ray[2], -(eye[2] + deepest + 1) / ray[2]];
  const step = STEP_MM * Math.max(1, (last - first) / 3000);
  for (let far = first - step; far <= last + step; far += step) {
    const place = at(far + step);
    if (!isKept(place, grid.outline_mm, plane) || above(place) > 0) continue;
    // Through a side or a cut the ray comes to wood that is no surface.
    const before = at(far);
    const wasFree = above(before) > 0 && isKept(before, grid.outline_mm, plane);
    return wasFree || above(place) > -EDGE_MM ? met(far, far + step, at, above, depth) : null;
  }
  return null;
}

function met(low, high, at, above, depth) {
  for (let turn = 0; turn < 40; turn += 1) {
    const middle = 0.5 * (low + high);
    if (above(at(middle)) > 0) low = middle;
    else high = middle;
  }
  const [x, y] = at(high);
  return { x, y, depth: depth(x, y) };
}

function isKept([x, y], outline, plane) {
  if (plane && x * plane[0] + y * plane[1] > plane[2]) return false;
  let inside = false;
  outline.forEach(([ax, ay], number) => {
    const [bx, by] = outline[(number + 1) % outline.length];
    if (ay > y !== by > y && ax + ((y - ay) / (by - ay)) * (bx - ax) > x) inside = !inside;
  });
  return inside;
}
