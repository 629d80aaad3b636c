// Large keys for one hand: a reading is keyed in with the thumb, in mm or in inches with fractions; a keyboard works too.

import { h } from "../parts/element.js";
import { job } from "../job/job.js";
import { HOLD_MS, onHold } from "./gestures.js";

const KEYS = {
  mm: ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", "⌫"],
  in: ["7", "8", "9", "4", "5", "6", "1", "2", "3", "and", "0", "/", "½", "¼", "⌫"],
};
const WRITTEN = { and: " ", "½": "1/2", "¼": "1/4" };
const SPOKEN = { "⌫": "delete; held: back", and: "and, between inches and fraction", "/": "over", ".": "point" };
const LONGEST = 12;
const TYPED_INTO = "input, select, textarea, dialog";
const CONTROLS = `${TYPED_INTO}, button, a, summary, [contenteditable]`;
const KEY_WORDS = {
  mm: "digits and the point make a reading",
  in: "digits, space and / make a reading, such as 2 3/8",
};

/** What is said of a key that means nothing at the gauge. */
export function wrongKeyWords(key) {
  return `“${key}” is no key here: ${KEY_WORDS[job.units]}. Enter goes on, the arrows go to and fro, R reads again.`;
}

/**
 * The keys; `value` reads what is keyed so far, `put` takes what it becomes, `next` and `back` go to other crossings,
 * `again` begins a further reading, `wrong` is told of a key that means nothing here. `room` is what is about the
 * crossing; where it is not alone in the window, it leaves to the page what is pressed elsewhere.
 */
export function keypad({ value, put, next, back, again, wrong, room, isAlone }) {
  const press = (key) => put(pressed(value(), key));
  const pad = h(
    "div",
    {
      class: `keys keys-${job.units}`,
      role: "group",
      tabindex: -1,
      "aria-label": "Keys for the reading; digits of a keyboard work as well, Enter goes on, the arrows to and fro",
    },
    KEYS[job.units].map((key) => keyButton(key, press, back)),
    h("button", { type: "button", class: "turn", onclick: back }, "Back"),
    h("button", { type: "button", class: "go turn", onclick: next }, "Next"),
  );
  // After a touch the keyboard’s Enter goes on and types no key again.
  pad.addEventListener("click", (event) => {
    if (event.detail && event.target.closest("button:not(.turn)")) pad.focus({ preventScroll: true });
  });
  const isHere = ({ target }) => isAlone || room.contains(target) || !target.closest?.(CONTROLS);
  const { down, up } = keyboard({ press, next, back, again, wrong });
  listen(room, {
    keydown: (event) => {
      if (isAlone || room.contains(event.target)) return down(event);
      // Elsewhere the page's own keys stay the page's.
      if (!isHere(event) || !isReading(event.key)) return undefined;
      pad.focus({ preventScroll: true });
      return down(event);
    },
    keyup: (event) => isHere(event) && up(event),
  });
  return pad;
}

function keyButton(key, press, back) {
  const button = h("button", { type: "button", "aria-label": SPOKEN[key] ?? null, onclick: () => press(key) }, key);
  if (key === "⌫") onHold(button, back);
  return button;
}

function isReading(key) {
  return key.length === 1 && key !== " " && (KEYS[job.units].includes(key) || key === ",");
}

function listen(room, heard) {
  for (const [name, listener] of Object.entries(heard)) {
    const here = (event) => {
      if (room.isConnected) listener(event);
      else document.removeEventListener(name, here);
    };
    document.addEventListener(name, here);
  }
}

// A key that is held deletes nothing: the reading stands as it was.
function keyboard({ press, next, back, again, wrong }) {
  let since = null;
  const going = { ArrowRight: next, ArrowLeft: back, PageDown: next, PageUp: back };
  const acts = (event, isButton) =>
    going[event.key] ?? (event.key === "Enter" && !isButton ? next : event.key.toLowerCase() === "r" ? again : null);
  const deleting = (event) => {
    event.preventDefault();
    if (!event.repeat) since = event.timeStamp;
    else if (since !== null && event.timeStamp - since > HOLD_MS) {
      since = null;
      back();
    }
  };
  return {
    down: (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest?.(TYPED_INTO)) return;
      if (event.key === "Backspace") return deleting(event);
      const isButton = Boolean(event.target.closest?.("button, a, summary"));
      const key = { " ": isButton ? null : "and", ",": "." }[event.key] ?? event.key;
      const act = acts(event, isButton);
      if (!act && !KEYS[job.units].includes(key)) {
        if (event.key.length === 1 && event.key !== " ") wrong(event.key);
        return;
      }
      event.preventDefault();
      if (!act) press(key);
      else if (!event.repeat) act();
    },
    up: (event) => {
      if (event.key !== "Backspace" || since === null) return;
      since = null;
      press("⌫");
    },
  };
}

/** What is keyed after one more key. */
export function pressed(text, key) {
  if (key === "⌫") return text.slice(0, -1);
  const more = WRITTEN[key] ?? key;
  const parted = more.length > 1 && /\d$/.test(text) ? ` ${more}` : more;
  return text.length + parted.length > LONGEST ? text : (text + parted).replace(/^ /, "");
}
