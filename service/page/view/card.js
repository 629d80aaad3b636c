// What the card holds of the seat: programs, meshes and textures; each is sent again only when what it is made of is another.

import { boxOf, contactOf } from "../drawings/read-grids.js";
import { boardTexels } from "./board-texels.js";
import { meshOf, programOf, textureOf } from "./context.js";
import { shadowOf, wordsPicture } from "./ground.js";
import { isAlike } from "./heights.js";
import { cutMesh, gridMesh, solidMesh } from "./mesh.js";
import * as around from "./shaders/around.js";
import { SOLID_FRAGMENT, SOLID_VERTEX } from "./shaders/solid.js";

let parts = null;
const sent = {};

/** The parts that are on the card, brought to what is shown. Raises where a driver refuses a program. */
export function partsFor(gl, shown) {
  parts ??= build(gl);
  send(shown);
  return parts;
}

/** What the card held is gone: all of it is sent anew once the browser gives the context back. */
export function forget() {
  parts = null;
  for (const key of Object.keys(sent)) delete sent[key];
}

function build(gl) {
  const parts = {
    solid: programOf(gl, SOLID_VERTEX, SOLID_FRAGMENT),
    ground: programOf(gl, around.GROUND_VERTEX, around.GROUND_FRAGMENT),
    words: programOf(gl, around.GROUND_VERTEX, around.WORD_FRAGMENT),
    sitter: programOf(gl, around.SITTER_VERTEX, around.SITTER_FRAGMENT),
    seat: meshOf(gl, [3, 2]),
    cut: meshOf(gl, [3, 2]),
    quad: meshOf(gl, [2]),
    body: meshOf(gl, [2]),
    was: textureOf(gl, "RGBA"),
    is: textureOf(gl, "RGBA"),
    pressed: textureOf(gl, "RG"),
    boards: textureOf(gl, "EXACT"),
    under: textureOf(gl, "R"),
    shadow: textureOf(gl, "RG8"),
    letters: gl.createTexture(),
  };
  const strip = cutMesh();
  parts.cut.put(strip.vertices, strip.triangles);
  parts.quad.put(new Float32Array([0, 0, 1, 0, 1, 1, 0, 1]), new Uint32Array([0, 1, 2, 0, 2, 3]));
  gl.bindTexture(gl.TEXTURE_2D, parts.letters);
  gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, gl.RGBA, gl.UNSIGNED_BYTE, wordsPicture());
  gl.generateMipmap(gl.TEXTURE_2D);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.LINEAR_MIPMAP_LINEAR);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE);
  return parts;
}

// A part is sent only when what it is made of is another object than last time.
function send(shown) {
  const once = (key, from, put) => {
    if (from === null || sent[key] === from) return;
    sent[key] = from;
    put(from);
  };
  once("outline", shown.outline, (outline) => {
    const mesh = solidMesh(outline);
    parts.seat.put(mesh.vertices, mesh.triangles);
    const shadow = shadowOf(outline, boxOf(outline));
    parts.shadow.put(shadow.size, shadow.size, shadow.values);
    parts.shadowQuad = shadow.quad;
  });
  const was = shown.was && isAlike(shown.was, shown.is) ? shown.was : shown.is;
  once("was", was.values, (values) => parts.was.put(was.columns, was.rows, values));
  once("is", shown.is.values, (values) => parts.is.put(shown.is.columns, shown.is.rows, values));
  once("boards", shown.rings ?? PLAIN, (rings) => {
    const { count, width, values } = boardTexels(rings);
    parts.boardCount = count;
    parts.boards.put(width, Math.max(count, 1), count ? values : new Float32Array(4 * width));
    const under = rings.underside ?? LEVEL;
    parts.under.put(under.x_mm.length, under.y_mm.length, new Float32Array(under.rise_mm.flat()));
  });
  once("pressed", shown.sitting ?? NOBODY, (sitting) => {
    const [columns, rows] = [sitting.x_mm.length, sitting.y_mm.length];
    const { overlap, firmness } = contactOf(sitting);
    const values = new Float32Array(2 * columns * rows);
    for (let at = 0; at < columns * rows; at += 1) values.set([overlap[at], firmness[at]], 2 * at);
    parts.pressed.put(columns, rows, values);
    const { x_mm: x, y_mm: y } = sitting;
    parts.pressedBox = [x[0], y[0], 1 / (x.at(-1) - x[0]), 1 / (y.at(-1) - y[0])];
    parts.pressedCells = [columns, rows];
    if (sent.body !== `${columns} ${rows}`) {
      const mesh = gridMesh(columns, rows);
      parts.body.put(mesh.vertices, mesh.triangles);
      sent.body = `${columns} ${rows}`;
    }
  });
}

const PLAIN = { boards: [] };
const LEVEL = { x_mm: [0], y_mm: [0], rise_mm: [[0]] };
const NOBODY = { x_mm: [0, 1], y_mm: [0, 1], gap_mm: [[99, 99], [99, 99]], pressure_kpa: [[0, 0], [0, 0]] };
