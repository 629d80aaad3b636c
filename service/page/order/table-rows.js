// Tables that an order has several of, such as tools: a folded row each, to be added, changed and removed.

import { h, fill } from "../parts/element.js";
import { change, itemId, job } from "../job/job.js";
import { sayRemoved } from "../job/undo-removal.js";
import { shape } from "../seat/shaped-seat.js";
import { folded, setIn, tableFields } from "./table-fields.js";
import { fieldsOf, vocabulary } from "./vocabulary.js";

/**
 * The rows of a table of the job's others. `thing` is what one is called, `isHere` which of them are shown, `fresh` what
 * a new one begins with, and `titleOf` says one in a line.
 */
export function tableRows(name, { thing, add, fresh, titleOf, edited, isHere = () => true }) {
  const place = h("div");
  const all = () => job.others[name] ?? [];
  const put = (list) =>
    change((one) => {
      if (list.length) one.others[name] = list;
      else delete one.others[name];
    });
  const redo = () => {
    draw();
    edited();
  };
  const away = (item) => {
    const number = all().findIndex(({ id }) => id === item.id);
    put(all().filter(({ id }) => id !== item.id));
    redo();
    sayRemoved(`The ${thing} is`, () => put(all().toSpliced(number, 0, item)), redo);
  };
  const row = (item, number) =>
    folded(
      `${name}.${item.id}`,
      titleOf(item, number),
      false,
      rowFields(name, item, number, (changed) => {
        if (changed === "kind") draw();
        edited();
      }),
      h(
        "div",
        { class: "row" },
        h("button", { type: "button", class: "quiet", onclick: () => away(item) }, `Remove ${thing} ${number + 1}`),
      ),
    );
  const draw = () =>
    fill(
      place,
      all().map((item, number) => (isHere(item) ? row(item, number) : null)),
      all().length < vocabulary.tables[name].most
        ? h(
            "button",
            {
              type: "button",
              onclick: () => {
                const item = { ...fresh(), id: itemId() };
                put([...all(), item]);
                redo();
                place.querySelector(`[data-folded="${name}.${item.id}"] summary`)?.click();
              },
            },
            add,
          )
        : null,
    );
  draw();
  return place;
}

/** All that one of several tables says, to be changed, folded away. */
export function furtherOf(name, item, number) {
  const heading = ["Change it", h("span", { class: "unseen" }, `, number ${number + 1}`)];
  return folded(`${name}.${item.id}`, heading, false, rowFields(name, item, number, shape));
}

/** Fields for the keys of one of several tables, all of them or those that `isHere` names; keys of another kind are left out. */
export function rowFields(name, item, number, after, isHere = () => true) {
  const fields = Object.entries(fieldsOf(vocabulary.tables[name])).filter(
    ([key, { neededFor }]) =>
      isHere(key) && (!neededFor || neededFor.includes(item.kind) || item[key] !== undefined),
  );
  let changed = null;
  return tableFields(Object.fromEntries(fields), {
    key: `${name}.${number}`,
    as: `${name}.${item.id}`,
    values: () => item,
    put: (key, value) => {
      changed = key;
      setIn(item, key, value);
    },
    after: () => after(changed),
  });
}
