// The order file: saved, and opened again; or another job begun.

import { h, fill, newId } from "../parts/element.js";
import { clear } from "../job/job.js";
import { fromOrder, isReady, nameOfFile, orderOf } from "../order/order-of-job.js";
import { seat, seatForFiles, shape } from "../seat/shaped-seat.js";
import { ask, askJson, download, saveAs } from "../service/requests.js";

export function orderCard() {
  const told = h("div", { role: "alert" });
  const picker = h("input", {
    type: "file",
    accept: ".toml,.json,application/json",
    id: newId("order"),
    class: "unseen",
    onchange: () => open(picker, told),
  });
  return h(
    "section",
    { class: "card", "aria-labelledby": "take-order" },
    h("h2", { id: "take-order" }, "The order file"),
    h(
      "p",
      {},
      "It holds sitters, wood, wishes, marks and remarks. Keep it with the job: open it again, and you go on where you left off; the job you had open goes to the earlier jobs. Gauge readings have a file of their own: ",
      h("a", { href: "#bench/gauge" }, "at the bench"),
      ".",
    ),
    h(
      "div",
      { class: "row" },
      h("button", { type: "button", disabled: !isReady(), onclick: () => saveOrder(told) }, "Save the order file"),
      h("label", { class: "button file-label" }, picker, "Open an order file"),
      h("button", { type: "button", class: "quiet", onclick: () => startAnew(told) }, "Begin another job"),
    ),
    told,
  );
}

async function saveOrder(told) {
  fill(told);
  try {
    if (seat.state === "shaped" && !seat.old)
      return await download(`/seats/${await seatForFiles()}/order.toml`, `${nameOfFile()}.toml`);
    return saveAs(new Blob([JSON.stringify(orderOf(), null, 2)], { type: "application/json" }), `${nameOfFile()}.json`);
  } catch (error) {
    return fill(told, h("p", { class: "refusal" }, error.message));
  }
}

async function open(picker, told) {
  const [chosen] = picker.files;
  picker.value = "";
  if (!chosen) return;
  try {
    const text = await chosen.text();
    const order = await readOrder(text);
    const { bodies } = await askJson("/bodies");
    const take = (wishes) => fromOrder(order, bodies, wishes);
    if (take()) askToLose(told, "Open it all the same", take);
    else begin();
  } catch (error) {
    fill(told, h("p", { class: "refusal" }, `“${chosen.name}” is not opened: ${error.message}`));
  }
}

/** Read an order from its text: TOML is read by the service, JSON here. */
async function readOrder(text) {
  if (text.trimStart().startsWith("{")) {
    const order = JSON.parse(text);
    if (!Array.isArray(order.sitter)) throw new Error("it holds no sitter.");
    return order;
  }
  return (await ask("/orders", { body: text, type: "application/toml" })).json();
}

function begin() {
  shape();
  location.hash = "#sitters";
}

function startAnew(told) {
  const go = () => (clear() ? askToLose(told, "Begin anew all the same", clear) : begin());
  fill(
    told,
    h(
      "div",
      { class: "row" },
      "The job you have open goes to the earlier jobs.",
      h("button", { type: "button", class: "go", onclick: go }, "Begin anew"),
      h("button", { type: "button", onclick: () => fill(told) }, "Stay"),
    ),
  );
  told.querySelector("button").focus();
}

// Where the job at hand cannot be kept among the earlier ones, it is replaced only after asking.
function askToLose(told, words, go) {
  fill(
    told,
    h("p", {}, "This browser has no room to keep the job you have open. What is not in a saved order file is lost."),
    h(
      "div",
      { class: "row" },
      h(
        "button",
        {
          type: "button",
          class: "go",
          onclick: () => {
            go({ evenIfLost: true });
            begin();
          },
        },
        words,
      ),
      h("button", { type: "button", onclick: () => fill(told) }, "Stay"),
    ),
  );
  told.querySelector("button").focus();
}
