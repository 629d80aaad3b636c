// Notices: what the maker has to know about what is kept here. They stand under the head until they are done with.

import { h, fill } from "../parts/element.js";
import { whenStill } from "../parts/redraw-in-place.js";

const told = new Map();

/** Say something; a notice of the same name takes its place. `go` is a way on: `{words, href}` or `{words, onclick}`. */
export function notice(name, words, go = null) {
  if (told.get(name)?.words === words) return;
  told.set(name, { words, go });
  whenStill(draw);
}

/** Take a notice away. */
export function unsay(name) {
  if (told.delete(name)) whenStill(draw);
}

function draw() {
  const place = document.getElementById("notices");
  if (!place) return;
  fill(
    place,
    [...told].map(([name, { words, go }]) =>
      h(
        "div",
        { class: "notice row" },
        h("p", {}, words),
        go?.href ? h("a", { class: "button", href: go.href }, go.words) : null,
        go?.onclick ? h("button", { type: "button", onclick: go.onclick }, go.words) : null,
        h(
          "button",
          { type: "button", class: "quiet", onclick: () => unsay(name) },
          "Done",
          h("span", { class: "unseen" }, " with this notice"),
        ),
      ),
    ),
  );
}
