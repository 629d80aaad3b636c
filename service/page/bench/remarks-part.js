// At the bench: what the client says of mock-up or roughed seat, kept as adjustments, each with its effect; with undo.

import { h, fill, newId } from "../parts/element.js";
import { entryForm } from "../parts/entry-form.js";
import { contactMap, placeWords } from "../drawings/contact-map.js";
import { draftOf, keepDrafts } from "../job/form-drafts.js";
import { change, itemId, job } from "../job/job.js";
import { stepMm } from "../parts/lengths.js";
import { choice } from "../parts/choice-field.js";
import { quantity } from "../parts/quantity-field.js";
import { chosenSitting, seat, shape } from "../seat/shaped-seat.js";
import { live } from "../seat/step.js";
import { sitterChoice } from "../seat/sitter-choice.js";
import { ACTIONS, remarkList } from "./remark-list.js";
import { choicesOf, fieldsOf, fromZero, vocabulary } from "../order/vocabulary.js";

const SIDES = choicesOf("adjustment", "side", { both: "either side", middle: "the middle" });
const TAGS = choicesOf("adjustment", "tag", { look: "the look of it" });
const FIELDS = fromZero(fieldsOf(vocabulary.tables.adjustment));
const FRESH = {
  action: "deepen",
  side: "both",
  x_mm: 60,
  y_mm: 150,
  radius_mm: 40,
  amount_mm: 1.5,
  why: "",
  tag: "comfort",
  typed: {},
};
let draft = FRESH;

export function remarks() {
  draft = draftOf("remark", FRESH);
  const form = h("div");
  const list = h("div");
  const map = live(() => remarkMap(redraw));
  // Leaving a field only moves the circle: were the form drawn anew, the press that left it would come to nothing.
  const moved = () => fill(map, remarkMap(redraw));
  function redraw() {
    fill(form, remarkForm(redraw, moved));
    fill(list, remarkList(redraw));
    fill(map, remarkMap(redraw));
  }
  redraw();
  return [
    h(
      "p",
      { class: "lead" },
      "Press the place on the map, say what the client said, and see what it does for everyone who sits there.",
    ),
    h(
      "div",
      { class: "columns two" },
      h("div", {}, sitterChoice(), map),
      h(
        "div",
        {},
        form,
        live(() => remarkList(redraw)),
      ),
    ),
  ];
}

function remarkMap(redraw) {
  if (!seat.grid) return null;
  const number = (key, otherwise) => (typeof draft[key] === "number" ? draft[key] : otherwise);
  const circle = {
    x_mm: signed(number("x_mm", 0)),
    y_mm: number("y_mm", 0),
    radius_mm: number("radius_mm", 5),
    both: draft.side === "both",
  };
  return h(
    "section",
    { class: "card", "aria-label": "Where" },
    contactMap({
      grid: seat.grid,
      sitting: chosenSitting(),
      chosen: circle,
      words: `The place chosen: ${placeWords(circle.x_mm, circle.y_mm, circle.both)}. It can be typed as well.`,
      onPlace: (x, y) => {
        Object.assign(draft, { x_mm: Math.abs(Math.round(x)), y_mm: Math.max(0, Math.round(y)) });
        if (draft.side !== "both") draft.side = Math.abs(x) < 8 ? "middle" : x < 0 ? "left" : "right";
        keepDrafts();
        redraw();
      },
    }),
  );
}

function signed(x) {
  return draft.side === "left" ? -Math.abs(x) : draft.side === "middle" ? 0 : Math.abs(x);
}

function remarkForm(redraw, moved) {
  const told = h("p", { class: "refusal", role: "alert", hidden: true });
  const why = newId("why");
  const length = (key) => stepper(key, FIELDS[key], redraw, moved);
  const add = () => {
    const missing = ["x_mm", "y_mm", "radius_mm", "amount_mm"].some((key) => typeof draft[key] !== "number");
    fill(told, missing ? "Give the place, how wide and how much, each as a length." : "");
    told.hidden = !missing;
    if (missing) return;
    change((one) => one.adjustments.push({ ...entryOf(), id: itemId() }));
    draft.why = "";
    keepDrafts();
    redraw();
    shape();
  };
  return entryForm(
    "A remark",
    add,
    h(
      "div",
      { class: "field" },
      h("label", { for: why }, "What the client said"),
      h(
        "textarea",
        {
          id: why,
          maxlength: vocabulary.tables.adjustment.keys.why.longest,
          rows: 2,
          oninput: (event) => {
            draft.why = event.target.value;
            keepDrafts();
          },
        },
        draft.why,
      ),
    ),
    drafted("What to do", ACTIONS, "action", redraw),
    drafted("Where, on the sitter’s side", SIDES, "side", redraw),
    h(
      "div",
      { class: "pairs" },
      length("amount_mm"),
      length("radius_mm"),
      draft.side === "middle" ? null : length("x_mm"),
      length("y_mm"),
    ),
    drafted("For", TAGS, "tag", () => {}),
    told,
    h("button", { type: "submit", class: "go" }, "Add this remark"),
  );
}

function drafted(words, all, key, after) {
  return choice(words, Object.entries(all), draft[key], (value) => {
    draft[key] = value;
    keepDrafts();
    const at = document.activeElement?.closest("fieldset");
    after();
    refocus(at, words);
  });
}

// The form is drawn anew; the keyboard stays where it was.
function refocus(was, words) {
  if (!was) return;
  const again = [...document.querySelectorAll("fieldset")].find(
    (one) => one.querySelector("legend")?.textContent === words,
  );
  again?.querySelector("input:checked")?.focus();
}

function stepper(key, { label, range, hint }, redraw, moved) {
  const step = key === "amount_mm" ? stepMm(job.units) : 5 * stepMm(job.units) * 2;
  const by = (sign) => () => {
    draft[key] = Math.min(Math.max((Number(draft[key]) || 0) + sign * step, range[0]), range[1]);
    delete draft.typed[`adjustment.${key}`];
    keepDrafts();
    redraw();
  };
  const field = quantity({
    key: `adjustment.${key}`,
    label,
    range,
    hint,
    value: draft[key],
    typed: () => draft.typed,
    put: (value) => {
      draft[key] = value;
      keepDrafts();
    },
    after: moved,
  });
  field
    .querySelector(".entry")
    .append(
      h("button", { type: "button", "aria-label": `${label}: less`, onclick: by(-1) }, "−"),
      h("button", { type: "button", "aria-label": `${label}: more`, onclick: by(1) }, "+"),
    );
  return field;
}

function entryOf() {
  const { action, side, x_mm: x, y_mm: y, radius_mm: radius, amount_mm: amount, why, tag } = draft;
  const entry = {
    date: new Date().toISOString().slice(0, 10),
    action,
    x_mm: side === "middle" ? 0 : Math.abs(x),
    y_mm: y,
    radius_mm: radius,
    amount_mm: amount,
    side,
    tag,
  };
  if (why.trim()) entry.why = why.trim().replace(/\s+/g, " ");
  return entry;
}
