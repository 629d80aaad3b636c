// Small drawings of the outlines that the tool knows, seen from above with the front at the top.

import { h } from "../parts/element.js";
import { vocabulary } from "../order/vocabulary.js";

const WIDE = 70;
const MARGIN = 5;

export function outlineDrawing(name) {
  const points = vocabulary.outlines[name];
  const [width, depth] = [0, 1].map((axis) => {
    const along = points.map((point) => point[axis]);
    return Math.max(...along) - Math.min(...along);
  });
  const scale = WIDE / width;
  const drawn = points.map(([x, y]) => `${(x + width / 2) * scale + MARGIN},${(depth - y) * scale + MARGIN}`);
  return h(
    "svg",
    { viewBox: `0 0 ${WIDE + 2 * MARGIN} ${depth * scale + 2 * MARGIN}`, "aria-hidden": "true", class: "outline" },
    h("polygon", { points: drawn.join(" ") }),
  );
}
