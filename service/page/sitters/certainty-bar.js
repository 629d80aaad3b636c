// How surely a measure is known: a bar from the low to the high end of 9 in 10, on what is usual for an adult.

import { h } from "../parts/element.js";

const [WIDTH, HEIGHT] = [120, 14];

export function certainty(one, kind) {
  const at = (value) => (WIDTH * (value - kind.lowest)) / (kind.highest - kind.lowest);
  const [low, high] = [at(one.low_90), at(one.high_90)];
  return h(
    "svg",
    { class: "certainty", viewBox: `0 0 ${WIDTH} ${HEIGHT}`, "aria-hidden": "true" },
    h("line", { x1: 0, x2: WIDTH, y1: HEIGHT / 2, y2: HEIGHT / 2, class: "thin" }),
    h("rect", { x: low, width: Math.max(high - low, 2), y: 3, height: HEIGHT - 6, class: "span" }),
    h("line", { x1: at(one.value), x2: at(one.value), y1: 0, y2: HEIGHT, class: "at" }),
  );
}
