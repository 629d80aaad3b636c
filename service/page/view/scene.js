// The seat in 3D on the page's one canvas. It keeps what it was told, sends the card only what changed, and draws once a frame.

import { boxOf } from "../drawings/read-grids.js";
import { BARE, COLOURS, STEPS_KPA } from "../drawings/pressure-scale.js";
import { cameraOf, standAtFirst } from "./camera.js";
import { partsFor } from "./card.js";
import { theContext } from "./context.js";
import { shareNow, timeDrawing } from "./fineness.js";
import { WORD_TALL_MM, WORD_WIDE_MM, wordPlaces, WORDS } from "./ground.js";

const [GROUND_MM, MOST_PIXELS, NOWHERE, WORDS_REACH] = [14, 2, 1e9, 1.15];
const rgb = (hex) => [1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16) / 255);

/** What is drawn. All of it may be put anew; `show` says what changed. */
export const shown = {
  outline: null, // [[x, y], ...]
  was: null, // heights, as heights.js makes them, and those that `now` 1 shows
  is: null,
  now: 1,
  thickness: 45,
  rings: null, // as the service tells them; null draws plain wood
  sitting: null, // whose pressure, or whose underside, is shown
  pressure: false,
  everyMm: 0,
  sitter: false,
  lift: 0,
  cut: null, // {from, to, way: [x, y], at}
  sections: [0, 0, 0, 0],
  touched: null,
  stand: standAtFirst(),
  alone: false,
};

let asked = false;
let fine = false;
let failed = false;
const listeners = new Set();

/** Be told after each drawing with the camera, or once with null: a driver refused the programs, and nothing is drawn. */
export function onDrawn(listener) {
  listeners.add(listener);
}

export function canDraw() {
  return Boolean(theContext().gl) && !failed;
}

/** Take over what changed, and draw at the next frame. */
export function show(news = {}) {
  Object.assign(shown, news);
  if (asked || !canDraw()) return;
  asked = true;
  requestAnimationFrame(() => {
    asked = false;
    draw(fine);
    fine = false;
  });
}

/** Draw at the next frame, as fine as the screen is, however long that takes. */
export function showFine() {
  fine = true;
  show();
}

/** Where one looks from, for a picture of the canvas's size. */
export function cameraNow() {
  const { canvas } = theContext();
  const [left, right, rear, front] = boxOf(shown.outline);
  const target = [0, (rear + front) / 2, -0.5 * shown.thickness];
  const aspect = canvas.clientWidth / canvas.clientHeight;
  // Words stand to either side of the seat: a picture that is hardly wider than high has to hold them too.
  const room = Math.max(1, WORDS_REACH / aspect);
  return cameraOf(shown.stand, target, 0.47 * room * Math.hypot(front - rear, right - left), aspect);
}

/** The plane of the cut so that the side towards the eye is away: [x, y, distance], or null. */
export function planeNow(eye) {
  if (!shown.cut) return null;
  const { way, at } = shown.cut;
  const side = eye[0] * way[0] + eye[1] * way[1] > at ? 1 : -1;
  return [side * way[0], side * way[1], side * at];
}

function draw(isFine) {
  const { canvas, gl } = theContext();
  const [width, height] = [canvas.clientWidth, canvas.clientHeight];
  if (gl.isContextLost() || !width || !height) return;
  gl.clearColor(0, 0, 0, 0);
  gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
  if (!shown.is || !shown.outline) return;
  performance.clearMeasures("view-draw");
  performance.mark("view-draw");
  let parts;
  try {
    parts = partsFor(gl, shown);
  } catch (error) {
    console.warn(error.message);
    failed = true;
    for (const listener of listeners) listener(null);
    return;
  }
  const dots = Math.min(window.devicePixelRatio, MOST_PIXELS);
  const share = shareNow(width * height * dots * dots, isFine, showFine);
  const size = [width, height].map((one) => Math.round(one * dots * share));
  if (canvas.width !== size[0] || canvas.height !== size[1]) [canvas.width, canvas.height] = size;
  gl.viewport(0, 0, ...size);
  gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
  gl.enable(gl.DEPTH_TEST);
  const camera = cameraNow();
  const plane = planeNow(camera.eye);
  gl.disable(gl.BLEND);
  drawSolid(gl, parts, camera, plane);
  gl.enable(gl.BLEND);
  gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
  gl.depthMask(false);
  drawGround(gl, parts, camera, plane, canvas);
  gl.depthMask(true);
  if (shown.sitter && shown.sitting) drawSitter(gl, parts, camera, plane);
  timeDrawing(gl, size[0] * size[1]);
  performance.measure("view-draw", "view-draw");
  performance.clearMarks("view-draw");
  for (const listener of listeners) listener(camera, share);
}

function bind(gl, at, textures) {
  Object.entries(textures).forEach(([name, texture], unit) => {
    gl.activeTexture(gl.TEXTURE0 + unit);
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.uniform1i(at(name), unit);
  });
}

