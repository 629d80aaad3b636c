// A card on which something is filled in and added.

import { h } from "./element.js";

/** A form of `fields` under a title; `add` is called when it is sent, by key or by button. */
export function entryForm(title, add, ...fields) {
  const onsubmit = (event) => {
    event.preventDefault();
    add();
  };
  return h("form", { class: "card", onsubmit }, h("h2", {}, title), ...fields);
}
