// The token that a service may ask for: one dialog, whoever needs it first.

import { h, fill } from "../parts/element.js";
import { onToken } from "./requests.js";

let asking = null;
onToken((wasWrong) => {
  asking ??= askForToken(wasWrong).finally(() => {
    asking = null;
  });
  return asking;
});

function askForToken(wasWrong) {
  const dialog = document.getElementById("token");
  return new Promise((done) => {
    const input = h("input", { type: "password", id: "token-entry", autocomplete: "current-password" });
    const form = h(
      "form",
      { method: "dialog" },
      h("h2", { id: "token-title" }, "A token is needed"),
      h(
        "p",
        {},
        wasWrong ? "The one that was given is not right. " : "",
        "It was set by whoever started the service, with --token.",
      ),
      h("div", { class: "field" }, h("label", { for: "token-entry" }, "Token"), input),
      h("button", { class: "go", type: "submit" }, "Go on"),
    );
    fill(dialog, form);
    dialog.addEventListener("close", () => done(input.value || null), { once: true });
    if (!dialog.open) dialog.showModal();
  });
}
