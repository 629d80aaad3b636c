// The seat in the shader: its surface from a texture of heights, wood all through, and on top of it the layers: pressure
// in bands, lines of equal depth, where the sections run, the place that was touched.

import { WOOD } from "./wood.js";

/** Heights of two seats on one grid: red height, green and blue slope, alpha how much light reaches the place. */
export const SURFACE = `
uniform highp sampler2D was, is;
uniform float now;         // 0 shows the one, 1 the other
uniform vec4 box;          // left, rear, 1 / width, 1 / depth
uniform vec2 cells;        // of the grid of heights
vec4 surface(vec2 at) {
  vec2 uv = (clamp((at - box.xy) * box.zw, 0.0, 1.0) * (cells - 1.0) + 0.5) / cells;
  return mix(textureLod(was, uv, 0.0), textureLod(is, uv, 0.0), now);
}
`;

/** Light of a window to the left and ahead, and of the room; relief is lit as if it were steeper, to be read at a glance. */
export const LIGHT = `
const vec3 LAMP = vec3(-0.7778, 0.3889, 0.4938);
const float RELIEF = 1.7;
vec3 lit(vec3 colour, vec3 normal, vec3 toEye, float open) {
  float lamp = max(dot(normal, LAMP), 0.0);
  float sky = 0.5 + 0.5 * normal.z;
  vec3 light = vec3(1.0, 0.955, 0.88) * 1.3 * lamp * mix(0.55, 1.0, open)
    + mix(vec3(0.30, 0.27, 0.24), vec3(0.44, 0.46, 0.50), sky) * open;
  float sheen = 0.10 * pow(max(dot(normal, normalize(LAMP + toEye)), 0.0), 22.0) * open;
  vec3 linear = pow(colour, vec3(2.2)) * light + sheen;
  return pow(linear, vec3(1.0 / 2.2));
}
`;

export const SOLID_VERTEX = `#version 300 es
precision highp float;
layout(location = 0) in vec3 place;   // x, y, and 0 on the surface, 1 on the underside
layout(location = 1) in vec2 outward; // of a wall; 0 on surface and underside
uniform mat4 camera;
uniform float thickness;
uniform highp sampler2D under;
uniform vec4 plane;        // where the seat is cut open: direction, distance, 1 where this draws the cut itself
uniform vec4 cut;          // from, to
${SURFACE}
out vec3 at;
out vec2 wall;
out float level;
void main() {
  vec2 xy = plane.w > 0.5 ? mix(cut.xy, cut.zw, place.x) : place.xy;
  vec2 uv = clamp((xy - box.xy) * box.zw, 0.0, 1.0);
  float z = place.z < 0.5 ? surface(xy).r : -thickness + textureLod(under, uv, 0.0).r;
  at = vec3(xy, z);
  wall = plane.w > 0.5 ? -plane.xy : outward;
  level = place.z;
  gl_Position = camera * vec4(at, 1.0);
}`;

