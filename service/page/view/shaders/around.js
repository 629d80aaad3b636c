// What lies round the seat: the soft shadow on the ground with the words on it, and the sitter's underside.

import { SURFACE } from "./solid.js";

export const GROUND_VERTEX = `#version 300 es
precision highp float;
layout(location = 0) in vec2 place;
uniform mat4 camera;
uniform vec4 quad;         // left, rear, width, depth
uniform float ground;
out vec2 uv;
void main() {
  uv = place;
  gl_Position = camera * vec4(quad.xy + place * quad.zw, ground, 1.0);
}`;

/** Shadow: red the silhouette, blurred; it falls away from the lamp and is darkest below the seat. */
export const GROUND_FRAGMENT = `#version 300 es
precision highp float;
in vec2 uv;
uniform sampler2D shadow;
uniform vec2 fall;
uniform vec4 quad, plane;
out vec4 drawn;
void main() {
  vec2 dark = textureLod(shadow, uv, 0.0).rg;
  float thrown = textureLod(shadow, uv - fall, 0.0).g;
  drawn = vec4(vec3(0.10, 0.06, 0.02) , 1.0) * (0.30 * dark.r + 0.34 * thrown) * (1.0 - smoothstep(-25.0, 35.0, dot(quad.xy + uv * quad.zw, plane.xy) - plane.z));
}`;

export const WORD_FRAGMENT = `#version 300 es
precision highp float;
in vec2 uv;
uniform sampler2D words;
uniform vec3 ink;
uniform vec3 row;          // which word, of how many, and 1 or -1 as it is read from behind or from ahead
out vec4 drawn;
void main() {
  vec2 at = row.z > 0.0 ? vec2(uv.x, 1.0 - uv.y) : vec2(1.0 - uv.x, uv.y);
  drawn = vec4(ink, 1.0) * texture(words, vec2(at.x, (row.x + at.y) / row.y)).r * 0.9;
}`;

export const SITTER_VERTEX = `#version 300 es
precision highp float;
layout(location = 0) in vec2 place;   // column and row of the sitter's grid
uniform mat4 camera;
uniform vec4 pressedBox;
uniform vec2 pressedCells;
uniform highp sampler2D pressed;      // red overlap: minus the gap
uniform float lift;
${SURFACE}
out vec3 at;
out float gap;
void main() {
  vec2 xy = pressedBox.xy + place / (pressedCells - 1.0) / pressedBox.zw;
  gap = -texelFetch(pressed, ivec2(place), 0).r;
  // Pressed flesh lies on the wood.
  at = vec3(xy, surface(xy).r + max(gap + lift, 0.35));
  gl_Position = camera * vec4(at, 1.0);
}`;

export const SITTER_FRAGMENT = `#version 300 es
precision highp float;
in vec3 at;
in float gap;
uniform vec3 eye;
uniform vec4 plane;
uniform float lift, farthest;
out vec4 drawn;
void main() {
  if (dot(at.xy, plane.xy) > plane.z || gap > farthest) discard;
  vec3 normal = normalize(cross(dFdx(at), dFdy(at)));
  vec3 toEye = normalize(eye - at);
  if (dot(normal, toEye) < 0.0) normal = -normal;
  float facing = dot(normal, toEye);
  float light = 0.62 + 0.38 * max(dot(normal, vec3(-0.74, 0.37, 0.57)), 0.0);
  float touching = lift > 0.5 ? 0.0 : 1.0 - smoothstep(-0.3, 0.3, gap);
  vec3 colour = mix(vec3(0.56, 0.66, 0.74), vec3(0.16, 0.34, 0.52), touching) * light;
  float alpha = mix(0.42, 0.30, touching) + 0.35 * pow(1.0 - facing, 2.0);
  // Skin that turns up and away fades out long before it ends: its rim would look torn.
  float fade = 1.0 - smoothstep(0.1 * farthest, farthest, gap);
  alpha *= fade;
  // Where the body is cut its skin is a line.
  float off = plane.z - dot(at.xy, plane.xy);
  float line = abs(plane.z) > 1e8 ? 0.0 : 1.0 - smoothstep(1.0, 2.0, off / max(fwidth(off), 1e-4));
  alpha = mix(alpha, 0.9 * fade, line);
  drawn = vec4(mix(colour, vec3(0.11, 0.24, 0.38), line), 1.0) * alpha;
}`;
