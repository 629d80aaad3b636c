// The seat in 3D, drawn by three.js from the grid of depths: the painted top, the blank's side, its underside.

import { boxOf, depthReader } from "./read-grids.js";

const [FOV_DEG, NEAREST_DEG, FARTHEST_DEG] = [26, 4, 89];
const HOME = { around: 24, up: 42, away: 1 };
const SIDE_STEP_MM = 5;

/** Make a view in a canvas. Raises where the browser has no WebGL. Nothing is drawn but when something changed. */
export async function makeView(canvas) {
  if (!document.createElement("canvas").getContext("webgl2")) throw new Error("no WebGL");
  const three = await import("../vendor/three/three.module.js");
  const renderer = new three.WebGLRenderer({ canvas, antialias: true, alpha: true });
  const scene = new three.Scene();
  const camera = new three.PerspectiveCamera(FOV_DEG, 1, 10, 8000);
  camera.up.set(0, 0, 1);
  light(three, scene);
  const stand = { ...HOME, target: new three.Vector3(0, 215, -20), radius: 340 };
  const group = new three.Group();
  scene.add(group);
  const draw = () => {
    const { clientWidth: width, clientHeight: height } = canvas;
    if (!width || !height) return;
    renderer.setPixelRatio(Math.min(window.devicePixelRatio, 2));
    renderer.setSize(width, height, false);
    place(camera, stand, width / height);
    renderer.render(scene, camera);
  };
  new ResizeObserver(draw).observe(canvas);
  return {
    show(grid, thickness, painted) {
      clear(group);
      const [, , rear, front] = boxOf(grid.outline_mm);
      stand.target.set(0, (rear + front) / 2, -0.4 * thickness);
      stand.radius = 0.47 * Math.hypot(front - rear, boxOf(grid.outline_mm)[1] * 2);
      group.add(top(three, grid, painted), side(three, grid, thickness), under(three, grid, thickness));
      draw();
    },
    turn(around, up) {
      stand.around = (stand.around + around) % 360;
      stand.up = Math.min(Math.max(stand.up + up, NEAREST_DEG), FARTHEST_DEG);
      draw();
    },
    nearer(factor) {
      stand.away = Math.min(Math.max(stand.away * factor, 0.35), 2.5);
      draw();
    },
    stand(around, up) {
      Object.assign(stand, { around, up, away: 1 });
      draw();
    },
    home() {
      Object.assign(stand, HOME);
      draw();
    },
    end() {
      clear(group);
      renderer.dispose();
    },
  };
}

function light(three, scene) {
  scene.add(new three.HemisphereLight(0xffffff, 0xe6dccb, 2.0));
  const lamp = new three.DirectionalLight(0xfff6e8, 1.7);
  lamp.position.set(-800, 350, 650);
  scene.add(lamp);
}

// Seen from behind the rear edge at 0 degrees, so that the sitter's left is on the left as on the maps.
function place(camera, stand, aspect) {
  const [around, up] = [stand.around, stand.up].map((one) => (one * Math.PI) / 180);
  const half = (FOV_DEG * Math.PI) / 360;
  const narrow = Math.min(half, Math.atan(Math.tan(half) * aspect));
  const distance = (stand.away * stand.radius) / Math.sin(narrow);
  camera.position.set(
    stand.target.x + distance * Math.cos(up) * Math.sin(around),
    stand.target.y - distance * Math.cos(up) * Math.cos(around),
    stand.target.z + distance * Math.sin(up),
  );
  camera.aspect = aspect;
  camera.updateProjectionMatrix();
  camera.lookAt(stand.target);
}

function top(three, grid, painted) {
  const [left, right, rear, front] = boxOf(grid.outline_mm);
  const { x_mm: xs, y_mm: ys, depth_mm: depth } = grid;
  const [positions, uv, faces] = [[], [], []];
  ys.forEach((y, row) =>
    xs.forEach((x, column) => {
      positions.push(x, y, -depth[row][column]);
      uv.push((x - left) / (right - left), (y - rear) / (front - rear));
      if (row && column) {
        const [a, b, c, d] = [
          (row - 1) * xs.length + column - 1,
          (row - 1) * xs.length + column,
          row * xs.length + column,
          row * xs.length + column - 1,
        ];
        faces.push(a, b, c, a, c, d);
      }
    }),
  );
  const geometry = new three.BufferGeometry();
  geometry.setAttribute("position", new three.Float32BufferAttribute(positions, 3));
  geometry.setAttribute("uv", new three.Float32BufferAttribute(uv, 2));
  geometry.setIndex(faces);
  geometry.computeVertexNormals();
  const texture = new three.CanvasTexture(painted);
  texture.colorSpace = three.SRGBColorSpace;
  texture.anisotropy = 8;
  return new three.Mesh(
    geometry,
    new three.MeshLambertMaterial({ map: texture, alphaTest: 0.5, side: three.DoubleSide }),
  );
}

function side(three, grid, thickness) {
  const depth = depthReader(grid);
  const edge = along(grid.outline_mm);
  const positions = [];
  edge.forEach(([x, y], number) => {
    const [nextX, nextY] = edge[(number + 1) % edge.length];
    const [here, there] = [-depth(x, y), -depth(nextX, nextY)];
    positions.push(
      x,
      y,
      -thickness,
      nextX,
      nextY,
      -thickness,
      nextX,
      nextY,
      there,
      x,
      y,
      -thickness,
      nextX,
      nextY,
      there,
      x,
      y,
      here,
    );
  });
  const geometry = new three.BufferGeometry();
  geometry.setAttribute("position", new three.Float32BufferAttribute(positions, 3));
  geometry.computeVertexNormals();
  return new three.Mesh(geometry, new three.MeshLambertMaterial({ color: 0xd4bb92, side: three.DoubleSide }));
}

function under(three, grid, thickness) {
  const shape = new three.Shape(grid.outline_mm.map(([x, y]) => new three.Vector2(x, y)));
  const mesh = new three.Mesh(
    new three.ShapeGeometry(shape),
    new three.MeshLambertMaterial({ color: 0xb99d70, side: three.DoubleSide }),
  );
  mesh.position.z = -thickness;
  return mesh;
}

function along(outline) {
  return outline.flatMap(([x, y], number) => {
    const [nextX, nextY] = outline[(number + 1) % outline.length];
    const parts = Math.max(1, Math.ceil(Math.hypot(nextX - x, nextY - y) / SIDE_STEP_MM));
    return Array.from({ length: parts }, (_, part) => [
      x + ((nextX - x) * part) / parts,
      y + ((nextY - y) * part) / parts,
    ]);
  });
}

function clear(group) {
  for (const one of [...group.children]) {
    one.geometry.dispose();
    one.material.map?.dispose();
    one.material.dispose();
    group.remove(one);
  }
}
