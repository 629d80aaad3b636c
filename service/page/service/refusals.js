// Refusals of the service in the page's words: beside the field at fault where it is on the page, else at the top with the
// way to it; with what is advised as a button.

import { h, fill } from "../parts/element.js";
import { job } from "../job/job.js";
import { faultOfKept, KINDS } from "../parts/quantity-field.js";
import { whenStill } from "../parts/redraw-in-place.js";
import { onSeat, seat, shape } from "../seat/shaped-seat.js";
import { oldLine } from "../seat/old-mark.js";
import { capital, fieldAt, inPageWords, partsInWords, subjectOf } from "./page-words.js";
import { tableAt, waysOut } from "./ways-out.js";

const STEP_OF = {
  blank: "wood",
  chair: "wood",
  joint: "wood",
  board: "wood",
  tool: "wood",
  wood: "wood",
  built: "wood",
  wishes: "wishes",
  order: "wishes",
  sitter: "sitters",
  mark: "bench/marks",
  adjustment: "bench/remarks",
};
const STEP_NAMES = {
  sitters: "Who sits",
  wood: "The wood and the chair",
  wishes: "Wishes",
  "bench/marks": "Fitting marks",
  "bench/remarks": "Client’s remarks",
};

/** A refusal as the page says it. */
export function refusalWords({ message, refused }) {
  const place = refused?.place;
  if (!place) return inPageWords(message);
  const own = typedFault(place);
  if (own) return `${subjectOf(place)}: ${own}`;
  if (!refused.allowed.length) return `${subjectOf(place)}: ${inPageWords(withoutPlace(message))}`;
  const given = refused.given.length ? `${refused.given[0].words ? ", " : " "}${partsInWords(refused.given)}` : "";
  const todo = todoWords(refused);
  return `${subjectOf(place)}${given}: ${partsInWords(refused.allowed)}.${todo}`;
}

// A list is typed otherwise on the page than it is written in a file.
function todoWords({ place, todo, ways }) {
  const kind = KINDS[fieldAt(place)?.kind];
  if (kind?.isList && todo.some(({ words }) => words?.includes("["))) return ` Give ${kind.allowed()}.`;
  if (!todo.length) return "";
  const words = partsInWords(todo);
  return ways.length ? ` Or ${words}.` : ` ${capital(words)}.`;
}

// What could not be read as it was typed is told as beside its field.
function typedFault(place) {
  const field = fieldAt(place);
  const at = tableAt(place);
  const value = field && at?.table[place.key];
  if (!["length", "mass"].includes(field?.kind) || typeof value !== "string") return null;
  return faultOfKept(field.kind, value, job.typed[`${at.as}.${place.key}`], field.range ?? null);
}

// A message says first where the fault is; the page says that itself.
function withoutPlace(message) {
  return message.replace(/^[^:]*?(?: = |: )/, "");
}

/** A place for the service's refusal; it fills and empties itself as the seat changes. `root` is where fields may be. */
export function refusalPlace(root, here) {
  const place = h("div", { role: "alert" });
  const show = () => {
    clearFields(root);
    const refusal = seat.state === "refused" ? seat.refusal : null;
    return fill(place, oldLine(), refusal && boxOf(root, here, refusal));
  };
  onSeatWhileShown(place, () => whenStill(show));
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
  const place = refusal.refused?.place;
  const words = refusalWords(refusal);
  const field = place && findField(root, place);
  const ways = place ? waysOut(refusal.refused) : null;
  if (field) {
    markField(field, words, ways);
    return h(
      "p",
      { class: "refusal" },
      "No seat: see the field marked below. ",
      h(
        "a",
        {
          href: `#${here}`,
          onclick: (event) => {
            event.preventDefault();
            field.querySelector("input, select, textarea")?.focus();
          },
        },
        "Go to it",
      ),
    );
  }
  const step = STEP_OF[place && (place.table || "order")];
  return h(
    "div",
    { class: "refusal" },
    h("p", {}, words),
    ways,
    step && step.split("/")[0] !== here ? h("a", { class: "button", href: `#${step}` }, `Go to “${STEP_NAMES[step]}”`) : null,
    refusal.status === 0 || refusal.status === 503 ? again() : null,
  );
}

function again() {
  const onclick = () => {
    seat.for = "";
    shape();
  };
  return h("button", { type: "button", onclick }, "Try again");
}

function findField(root, { table, number, key }) {
  if (!key) return null;
  const row = number ? `${table}.${number - 1}` : table || "order";
  return (
    root.querySelector(`[data-key="${row}.${key}"]`) ?? root.querySelector(`[data-key="${row}.habit.${key}"]`) ?? null
  );
}

function markField(field, words, ways) {
  for (let open = field.closest("details"); open; open = open.parentElement.closest("details")) open.open = true;
  let place = field.querySelector(".refusal");
  if (!place) {
    place = h("div", { class: "refusal" });
    field.append(place);
  }
  fill(place, words, ways);
  place.hidden = false;
  place.dataset.told = "service";
  field.querySelector("input, select, textarea")?.setAttribute("aria-invalid", "true");
}

function clearFields(root) {
  for (const place of root.querySelectorAll('.refusal[data-told="service"]')) {
    fill(place);
    place.hidden = true;
    delete place.dataset.told;
    place.closest("[data-key]")?.querySelector("[aria-invalid]")?.removeAttribute("aria-invalid");
  }
}
