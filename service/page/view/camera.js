// The camera: where one stands about the seat, the matrix of that, and the ray through a point of the picture.

const HALF_FOV = (13 * Math.PI) / 180;
const [LOWEST_DEG, HIGHEST_DEG, NEAREST, FARTHEST] = [4, 89, 0.3, 2.5];
const HOME = { around: 24, up: 42, away: 1 };

/**
 * A stand: degrees round the seat, 0 behind the rear edge, so that the sitter's left is on the left as on the maps;
 * degrees up; and how far away, 1 where all of the seat is seen.
 */
export function standAtFirst() {
  return { ...HOME };
}

export function turned(stand, around, up) {
  return {
    ...stand,
    around: (((stand.around + around) % 360) + 360) % 360,
    up: Math.min(Math.max(stand.up + up, LOWEST_DEG), HIGHEST_DEG),
  };
}

export function nearer(stand, factor) {
  return { ...stand, away: Math.min(Math.max(stand.away * factor, NEAREST), FARTHEST) };
}

/** The camera of a stand before `target` [x, y, z], so that a ball of a radius fills the picture: eye, axes, matrix. */
export function cameraOf(stand, target, radius, aspect) {
  const [around, up] = [stand.around, stand.up].map((one) => (one * Math.PI) / 180);
  const narrow = Math.min(HALF_FOV, Math.atan(Math.tan(HALF_FOV) * aspect));
  const distance = (stand.away * radius) / Math.sin(narrow);
  const back = [Math.cos(up) * Math.sin(around), -Math.cos(up) * Math.cos(around), Math.sin(up)];
  const eye = target.map((one, axis) => one + distance * back[axis]);
  const right = [Math.cos(around), Math.sin(around), 0];
  const above = cross(back, right);
  const [near, far] = [Math.max(10, distance - 3 * radius), distance + 6 * radius];
  const tall = 1 / Math.tan(HALF_FOV);
  const [a, b] = [(far + near) / (near - far), (2 * far * near) / (near - far)];
  const rows = [
    [...right.map((one) => (one * tall) / aspect), (-dot(right, eye) * tall) / aspect],
    [...above.map((one) => one * tall), -dot(above, eye) * tall],
    [...back.map((one) => one * a), -dot(back, eye) * a + b],
    [...back.map((one) => -one), dot(back, eye)],
  ];
  const matrix = new Float32Array([0, 1, 2, 3].flatMap((column) => rows.map((row) => row[column])));
  return { eye, right, above, back, aspect, matrix };
}

/** The direction from the eye through a point of the picture, told from -1 to 1 to the right and up. */
export function rayThrough(camera, x, y) {
  const tall = Math.tan(HALF_FOV);
  return [0, 1, 2].map(
    (axis) =>
      x * tall * camera.aspect * camera.right[axis] + y * tall * camera.above[axis] - camera.back[axis],
  );
}

/** Where a place [x, y, z] is in the picture, from -1 to 1 to the right and up. */
export function seenAt({ matrix }, [x, y, z]) {
  const part = (row) => matrix[row] * x + matrix[4 + row] * y + matrix[8 + row] * z + matrix[12 + row];
  return [part(0) / part(3), part(1) / part(3)];
}

function cross(a, b) {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

function dot(a, b) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}
