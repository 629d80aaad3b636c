// At the bench: marks made on the bare blank under the sitter; they correct body and place.

import { h, fill, newId } from "../parts/element.js";
import { entryForm } from "../parts/entry-form.js";
import { contactMap } from "../drawings/contact-map.js";
import { draftOf, keepDrafts } from "../job/form-drafts.js";
import { change, itemId, job } from "../job/job.js";
import { writeLength } from "../parts/lengths.js";
import { nameOf } from "../order/order-of-job.js";
import { quantity } from "../parts/quantity-field.js";
import { seat, shape } from "../seat/shaped-seat.js";
import { live } from "../seat/step.js";
import { said } from "./marks-effect.js";
import { furtherOf } from "../order/table-rows.js";
import { sayRemoved } from "../job/undo-removal.js";
import { askedFor, fieldsOf, fromZero, sentence, vocabulary } from "../order/vocabulary.js";

const KINDS = vocabulary.marks;
const FIELDS = fromZero(askedFor(fieldsOf(vocabulary.tables.mark), "first"));
const FRESH = { name: "sit bone", side: "left", sitter: 0, typed: {} };
let draft = FRESH;

export function marks() {
  draft = draftOf("mark", FRESH);
  const list = h("div");
  const form = h("div");
  const redraw = () => {
    fill(form, markForm(redraw));
    fill(list, markList(redraw));
  };
  redraw();
  return [
    h(
      "p",
      { class: "lead" },
      "Let the sitter sit on the bare blank and mark it. Two or three marks already move the hollow to where this body really sits.",
    ),
    h("div", { class: "columns two" }, h("div", {}, form, list), h("div", {}, live(marksMap), live(said))),
  ];
}

function markForm(redraw) {
  const kind = KINDS[draft.name];
  if (!kind.sides.includes(draft.side)) [draft.side] = kind.sides;
  const told = h("p", { class: "refusal", role: "alert", hidden: true });
  const pick = newId("mark");
  const add = () => {
    const missing = Object.keys(FIELDS).some((key) => typeof draft[key] !== "number");
    fill(told, missing ? "Give both distances: from the centre line and from the rear edge." : "");
    told.hidden = !missing;
    if (missing) return;
    change((one) => one.marks.push({ ...markOf(), id: itemId() }));
    Object.assign(draft, {
      x_mm: undefined,
      y_mm: undefined,
      typed: {},
      side: draft.side === "left" ? "right" : draft.side === "right" ? "left" : draft.side,
    });
    keepDrafts();
    redraw();
    document.getElementById("mark-added")?.focus();
    shape();
  };
  return entryForm(
    "A mark",
    add,
    job.sitters.length > 1 && whose(),
    h(
      "div",
      { class: "field" },
      h("label", { for: pick }, "Which"),
      h(
        "select",
        {
          id: pick,
          onchange: (event) => {
            draft.name = event.target.value;
            keepDrafts();
            redraw();
            document.getElementById(pick)?.focus();
          },
        },
        Object.keys(KINDS).map((name) => h("option", { value: name, selected: name === draft.name }, name)),
      ),
      h("p", { class: "hint" }, sentence(kind.how)),
    ),
    kind.sides.length > 1 &&
      h(
        "fieldset",
        { class: "field" },
        h("legend", {}, "The sitter’s side"),
        h(
          "div",
          { class: "choices" },
          kind.sides.map((side) =>
            h(
              "label",
              {},
              h("input", {
                type: "radio",
                name: "mark-side",
                checked: side === draft.side,
                onchange: () => {
                  draft.side = side;
                  keepDrafts();
                },
              }),
              h("span", {}, side),
            ),
          ),
        ),
      ),
    h(
      "div",
      { class: "pairs" },
      Object.entries(FIELDS).map(([key, field]) =>
        quantity({
          ...field,
          key: `mark.${key}`,
          hint: "",
          value: draft[key],
          typed: () => draft.typed,
          put: (value) => {
            draft[key] = value;
            keepDrafts();
          },
        }),
      ),
    ),
    told,
    h("button", { type: "submit", class: "go" }, "Add this mark"),
  );
}

function whose() {
  const id = newId("whose");
  return h(
    "div",
    { class: "field" },
    h("label", { for: id }, "Whose"),
    h(
      "select",
      {
        id,
        onchange: (event) => {
          draft.sitter = Number(event.target.value);
          keepDrafts();
        },
      },
      job.sitters.map((one, number) =>
        h("option", { value: number, selected: number === draft.sitter }, nameOf(one, number)),
      ),
    ),
  );
}

function markOf() {
  const { name, side, x_mm: x, y_mm: y } = draft;
  const mark = { name, side, x_mm: side === "left" ? -x : x, y_mm: y };
  if (job.sitters.length > 1) mark.sitter = nameOf(job.sitters[draft.sitter] ?? job.sitters[0], draft.sitter);
  return mark;
}

function markList(redraw) {
  if (!job.marks.length) return h("p", { class: "small", id: "mark-added", tabindex: -1 }, "No marks yet.");
  return h(
    "section",
    { class: "card", "aria-labelledby": "mark-added" },
    h("h2", { id: "mark-added", tabindex: -1 }, `Marks, ${job.marks.length}`),
    h(
      "ol",
      { class: "entries" },
      job.marks.map((mark, number) =>
        h(
          "li",
          { "data-key": `mark.${number}` },
          h(
            "span",
            {},
            `${mark.sitter ? `${mark.sitter}: ` : ""}${mark.name}${mark.side === "middle" ? "" : `, ${mark.side}`}: `,
            say(Math.abs(mark.x_mm)),
            " from the centre line, ",
            say(mark.y_mm),
            " from the rear edge",
          ),
          h(
            "button",
            {
              type: "button",
              class: "quiet",
              onclick: () => {
                change((one) => {
                  one.marks = one.marks.filter(({ id }) => id !== mark.id);
                });
                redraw();
                sayRemoved("The mark is", (one) => one.marks.splice(number, 0, mark), redraw);
                shape();
                document.getElementById("mark-added").focus();
              },
            },
            "Remove",
            h("span", { class: "unseen" }, ` mark ${number + 1}`),
          ),
          furtherOf("mark", mark, number),
        ),
      ),
    ),
  );
}

function say(value) {
  return typeof value === "number" ? writeLength(value, job.units) : String(value);
}

function marksMap() {
  if (!seat.grid) return null;
  const places = job.marks.filter((one) => typeof one.x_mm === "number" && typeof one.y_mm === "number");
  // Of several sitters the one is shown whose mark was made last.
  const whom = job.marks.at(-1)?.sitter;
  const sitting = seat.sittings.find(({ body }) => body === whom) ?? seat.sittings[0];
  const heading = seat.sittings.length > 1 ? `On the blank, with the pressure of ${sitting.body}` : "On the blank";
  return h(
    "section",
    { class: "card", "aria-labelledby": "marks-map" },
    h("h2", { id: "marks-map" }, heading),
    contactMap({
      grid: seat.grid,
      sitting,
      marks: places,
      words: `The blank with ${places.length} marks; they are listed beside it.`,
    }),
  );
}
