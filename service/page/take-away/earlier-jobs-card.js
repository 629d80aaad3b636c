// The card of the earlier jobs: each can be brought back, and the one at hand then goes among them.

import { h, fill } from "../parts/element.js";
import { dropEarlier, earlierJobs, MOST } from "../job/earlier-jobs.js";
import { bringBack } from "../job/job.js";
import { nameOfFile, nameOf } from "../order/order-of-job.js";
import { shape } from "../seat/shaped-seat.js";
import { saveAs } from "../service/requests.js";

export function earlierJobsCard() {
  const place = h("div");
  const draw = () => fill(place, card(draw));
  draw();
  return place;
}

function card(draw) {
  const all = earlierJobs();
  if (!all.length) return null;
  const told = h("div", { role: "alert" });
  return h(
    "section",
    { class: "card", "aria-labelledby": "earlier" },
    h("h2", { id: "earlier" }, "Earlier jobs"),
    h(
      "p",
      { class: "small" },
      `Jobs that made room for another in this browser; the last ${MOST} are kept. To keep one for good, save its order file.`,
    ),
    h(
      "ol",
      { class: "entries" },
      all.map((one) => h("li", {}, h("div", { class: "row spread" }, h("span", {}, words(one)), buttons(one, told, draw)))),
    ),
    told,
  );
}

function words({ at, job, raw }) {
  const when = at ? new Date(at).toLocaleString([], { dateStyle: "medium", timeStyle: "short" }) : "";
  if (raw !== undefined || !job) return `A job that cannot be read. ${when}`;
  const who = job.sitters.map(nameOf).join(", ");
  return h("span", {}, h("strong", {}, job.title || "Without a name"), h("span", { class: "small under" }, `${who}. ${when}`));
}

function buttons({ key, job, raw }, told, draw) {
  const back = () => {
    const fault = bringBack(key);
    if (fault) {
      fill(told, h("p", { class: "refusal" }, "There is no room to keep the job you have open: save its order file first."));
      return;
    }
    location.hash = "#sitters";
    shape();
  };
  const file = () => saveAs(new Blob([raw ?? ""], { type: "application/json" }), "unread-job.json");
  const drop = () => {
    fill(
      told,
      h(
        "div",
        { class: "row" },
        "You cannot bring it back after that.",
        h(
          "button",
          {
            type: "button",
            onclick: () => {
              dropEarlier(key);
              draw();
            },
          },
          "Remove it",
        ),
        h("button", { type: "button", onclick: () => fill(told) }, "Leave it"),
      ),
    );
    told.querySelector("button").focus();
  };
  const about = job ? ` ${nameOfFile(job)}` : "";
  return h(
    "div",
    { class: "row" },
    job
      ? h("button", { type: "button", onclick: back }, "Bring it back", h("span", { class: "unseen" }, about))
      : h("button", { type: "button", onclick: file }, "Save its text"),
    h("button", { type: "button", class: "quiet", onclick: drop }, "Remove", h("span", { class: "unseen" }, about)),
  );
}
