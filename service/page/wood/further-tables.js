// What few orders say: the maker's tools, climate, plank and load, and the seat that was built before.

import { h } from "../parts/element.js";
import { job } from "../job/job.js";
import { folded, setIn, tableFields } from "../order/table-fields.js";
import { tableRows } from "../order/table-rows.js";
import { fieldsOf, sentence, vocabulary } from "../order/vocabulary.js";

const HEADINGS = { wood: "Climate, plank and load", built: "A seat built before" };

/** The card of the maker's tools. */
export function toolCard(edited) {
  return h(
    "section",
    { class: "card", "aria-labelledby": "wood-tools" },
    h("h2", { id: "wood-tools" }, "Your tools"),
    h("p", { class: "small" }, "Each is tried in the hollow: the report says where it does not reach."),
    tableRows("tool", {
      thing: "tool",
      add: "Add a tool",
      fresh: () => ({ kind: "sole", radius_mm: 150 }),
      titleOf: (one, number) => one.name ?? `Tool ${number + 1}: ${one.kind ?? "sole"}`,
      edited,
    }),
  );
}

/** Tables that are written once and need no card of their own, each folded under its heading. */
export function furtherTables(edited) {
  return h(
    "section",
    { class: "card", "aria-labelledby": "wood-further" },
    h("h2", { id: "wood-further" }, "For the record"),
    Object.entries(HEADINGS).map(([name, heading]) => once(name, heading, edited)),
  );
}

function once(name, heading, edited) {
  const table = vocabulary.tables[name];
  const values = () => job.others[name] ?? {};
  return folded(
    name,
    heading,
    Object.keys(values()).length > 0,
    h("p", { class: "small" }, sentence(table.meaning)),
    tableFields(fieldsOf(table), {
      key: name,
      values,
      put: (key, value) => {
        job.others[name] ??= {};
        setIn(job.others[name], key, value);
        if (!Object.keys(job.others[name]).length) delete job.others[name];
      },
      after: edited,
    }),
  );
}
