// A file to take: its button, what it is for, and what the service says where it cannot be made.

import { h, fill } from "../parts/element.js";
import { seatForFiles } from "../seat/shaped-seat.js";
import { download } from "../service/requests.js";

/** A file of the seat; `path` gives its place below the seat's, `fallback` names it where the service does not. */
export function file(name, use, path, fallback) {
  const told = h("p", { class: "refusal", role: "alert", hidden: true });
  const button = h(
    "button",
    {
      type: "button",
      onclick: async () => {
        told.hidden = true;
        button.setAttribute("aria-busy", "true");
        button.disabled = true;
        try {
          await download(`/seats/${await seatForFiles()}/${path()}`, fallback);
        } catch (error) {
          fill(told, error.message);
          told.hidden = false;
        } finally {
          button.removeAttribute("aria-busy");
          button.disabled = false;
          button.focus();
        }
      },
    },
    name,
  );
  return h("li", {}, h("div", { class: "row" }, button, h("span", { class: "small" }, use)), told);
}

/** A group of files with a heading, what is asked first, and the files in lists with headings of their own. */
export function group(id, title, words, asked, ...lists) {
  return h(
    "section",
    { class: "card", "aria-labelledby": id },
    h("h2", { id }, title),
    h("p", { class: "small" }, words),
    asked,
    lists.map(([heading, files]) => [heading && h("h3", {}, heading), h("ul", { class: "files" }, files)]),
  );
}
