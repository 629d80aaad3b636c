// The magnifier: what is round the chosen point, enlarged, on the side of the picture away from the finger.

import { h } from "../../parts/element.js";

const [LARGE, SMALL] = [148, 112];
const NARROW = 520;
const ENLARGED = 5;
// Enlarged or not, a pixel of the picture is never shown larger than this.
const MOST_SCALE = 10;

/** A magnifier: `show` draws what is round a point that lies `left` px from the left of `width`; `hide` takes it away. */
export function loupe() {
  const dense = window.devicePixelRatio || 1;
  const canvas = h("canvas", { class: "photo-loupe", hidden: true, "aria-hidden": "true" });
  const pen = canvas.getContext("2d");
  return {
    element: canvas,
    hide: () => {
      canvas.hidden = true;
    },
    show(picture, { u, v }, scale, left, width) {
      const shown = Math.min(Math.max(scale * ENLARGED, 1), MOST_SCALE);
      const size = width < NARROW ? SMALL : LARGE;
      canvas.hidden = false;
      canvas.classList.toggle("small", size === SMALL);
      if (canvas.width !== Math.round(size * dense)) canvas.width = canvas.height = Math.round(size * dense);
      canvas.classList.toggle("at-right", left < width / 2);
      pen.setTransform(dense, 0, 0, dense, 0, 0);
      pen.fillStyle = "#222";
      pen.fillRect(0, 0, size, size);
      const own = picture.bitmap.width / picture.width;
      pen.imageSmoothingEnabled = shown < 4;
      pen.setTransform((dense * shown) / own, 0, 0, (dense * shown) / own, dense * (size / 2 - u * shown), dense * (size / 2 - v * shown));
      pen.drawImage(picture.bitmap, 0, 0);
      pen.setTransform(dense, 0, 0, dense, 0, 0);
      for (const [colour, thick] of [
        ["#fff", 4],
        ["#111", 1.5],
      ])
        cross(pen, size / 2, colour, thick);
    },
  };
}

function cross(pen, middle, colour, thick) {
  const [gap, end] = [5, 28];
  pen.strokeStyle = colour;
  pen.lineWidth = thick;
  pen.beginPath();
  for (const [dx, dy] of [
    [1, 0],
    [-1, 0],
    [0, 1],
    [0, -1],
  ]) {
    pen.moveTo(middle + dx * gap, middle + dy * gap);
    pen.lineTo(middle + dx * end, middle + dy * end);
  }
  pen.stroke();
}
