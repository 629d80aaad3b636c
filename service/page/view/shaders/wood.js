// Wood in the shader: where a point lies in the rings of its board, and the colour of the wood there. The rings are the
// library's, point by point; fibres, pores and flecks are for looks.

/** Texels of a board in the texture of boards, and most boards in it. */
export const [BOARD_TEXELS, MOST_BOARDS] = [9, 32];

export const WOOD = `
uniform highp sampler2D boards;
uniform int boardCount;
uniform vec4 waves;        // lengths over which a pith strays, mm; how much rings differ in width
uniform vec3 yearLengths;
uniform vec3 bareColour;
const float TURN = 6.2831853;

vec4 texel(int board, int part) { return texelFetch(boards, ivec2(part, board), 0); }

float hash(ivec2 at) {
  uint bits = uint(at.x) * 374761393u + uint(at.y) * 668265263u;
  bits = (bits ^ (bits >> 13u)) * 1274126177u;
  return float((bits ^ (bits >> 16u)) & 0xffffffu) / 16777216.0;
}

// Smooth noise of mean 0 and a deviation of about 1.
float noise(vec2 at, int seed) {
  ivec2 cell = ivec2(floor(at)) + ivec2(seed * 131, seed * 57);
  vec2 part = fract(at);
  part = part * part * (3.0 - 2.0 * part);
  float low = mix(hash(cell), hash(cell + ivec2(1, 0)), part.x);
  float high = mix(hash(cell + ivec2(0, 1)), hash(cell + ivec2(1, 1)), part.x);
  return 4.6 * (mix(low, high, part.y) - 0.5);
}

// How much of a pattern so fine is left at the size of a pixel; the rest is its mean.
float seen(float fineMm, float pixelMm) { return 1.0 - smoothstep(0.35, 1.1, pixelMm / fineMm); }

vec3 woodColour(vec3 at, vec3 normal) {
  if (boardCount == 0) return bareColour;
  int board = 0;
  for (int next = 1; next < ${MOST_BOARDS}; next += 1)
    if (next < boardCount && at.x >= texel(next, 0).x) board = next;
  vec4 span = texel(board, 0), middle = texel(board, 1), signs = texel(board, 2), fibre = texel(board, 3);
  vec4 bend = texel(board, 4), years = texel(board, 5), early = texel(board, 6), late = texel(board, 7);
  float contrast = texel(board, 8).x;
  vec3 own = (at - middle.xyz) * signs.xyz - vec3(fibre.w, 0.0, -years.w);
  float along = dot(own, fibre.xyz);
  vec3 away = own - along * fibre.xyz;
  vec4 stray = sin(TURN * along / waves.xyyx + bend) - sin(bend);
  away.x -= middle.w * (0.7 * stray.x + 0.3 * stray.y);
  away.z -= 0.6 * middle.w * (0.3 * stray.z + 0.7 * stray.w);
  float outward = length(away);
  float radius = outward + signs.w * along;
  float even = radius / span.w;
  vec3 wide = yearLengths * sin(TURN * even / yearLengths + years.xyz) / TURN;
  float year = even + waves.z * (wide.x + wide.y + wide.z);
  float turn = atan(away.x, away.z);

  float pixel = max(length(dFdx(at)), length(dFdy(at)));
  float ring = fract(year);
  float lateShare = ring < 0.9 ? pow(ring / 0.9, 3.0) : (1.0 - ring) / 0.1;
  // Rings finer than pixels are their mean, 0.275.
  lateShare = mix(lateShare, 0.275, smoothstep(0.3, 0.9, pixel * length(vec2(dFdx(year), dFdy(year))) / max(pixel, 1e-4)));
  float dark = 0.75 + 0.5 * hash(ivec2(int(floor(year)), 97 * int(span.z)));
  float around = turn * 100.0, flecks = along + 331.7 * span.z;
  // What is too fine for a pixel is not worked out.
  float streak = 0.5 * noise(vec2(around / 9.0, flecks / 160.0), 16);
  if (seen(1.6, pixel) > 0.0) streak += seen(1.6, pixel) * noise(vec2(around / 1.1, flecks / 42.0), 11)
    + 0.6 * seen(1.4, pixel) * noise(vec2(radius / 0.9, flecks / 60.0), 12);
  float dash = seen(0.8, pixel) == 0.0 ? 0.0 : clamp(noise(vec2(around / 0.45 + 3.7 * floor(year), flecks / 7.0), 13) - 1.0, 0.0, 1.5)
    * (1.0 - lateShare) * seen(0.8, pixel);
  float share = clamp(contrast * 0.85 * lateShare * dark + 0.10 * streak + 0.10 + 0.5 * early.w * dash, 0.0, 1.25);
  vec3 colour = mix(early.rgb, late.rgb, share);

  vec3 ringWay = cross(fibre.xyz, away / max(outward, 1e-4));
  float radial = abs(dot(ringWay, normal * signs.xyz));
  if (radial > 0.93 && late.w > 0.0 && seen(1.5, pixel) > 0.0) {
    float ribbon = noise(vec2(radius / 9.0 + 0.5 * noise(vec2(flecks / 25.0, radius / 30.0), 15), flecks / 1.5), 14);
    float fleck = clamp((ribbon - 0.9) / 0.5, 0.0, 1.0) * clamp((radial - 0.93) / 0.06, 0.0, 1.0) * late.w * seen(1.5, pixel);
    colour = mix(colour, vec3(0.95, 0.88, 0.745), 0.55 * fleck);
  }
  // End grain drinks light.
  colour *= mix(1.0, 0.8, pow(abs(dot(fibre.xyz, normal * signs.xyz)), 3.0));
  float seam = min(abs(at.x - span.x), abs(at.x - span.y));
  float inner = board > 0 && at.x - span.x < 1.0 || board < boardCount - 1 && span.y - at.x < 1.0 ? 1.0 : 0.0;
  return colour * (1.0 - 0.28 * inner * (1.0 - smoothstep(0.25, 0.35 + pixel, seam)));
}
`;