export const SOLID_FRAGMENT = `#version 300 es
precision highp float;
in vec3 at;
in vec2 wall;
in float level;
uniform vec3 eye;
uniform vec4 plane;
uniform float thickness;
uniform highp sampler2D pressed;      // red overlap, green firmness, on the sitter's grid
uniform vec4 pressedBox;              // left, rear, 1 / width, 1 / depth
uniform vec2 pressedCells;
uniform float pressing, depthEvery;
uniform float steps[16];
uniform vec3 bands[16];
uniform int stepCount;
uniform vec4 touched;                 // x, y, radius, 1 where there is one
uniform vec4 sections;                // y across, x along, and which are drawn
uniform float alone;                  // 1 draws the wood alone, without light
out vec4 drawn;
${SURFACE}
${WOOD}
${LIGHT}
const vec3 INK = vec3(0.29, 0.231, 0.173);

float pressure(vec2 xy) {
  vec2 share = (xy - pressedBox.xy) * pressedBox.zw;
  if (any(lessThan(share, vec2(-0.005))) || any(greaterThan(share, vec2(1.005)))) return 0.0;
  vec2 uv = (clamp(share, 0.0, 1.0) * (pressedCells - 1.0) + 0.5) / pressedCells;
  vec2 told = textureLod(pressed, uv, 0.0).rg;
  return told.r > 0.0 ? (sqrt(told.r + 0.15) - sqrt(0.15)) * told.g : 0.0;
}

int bandOf(float kpa) {
  int band = -1;
  for (int step = 0; step < 16; step += 1) if (step < stepCount && kpa >= steps[step]) band = step;
  return band;
}

vec3 painted(vec3 colour, vec2 xy) {
  vec2 across = dFdx(xy), down = dFdy(xy);
  // Four looks into a pixel, so that the edges of bands are smooth, and a line where they meet.
  vec3 sum = vec3(0.0);
  int first = bandOf(pressure(xy));
  float edge = 0.0;
  for (int look = 0; look < 4; look += 1) {
    vec2 aside = vec2(look % 2, look / 2) - 0.5;
    int band = bandOf(pressure(xy + 0.5 * (aside.x * across + aside.y * down)));
    int beside = bandOf(pressure(xy + 1.4 * (aside.x * across + aside.y * down)));
    sum += band < 0 ? colour : mix(bands[band], colour, 0.1);
    edge += beside == first ? 0.0 : 0.25;
  }
  return mix(sum / 4.0, INK, 0.35 * edge);
}

float lineAt(float value, float wide) { return 1.0 - smoothstep(0.5 * wide, 0.5 * wide + 1.0, abs(value) / max(fwidth(value), 1e-5)); }

void main() {
  bool own = plane.w > 0.5;
  if (!own && dot(at.xy, plane.xy) > plane.z) discard;
  vec4 told = surface(at.xy);
  bool top = level < 0.001 && dot(wall, wall) < 0.5;
  vec3 normal = top ? normalize(vec3(-told.gb * RELIEF, 1.0))
    : dot(wall, wall) > 0.5 ? normalize(vec3(wall, 0.0)) : vec3(0.0, 0.0, -1.0);
  vec3 toEye = normalize(eye - at);
  vec3 colour = woodColour(at, top ? vec3(0.0, 0.0, 1.0) : normal);
  if (alone > 0.5) { drawn = vec4(colour, 1.0); return; }
  if (top) {
    float stepped = depthEvery > 0.0 ? -told.r / depthEvery + 0.5 : 0.0;
    if (pressing > 0.5) colour = painted(colour, at.xy);
    if (depthEvery > 0.0 && told.r < -0.12 * depthEvery) {
      float nearest = floor(stepped);
      bool fifth = mod(nearest, 5.0) == 0.0;
      float rise = length(vec2(dFdx(told.r), dFdy(told.r))) / depthEvery;
      float off = abs(stepped - 0.5 - nearest) / max(rise, 1e-5);
      float line = 1.0 - smoothstep(fifth ? 0.9 : 0.5, fifth ? 1.7 : 1.2, off);
      // Dark on pale wood, pale on dark.
      vec3 pen = dot(colour, vec3(0.3, 0.6, 0.1)) > 0.42 ? INK : vec3(0.95, 0.87, 0.74);
      colour = mix(colour, pen, (fifth ? 0.85 : 0.6) * line * (1.0 - smoothstep(0.2, 0.45, rise)) * step(0.5, nearest));
    }
    colour = mix(colour, vec3(0.11, 0.30, 0.45), 0.8 * max(sections.z * lineAt(at.y - sections.x, 1.6), sections.w * lineAt(at.x - sections.y, 1.6)));
    if (touched.w > 0.5) {
      float off = distance(at.xy, touched.xy) - touched.z;
      colour = mix(colour, vec3(1.0), 0.9 * lineAt(off, 4.0));
      colour = mix(colour, vec3(0.11, 0.30, 0.45), lineAt(off, 2.0));
    }
  }
  float open = top ? told.a : own ? 0.95 : mix(1.0, 0.72, smoothstep(0.1, 1.0, level));
  vec3 shaded = own ? colour * mix(1.3, 1.16, level) : lit(colour, normal, toEye, open);
  if (own) shaded = mix(shaded, INK, 0.9 * (1.0 - smoothstep(0.6, 1.6, (told.r - at.z) / max(fwidth(told.r - at.z), 1e-4))));
  // The arris: a thin bright line where surface and side meet.
  if (!top && dot(wall, wall) > 0.5) shaded *= 1.0 + 0.18 * (1.0 - smoothstep(0.0, 1.2, told.r - at.z));
  drawn = vec4(shaded, 1.0);
}`;
