// What is asked of a sitter: name, sex, measures with their drawings, and how the sitter likes to sit.

import { h, newId } from "../parts/element.js";
import { change, job } from "../job/job.js";
import { capital, kindOf } from "./measures.js";
import { quantity } from "../parts/quantity-field.js";
import { shape } from "../seat/shaped-seat.js";
import { askedFor, fieldsOf, vocabulary } from "../order/vocabulary.js";

const HABIT = askedFor(fieldsOf(vocabulary.habit), "first");
const WEIGHT = fieldsOf(vocabulary.tables.sitter).weight;
const NAME = vocabulary.tables.sitter.keys.name;

export function nameField(sitter, after) {
  const id = newId("name");
  return h(
    "div",
    { class: "field" },
    h("label", { for: id }, "Name"),
    h(
      "div",
      { class: "entry" },
      h("input", {
        id,
        type: "text",
        maxlength: NAME.longest,
        autocomplete: "off",
        value: sitter.name,
        oninput: (event) => {
          change(() => {
            sitter.name = event.target.value;
          });
          after();
        },
        onchange: shape,
      }),
    ),
  );
}

export function sexField(sitter, after) {
  const name = newId("sex");
  const choices = [
    ["", "not stated"],
    ["female", "female"],
    ["male", "male"],
  ];
  return h(
    "fieldset",
    { class: "field" },
    h("legend", {}, "Sex"),
    h(
      "div",
      { class: "choices" },
      choices.map(([value, words]) =>
        h(
          "label",
          {},
          h("input", {
            type: "radio",
            name,
            value,
            checked: sitter.sex === value,
            onchange: () => {
              change(() => {
                sitter.sex = value;
              });
              after();
              shape();
            },
          }),
          h("span", {}, words),
        ),
      ),
    ),
    h("p", { class: "hint" }, "You may leave it out. It narrows the range of hip breadth and sit-bone spacing."),
  );
}

export function measureField(sitter, number, key, kind, after) {
  const field = quantity({
    key: `sitter.${number}.${key}`,
    as: `sitter.${sitter.id}.${key}`,
    label: capital(kind.title),
    kind: kindOf(kind),
    value: sitter.measures[key],
    range: [kind.lowest, kind.highest],
    hint: kind.how,
    put: (value) => {
      change(() => {
        if (value === undefined) delete sitter.measures[key];
        else sitter.measures[key] = value;
      });
      after();
    },
    after: shape,
  });
  return h(
    "div",
    { class: "measure" },
    isDrawn(kind)
      ? h("img", {
          class: "how",
          src: new URL(`./drawings/${key.replace(/_(mm|kg)$/, "")}.svg`, import.meta.url),
          alt: "",
          width: 104,
          height: 130,
        })
      : h("span"),
    field,
  );
}

// What no tape takes has no drawing of how to take it.
function isDrawn(kind) {
  return kind.by_hand && (kind.unit === "mm" || kind.unit === "kg");
}

export function habitFields(sitter, number, after) {
  const habit = ([key, field]) =>
    quantity({
      ...field,
      key: `sitter.${number}.habit.${key}`,
      as: `sitter.${sitter.id}.habit.${key}`,
      value: sitter.habit[key],
      put: (value) => {
        change(() => {
          if (value === undefined) delete sitter.habit[key];
          else sitter.habit[key] = value;
        });
        after();
      },
      after: shape,
    });
  return [
    Object.entries(HABIT).map(habit),
    job.sitters.length > 1 &&
      quantity({
        key: `sitter.${number}.weight`,
        as: `sitter.${sitter.id}.weight`,
        label: "Counts",
        kind: WEIGHT.kind,
        range: WEIGHT.range,
        value: sitter.weight,
        hint: "Against the others: 1 each is alike, 2 counts double.",
        put: (value) =>
          change(() => {
            sitter.weight = value ?? 1;
          }),
        after: shape,
      }),
  ];
}
