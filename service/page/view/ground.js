// The ground: the seat's silhouette, blurred twice, as its shadow, and the words FRONT, REAR, LEFT and RIGHT as a picture.

export const WORDS = ["FRONT", "REAR", "LEFT", "RIGHT"];
export const [WORD_WIDE_MM, WORD_TALL_MM] = [136, 34];
const [SIZE, MARGIN] = [160, 0.42];

/** The shadow's picture (red close to the seat, green far) and the part of the ground that it lies on. */
export function shadowOf(outline, [left, right, rear, front]) {
  const [wide, long] = [right - left, front - rear];
  const quad = [left - MARGIN * wide, rear - MARGIN * long, wide * (1 + 2 * MARGIN), long * (1 + 2 * MARGIN)];
  const drawing = sheet(SIZE, SIZE);
  drawing.beginPath();
  for (const [x, y] of outline) drawing.lineTo(((x - quad[0]) / quad[2]) * SIZE, ((y - quad[1]) / quad[3]) * SIZE);
  drawing.fill();
  const { data } = drawing.getImageData(0, 0, SIZE, SIZE);
  const mask = Float32Array.from({ length: SIZE * SIZE }, (_, at) => data[4 * at + 3]);
  const [close, far] = [blurred(mask, 2), blurred(mask, 9)];
  const values = new Uint8Array(2 * SIZE * SIZE);
  for (let at = 0; at < SIZE * SIZE; at += 1) {
    values[2 * at] = close[at];
    values[2 * at + 1] = far[at];
  }
  return { quad, size: SIZE, values };
}

/** The words below one another, white on nothing. */
export function wordsPicture() {
  const [wide, tall] = [512, 128];
  const drawing = sheet(wide, tall * WORDS.length);
  drawing.font = `600 ${0.62 * tall}px "Avenir Next", Avenir, "Segoe UI", "Noto Sans", "DejaVu Sans", sans-serif`;
  drawing.textAlign = "center";
  drawing.textBaseline = "middle";
  drawing.fillStyle = "#fff";
  if ("letterSpacing" in drawing) drawing.letterSpacing = "8px";
  WORDS.forEach((word, row) => drawing.fillText(word, wide / 2, (row + 0.53) * tall, wide));
  return drawing.canvas;
}

/** Where the words lie: the corner left and rear of each, beside a seat of a box. */
export function wordPlaces([left, right, rear, front]) {
  const [beyond, beside] = [16, 12];
  const middle = (rear + front) / 2 - WORD_TALL_MM / 2;
  return [
    [-WORD_WIDE_MM / 2, front + beyond],
    [-WORD_WIDE_MM / 2, rear - beyond - WORD_TALL_MM],
    [left - beside - WORD_WIDE_MM, middle],
    [right + beside, middle],
  ];
}

function sheet(wide, tall) {
  const canvas = document.createElement("canvas");
  canvas.width = wide;
  canvas.height = tall;
  return canvas.getContext("2d", { willReadFrequently: true });
}

// Three means over a square are nearly a bell.
function blurred(mask, reach) {
  let now = mask;
  for (let turn = 0; turn < 3; turn += 1)
    for (const [step, jump] of [
      [1, SIZE],
      [SIZE, 1],
    ])
      now = meanAlong(now, reach, step, jump);
  return now;
}

function meanAlong(from, reach, step, jump) {
  const to = new Float32Array(from.length);
  for (let line = 0; line < SIZE; line += 1) {
    let sum = 0;
    for (let at = -reach; at < SIZE + reach; at += 1) {
      if (at + reach < SIZE && at + reach >= 0) sum += from[line * jump + (at + reach) * step];
      if (at - reach - 1 >= 0) sum -= from[line * jump + (at - reach - 1) * step];
      if (at >= 0 && at < SIZE) to[line * jump + at * step] = sum / (2 * reach + 1);
    }
  }
  return to;
}
