// The blank as it lies in the picture, with its first points numbered: which handle goes where.

import { h } from "../../parts/element.js";
import { FRONTS, known, photo, signOf } from "./photo.js";

const MARGIN = 62;

/** The sketch, turned as the picture is. */
export function blankSketch() {
  const { across, ahead } = FRONTS[photo.front];
  const at = ([x, y]) => [0, 1].map((k) => x * across[k] + y * ahead[k]);
  const outline = photo.outline.map(at);
  const [low, high] = [Math.min, Math.max].map((most) => [0, 1].map((k) => most(...outline.map((one) => one[k]))));
  const ys = photo.outline.map(([, y]) => y);
  const [rear, front] = [Math.min(...ys), Math.max(...ys)];
  const half = Math.max(...photo.outline.map(([x]) => x));
  const line = [at([0, rear]), at([0, front])];
  const word = (words, place) => {
    const [x, y] = at(place);
    return h("text", { x, y: y + 8, class: "letter strong middle photo-letter" }, words);
  };
  return h(
    "svg",
    {
      viewBox: `${low[0] - MARGIN} ${low[1] - MARGIN} ${high[0] - low[0] + 2 * MARGIN} ${high[1] - low[1] + 2 * MARGIN}`,
      class: "drawing photo-sketch",
      role: "img",
      "aria-label": `Sketch of the blank as it lies in the picture, its front ${FRONTS[photo.front].words}: ${known()
        .map((one) => `${signOf(one)} is the ${one.name}`)
        .join(", ")}.`,
    },
    h("polygon", { points: outline.map((one) => one.join()).join(" "), class: "wood-face" }),
    h("line", { x1: line[0][0], y1: line[0][1], x2: line[1][0], y2: line[1][1], class: "centre" }),
    word("FRONT", [0, front - 62]),
    word("LEFT", [-half * 0.52, (rear + front) / 2]),
    word("RIGHT", [half * 0.52, (rear + front) / 2]),
    known().map((one) => {
      const [x, y] = at([one.x_mm, one.y_mm]);
      const state = one.id === photo.chosen ? " chosen" : one.placed ? " placed" : "";
      return h(
        "g",
        {},
        h("circle", { cx: x, cy: y, r: 26, class: `photo-place${state}` }),
        h("text", { x, y: y + 10, class: `photo-number${state}` }, signOf(one)),
      );
    }),
  );
}