function surfaceUniforms(gl, parts, at) {
  const { box, columns, rows } = shown.is;
  gl.uniform4f(at("box"), box[0], box[2], 1 / (box[1] - box[0]), 1 / (box[3] - box[2]));
  gl.uniform2f(at("cells"), columns, rows);
  gl.uniform1f(at("now"), shown.now);
  gl.uniform4fv(at("pressedBox"), parts.pressedBox);
  gl.uniform2fv(at("pressedCells"), parts.pressedCells);
}

function drawSolid(gl, parts, camera, plane) {
  const { program, at } = parts.solid;
  gl.useProgram(program);
  const { was, is, pressed, boards, under } = parts;
  bind(gl, at, { was: was.texture, is: is.texture, pressed: pressed.texture, boards: boards.texture, under: under.texture });
  surfaceUniforms(gl, parts, at);
  gl.uniformMatrix4fv(at("camera"), false, camera.matrix);
  gl.uniform3fv(at("eye"), camera.eye);
  gl.uniform1f(at("thickness"), shown.thickness);
  gl.uniform1i(at("boardCount"), parts.boardCount);
  const { wander_lengths_mm: waves = [1, 1], uneven_years: uneven = 0, uneven_lengths_years: years = [1, 1, 1] } = shown.rings ?? {};
  gl.uniform4f(at("waves"), waves[0], waves[1], uneven, 0);
  gl.uniform3fv(at("yearLengths"), years);
  gl.uniform3fv(at("bareColour"), rgb(BARE));
  gl.uniform1f(at("pressing"), shown.pressure && shown.sitting ? 1 : 0);
  gl.uniform1fv(at("steps"), STEPS_KPA);
  gl.uniform3fv(at("bands"), COLOURS.flatMap(rgb));
  gl.uniform1i(at("stepCount"), STEPS_KPA.length);
  gl.uniform1f(at("depthEvery"), shown.everyMm);
  gl.uniform4fv(at("sections"), shown.sections);
  gl.uniform1f(at("alone"), shown.alone ? 1 : 0);
  const { x = 0, y = 0 } = shown.touched ?? {};
  gl.uniform4f(at("touched"), x, y, 5, shown.touched ? 1 : 0);
  gl.uniform4f(at("plane"), ...(plane ?? [0, 0, NOWHERE]), 0);
  parts.seat.draw();
  if (!plane) return;
  gl.uniform4f(at("plane"), ...plane, 1);
  gl.uniform4f(at("cut"), ...shown.cut.from, ...shown.cut.to);
  parts.cut.draw();
}

function drawGround(gl, parts, camera, plane, canvas) {
  const ground = -shown.thickness - GROUND_MM;
  const lay = ({ program, at }, quad, textures) => {
    gl.useProgram(program);
    bind(gl, at, textures);
    gl.uniformMatrix4fv(at("camera"), false, camera.matrix);
    gl.uniform1f(at("ground"), ground);
    gl.uniform4f(at("quad"), ...quad);
  };
  lay(parts.ground, parts.shadowQuad, { shadow: parts.shadow.texture });
  gl.uniform2f(parts.ground.at("fall"), 0.085, -0.04);
  gl.uniform4f(parts.ground.at("plane"), ...(plane ?? [0, 0, NOWHERE]), 0);
  parts.quad.draw();
  const ink = getComputedStyle(canvas).color.match(/[\d.]+/g).slice(0, 3).map((one) => one / 255);
  wordPlaces(boxOf(shown.outline)).forEach((corner, row) => {
    lay(parts.words, [...corner, WORD_WIDE_MM, WORD_TALL_MM], { words: parts.letters });
    gl.uniform3fv(parts.words.at("ink"), ink);
    gl.uniform3f(parts.words.at("row"), row, WORDS.length, camera.above[1] >= 0 ? 1 : -1);
    parts.quad.draw();
  });
}

function drawSitter(gl, parts, camera, plane) {
  const { program, at } = parts.sitter;
  gl.useProgram(program);
  bind(gl, at, { was: parts.was.texture, is: parts.is.texture, pressed: parts.pressed.texture });
  surfaceUniforms(gl, parts, at);
  gl.uniformMatrix4fv(at("camera"), false, camera.matrix);
  gl.uniform3fv(at("eye"), camera.eye);
  gl.uniform4f(at("plane"), ...(plane ?? [0, 0, NOWHERE]), 0);
  gl.uniform1f(at("lift"), shown.lift);
  gl.uniform1f(at("farthest"), 34);
  // First its depths alone, so that only the skin that is nearest shows through.
  for (const visible of [false, true]) {
    gl.colorMask(visible, visible, visible, visible);
    gl.depthFunc(visible ? gl.EQUAL : gl.LESS);
    parts.body.draw();
  }
  gl.depthFunc(gl.LESS);
}
