// What follows while somebody slides: beside the sliders where there is room, above them on a telephone, where it folds away.

import { h } from "./element.js";

let isOpen = true;

/** Children that stay in sight; folded, the words alone stay. On a wide window it cannot be folded. */
export function followingPanel(words, ...children) {
  const panel = h("details", { class: "stays follows", open: isOpen }, h("summary", {}, words), children);
  panel.addEventListener("toggle", () => {
    isOpen = panel.open;
  });
  const wide = window.matchMedia("(min-width: 58rem)");
  const unfold = () => {
    if (wide.matches) panel.open = true;
  };
  wide.addEventListener("change", unfold);
  unfold();
  return panel;
}
