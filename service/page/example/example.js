// The example job: a chair as far as its first cuts, which fills every step, so that nobody stands before an empty page.

import { h, fill } from "../parts/element.js";
import { change, clear, isTold, job, onChange } from "../job/job.js";
import { fromOrder } from "../order/order-of-job.js";
import { ask, askJson } from "../service/requests.js";
import { shape } from "../seat/shaped-seat.js";

/** What stands above an empty job: a way to look round first; above the example: a way to begin. Null on a job of one's own. */
export function exampleCard(redraw) {
  if (job.example) return ownJob(redraw);
  if (isTold()) return null;
  const card = h(
    "section",
    { class: "card row spread", "aria-label": "The example job" },
    h("p", { class: "beside" }, "New here? Look round an invented job first: a chair that two players share, half carved."),
    exampleButton(redraw),
  );
  // Once there is a job of one's own the example is out of the way; the card keeps its height, so that nothing moves.
  const off = onChange(() => {
    if (!isTold()) return;
    off();
    card.style.minHeight = `${card.offsetHeight}px`;
    card.setAttribute("aria-label", "Your own job");
    fill(card, h("p", { class: "beside" }, "This is your own job now. To look round the example, begin another job under Take."));
  });
  return card;
}

/** A button that opens the example. */
export function exampleButton(redraw) {
  const told = h("div", { role: "alert" });
  const open = async () => {
    try {
      await openExample();
      redraw();
    } catch (error) {
      fill(told, h("p", { class: "refusal" }, `The example is not opened: ${error.message}`));
    }
  };
  return h("div", {}, h("button", { type: "button", onclick: open }, "Open the example job"), told);
}

function ownJob(redraw) {
  const begin = () => {
    if (clear()) clear({ evenIfLost: true });
    shape();
    redraw();
  };
  return h(
    "section",
    { class: "card row spread", "aria-label": "The example job" },
    h("p", { class: "beside" }, "This is the example job; its people and figures are invented. Change what you like."),
    h("button", { type: "button", class: "go", onclick: begin }, "Begin your own job"),
  );
}

/** Put the example in place of the job at hand. */
async function openExample() {
  const [order, readings] = await Promise.all([text("order.toml"), text("readings.csv")]);
  const read = await (await ask("/orders", { body: order, type: "application/toml" })).json();
  const { bodies } = await askJson("/bodies");
  const { readingsOf, takeReadings } = await import("../gauge/readings-csv.js");
  const fault = fromOrder(read, bodies);
  if (fault) throw new Error("this browser has no room to keep the job you have open.");
  takeReadings(readingsOf(readings));
  change((one) => {
    one.example = true;
  });
  shape();
}

async function text(name) {
  return (await ask(new URL(`./${name}`, import.meta.url))).text();
}
