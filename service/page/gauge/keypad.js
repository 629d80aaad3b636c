// Large keys for one hand: a reading is keyed in with the thumb, in mm or in inches with fractions; a keyboard works too.

import { h } from "../parts/element.js";
import { job } from "../job/job.js";

const KEYS = {
  mm: ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", "⌫"],
  in: ["7", "8", "9", "4", "5", "6", "1", "2", "3", "and", "0", "/", "½", "¼", "⌫"],
};
const WRITTEN = { and: " ", "½": "1/2", "¼": "1/4" };
const SPOKEN = { "⌫": "delete", and: "and, between inches and fraction", "/": "over", ".": "point" };
const LONGEST = 12;

/** The keys; `value` reads what is keyed so far, `put` takes what it becomes, `next` and `back` go to other crossings. */
export function keypad({ value, put, next, back }) {
  const press = (key) => put(pressed(value(), key));
  const pad = h(
    "div",
    {
      class: `keys keys-${job.units}`,
      role: "group",
      tabindex: -1,
      "aria-label": "Keys for the reading; digits of a keyboard work as well",
    },
    KEYS[job.units].map((key) =>
      h("button", { type: "button", "aria-label": SPOKEN[key] ?? null, onclick: () => press(key) }, key),
    ),
    h("button", { type: "button", class: "turn", onclick: back }, "Back"),
    h("button", { type: "button", class: "go turn", onclick: next }, "Next"),
  );
  pad.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const key =
      { Backspace: "⌫", " ": document.activeElement === pad ? "and" : null, ",": "." }[event.key] ?? event.key;
    if (KEYS[job.units].includes(key)) {
      event.preventDefault();
      press(key);
    } else if (event.key === "Enter" && document.activeElement === pad) next();
  });
  return pad;
}

/** What is keyed after one more key. */
export function pressed(text, key) {
  if (key === "⌫") return text.slice(0, -1);
  const more = WRITTEN[key] ?? key;
  const parted = more.length > 1 && /\d$/.test(text) ? ` ${more}` : more;
  return text.length + parted.length > LONGEST ? text : (text + parted).replace(/^ /, "");
}
