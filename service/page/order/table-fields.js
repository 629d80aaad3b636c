// Fields for the keys of a table, made of what the service tells of each key: its kind, range, words and meaning.

import { h, newId } from "../parts/element.js";
import { change } from "../job/job.js";
import { quantity } from "../parts/quantity-field.js";
import { inPageWords } from "../service/page-words.js";

const open = new Map();

/**
 * Fields for some keys of a table, `fields` as `fieldsOf` gives them.
 *
 * `key` stands before each field's name on the page and `as` before what was typed in it; `values` gives the table as
 * it is, `put` sets a key of it, or takes it out where the value is undefined. `after` is called when a field is done.
 */
export function tableFields(fields, { key, as = key, values, put, after }) {
  const one = ([name, field]) => {
    const told = { ...field, hint: inPageWords(field.hint), key: `${key}.${name}`, as: `${as}.${name}`, value: values()[name], after };
    const set = (value) => change(() => put(name, value));
    return (OTHER[field.kind] ?? typed)({ ...told, put: set });
  };
  return h("div", { class: "pairs" }, Object.entries(fields).map(one));
}

/** Put a value into a table, or take it out. */
export function setIn(table, name, value) {
  if (value === undefined || value === null || value === "") delete table[name];
  else table[name] = value;
}

/** What is folded away under a plain heading; whether it is open is remembered by its name while the page is. */
export function folded(name, heading, isTold, ...inside) {
  return h(
    "details",
    {
      open: open.get(name) ?? isTold,
      "data-folded": name,
      ontoggle: (event) => open.set(name, event.target.open),
    },
    h("summary", {}, heading),
    inside,
  );
}

function typed(field) {
  const { usual } = field;
  const words = usual === null || usual === undefined ? field.hint : `${field.hint} Usual: ${usualWords(field)}.`;
  return quantity({ ...field, hint: words });
}

function usualWords({ usual }) {
  return typeof usual === "number" ? String(Number(usual.toPrecision(6))) : usual;
}

const OTHER = { word: select, text, flag, day };

function field(told, input, ...more) {
  const id = newId("key");
  input.id = id;
  input.setAttribute("aria-describedby", `${id}-hint ${id}-refusal`);
  return h(
    "div",
    { class: "field", "data-key": told.key },
    h("label", { for: id }, told.label),
    h("div", { class: "entry" }, input, ...more),
    h("p", { class: "hint", id: `${id}-hint` }, told.hint),
    h("div", { class: "refusal", id: `${id}-refusal`, hidden: true }),
  );
}

function select(told) {
  const none = told.usual ? `${told.usual} (usual)` : "not stated";
  const words = told.choices.filter((one) => one !== told.usual);
  const input = h(
    "select",
    {
      onchange: (event) => {
        told.put(event.target.value || undefined);
        told.after?.();
      },
    },
    told.needed ? null : h("option", { value: "" }, none),
    (told.needed ? told.choices : words).map((one) => h("option", { value: one, selected: one === told.value }, one)),
  );
  return field(told, input);
}

function text(told) {
  const input = h("input", {
    type: "text",
    autocomplete: "off",
    maxlength: told.longest,
    value: told.value ?? "",
    oninput: (event) => told.put(event.target.value.trim() || undefined),
    onchange: () => told.after?.(),
  });
  return field(told, input);
}

function day(told) {
  const input = h("input", {
    type: "date",
    value: told.value ?? "",
    onchange: (event) => {
      told.put(event.target.value || undefined);
      told.after?.();
    },
  });
  return field(told, input);
}

function flag(told) {
  const id = newId("key");
  return h(
    "div",
    { class: "field", "data-key": told.key },
    h(
      "label",
      { class: "tick", for: id },
      h("input", {
        id,
        type: "checkbox",
        checked: Boolean(told.value),
        "aria-describedby": `${id}-hint`,
        onchange: (event) => {
          told.put(event.target.checked || undefined);
          told.after?.();
        },
      }),
      told.label,
    ),
    h("p", { class: "hint", id: `${id}-hint` }, told.hint),
    h("div", { class: "refusal", hidden: true }),
  );
}
