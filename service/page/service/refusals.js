// Refusals of the service: beside the field that caused them where it is on the page, else at the top with the way to it.

import { h, fill } from "../parts/element.js";
import { onSeat, seat, shape } from "../seat/shaped-seat.js";

const STEP_OF = {
  blank: "wood",
  chair: "wood",
  joint: "wood",
  board: "wood",
  wishes: "wishes",
  sitter: "sitters",
  mark: "bench",
  adjustment: "bench",
  tool: "wood",
};
const STEP_NAMES = { sitters: "Who sits", wood: "The wood and the chair", wishes: "Wishes", bench: "At the bench" };

/** Which key a refusal is about: `{table, key, number}`, each undefined where the words do not say. */
export function keyOf(words) {
  const table = /\[\[?(\w+)\]\]?\s*(\d+)?/.exec(words);
  const key = /\b([a-z_]+_(?:mm|kg|deg))\b/.exec(words) ?? /^(?:\[\w+\]\s+)?'?([a-z_]+)'?\s*=/.exec(words);
  return { table: table?.[1], number: table?.[2] ? Number(table[2]) : undefined, key: key?.[1] };
}

/** A place for the service's refusal; it fills and empties itself as the seat changes. `root` is where fields may be. */
export function refusalPlace(root, here) {
  const place = h("div", { role: "alert" });
  const show = () => {
    clearFields(root);
    if (seat.state !== "refused" || !seat.refusal) return fill(place);
    return fill(place, boxOf(root, here, seat.refusal));
  };
  onSeatWhileShown(place, show);
  queueMicrotask(show);
  return place;
}

/** Listen to the seat for as long as an element stands on the page. */
export function onSeatWhileShown(element, listener) {
  const end = onSeat((news) => {
    if (element.isConnected) listener(news);
    else if (listener.wasShown) end();
    if (element.isConnected) listener.wasShown = true;
  });
}

function boxOf(root, here, refusal) {
  const told = keyOf(refusal.key ?? refusal.message);
  const field = told.key && findField(root, told);
  if (field) {
    markField(field, refusal.message);
    return h(
      "p",
      { class: "refusal" },
      "No seat yet: see the field below that is marked. ",
      h(
        "a",
        {
          href: `#${here}`,
          onclick: (event) => {
            event.preventDefault();
            field.querySelector("input")?.focus();
          },
        },
        "Go to it",
      ),
    );
  }
  const step =
    STEP_OF[told.table] ??
    (told.key && /stature|mass|breadth|length|popliteal|thigh|spacing/.test(told.key) ? "sitters" : null);
  return h(
    "div",
    { class: "refusal" },
    h("p", {}, refusal.message),
    step && step !== here ? h("a", { href: `#${step}` }, `Go to “${STEP_NAMES[step]}”`) : null,
    refusal.status === 0 || refusal.status === 503
      ? h(
          "button",
          {
            type: "button",
            onclick: () => {
              seat.for = "";
              shape();
            },
          },
          "Try again",
        )
      : null,
  );
}

function findField(root, { table, key, number }) {
  const named = [`${table}.${key}`, number ? `${table}.${number - 1}.${key}` : null].filter(Boolean);
  for (const one of named) {
    const field = root.querySelector(`[data-key="${one}"]`);
    if (field) return field;
  }
  return root.querySelector(`[data-key$=".${key}"]`);
}

function markField(field, words) {
  for (let open = field.closest("details"); open; open = open.parentElement.closest("details")) open.open = true;
  const place = field.querySelector(".refusal");
  const input = field.querySelector("input, select");
  if (place) {
    fill(place, words);
    place.hidden = false;
    place.dataset.told = "service";
  }
  input?.setAttribute("aria-invalid", "true");
}

function clearFields(root) {
  for (const place of root.querySelectorAll('.refusal[data-told="service"]')) {
    place.hidden = true;
    delete place.dataset.told;
    place.closest("[data-key]")?.querySelector("[aria-invalid]")?.removeAttribute("aria-invalid");
  }
}
