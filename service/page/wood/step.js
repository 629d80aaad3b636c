// Step: the wood and the chair. Sizes of the blank, what must stay of it, legs, and how the seat stands.

import { h, fill, newId } from "../parts/element.js";
import { blankSketch } from "./blank-sketch.js";
import { boardCard } from "./boards.js";
import { change, job } from "../job/job.js";
import { outlineDrawing } from "./outline-drawings.js";
import { quantity } from "../parts/quantity-field.js";
import { onSeatWhileShown, refusalPlace } from "../service/refusals.js";
import { shape } from "../seat/shaped-seat.js";
import { BLANK, CHAIR, FURTHER_BLANK, OUTLINE, OUTLINES, usualOf } from "../order/usual-values.js";
import { folded, setIn, tableFields } from "../order/table-fields.js";
import { otherJoints } from "./other-joints.js";
import { furtherTables, toolCard } from "./further-tables.js";
import { woodCost } from "./legs-cost.js";
import { mortises } from "./mortises.js";
import { askedFor } from "../order/vocabulary.js";

export function wood() {
  const root = h("div");
  const sketch = h("div", { class: "card stays" });
  const draw = () => fill(sketch, blankSketch());
  const edited = () => {
    draw();
    legs.tell();
    shape();
  };
  const legs = mortises(() => {
    draw();
    shape();
  });
  const field = (table, keys) => Object.entries(keys).map(([key, one]) => own(table, key, one, edited, draw));
  fill(
    root,
    h(
      "p",
      { class: "lead" },
      "The blank is measured from the rear edge and the centre line. Left and right are always the sitter’s.",
    ),
    refusalPlace(root, "wood"),
    h(
      "div",
      { class: "columns wide-left" },
      h(
        "div",
        {},
        h(
          "section",
          { class: "card", "aria-labelledby": "wood-sizes" },
          h("h2", { id: "wood-sizes" }, "The blank"),
          ownOutline() ? h("p", { class: "small" }, "You gave your own outline: its points are below.") : outlineChoice(edited),
          h("div", { class: "pairs" }, field("blank", askedFor(BLANK, "first"))),
          h(
            "details",
            {},
            h("summary", {}, "Edges, gutter and deck line"),
            h("div", { class: "pairs" }, field("blank", askedFor(BLANK, "further"))),
          ),
          furtherBlank(edited),
        ),
        legs.card,
        otherJoints(edited),
        boardCard(edited),
        toolCard(edited),
        furtherTables(edited),
        woodCost(),
        h(
          "section",
          { class: "card", "aria-labelledby": "wood-chair" },
          h("h2", { id: "wood-chair" }, "The chair"),
          h("div", { class: "pairs" }, field("chair", CHAIR)),
        ),
      ),
      sketch,
    ),
  );
  draw();
  onSeatWhileShown(sketch, draw);
  return root;
}

function own(table, key, one, edited, draw) {
  return quantity({
    ...one,
    key: `${table}.${key}`,
    value: job[table][key] ?? (["blank", "chair"].includes(table) ? usualOf(job, table, key) : one.usual),
    put: (value) => {
      change((all) => {
        if (value === undefined || value === null) delete all[table][key];
        else all[table][key] = value;
      });
      draw();
    },
    after: edited,
  });
}

/** An outline of one's own, the line of the deck, glue lines: what few blanks have. */
function furtherBlank(edited) {
  const isTold = Object.keys(FURTHER_BLANK).some((key) => job.blank[key] !== undefined);
  return folded(
    "blank.further",
    "Own outline, deck line and glue lines",
    isTold,
    tableFields(FURTHER_BLANK, {
      key: "blank",
      values: () => job.blank,
      put: (key, value) => setIn(job.blank, key, value),
      after: edited,
    }),
  );
}

function ownOutline() {
  return Boolean(job.blank.outline_points_mm);
}

function outlineChoice(edited) {
  const name = newId("outline");
  const now = job.blank.outline ?? OUTLINE;
  return h(
    "fieldset",
    { class: "field", "data-key": "blank.outline" },
    h("legend", {}, "Outline, seen from above, front at the top"),
    h(
      "div",
      { class: "choices" },
      OUTLINES.map((one) =>
        h(
          "label",
          {},
          h("input", {
            type: "radio",
            name,
            value: one,
            checked: one === now,
            onchange: () => {
              change((all) => {
                all.blank.outline = one;
              });
              edited();
            },
          }),
          h("span", {}, outlineDrawing(one), one),
        ),
      ),
    ),
  );
}
