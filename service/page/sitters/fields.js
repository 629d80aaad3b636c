// What is asked of a sitter: name, sex, measures with their drawings, and how the sitter likes to sit.

import { h, newId } from "../parts/element.js";
import { change, job } from "../job/job.js";
import { capital, kindOf, MEASURES } from "./measures.js";
import { KINDS, massChoice, quantity } from "../parts/quantity-field.js";
import { shape } from "../seat/shaped-seat.js";
import { fieldsOf, vocabulary } from "../order/vocabulary.js";

const HABIT = fieldsOf(vocabulary.habit);
const WEIGHT = fieldsOf(vocabulary.tables.sitter).weight;
const NAME = vocabulary.tables.sitter.keys.name;

export function nameField(sitter, number, after) {
  const id = newId("name");
  return h(
    "div",
    { class: "field", "data-key": `sitter.${number}.name` },
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

export function sexField(sitter, number, after) {
  const name = newId("sex");
  const choices = [
    ["", "not stated"],
    ["female", "female"],
    ["male", "male"],
  ];
  return h(
    "fieldset",
    { class: "field", "data-key": `sitter.${number}.sex` },
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
    sign: kind.unit === "kg" ? massChoice() : null,
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
        hint: "1 for everyone treats all alike; 2 counts double.",
        put: (value) =>
          change(() => {
            sitter.weight = value ?? 1;
          }),
        after: shape,
      }),
  ];
}

/** How far repeated readings of each measure scatter, where that is not what a tape's usually do. */
export function errorFields(sitter, number, after) {
  const given = Object.entries(MEASURES).filter(([key]) => sitter.measures[key] !== undefined);
  return given.map(([key, kind]) =>
    quantity({
      key: `sitter.${number}.standard_errors.${key}`,
      as: `sitter.${sitter.id}.standard_errors.${key}`,
      label: `${capital(kind.title)}, ±`,
      kind: kindOf(kind),
      range: [0, kind.highest - kind.lowest],
      value: sitter.standard_errors?.[key],
      hint: `Two readings in three lie within it (standard error). Usual: ${KINDS[kindOf(kind)].say(kind.tape_error)}.`,
      put: (value) => {
        change(() => {
          sitter.standard_errors ??= {};
          if (value === undefined) delete sitter.standard_errors[key];
          else sitter.standard_errors[key] = value;
          if (!Object.keys(sitter.standard_errors).length) delete sitter.standard_errors;
        });
        after();
      },
      after: shape,
    }),
  );
}
