// A card: how many people not yet met the seat serves. Asks the service, follows the work, shows what came of it.

import { h, fill } from "../parts/element.js";
import { job } from "../job/job.js";
import { onSeatWhileShown } from "../service/refusals.js";
import { ask, askJson, download, saveAs } from "../service/requests.js";
import { capital, inPageWords } from "../service/page-words.js";
import { seat, seatForFiles } from "../seat/shaped-seat.js";
import { question, whatIsAsked } from "./what-is-asked.js";
import { whomItServes } from "./whom-it-serves.js";

// What was found last, the work under way and what is told of it: they outlive a card that is drawn anew.
let found = null;
let working = null;
let shown = null;
const told = h("div", { role: "status", class: "people-told" });
const SOON_S = 1;

const keyOf = (id, asked) => JSON.stringify([id, asked]);
const isOld = () => found.key !== keyOf(seat.id, question()) || found.units !== job.units;

async function seatThem() {
  const mine = (working = new AbortController());
  const [asked, of, whose] = [question(), seat.id, job.id];
  shown.draw();
  const bar = h("progress", { max: 1, "aria-label": "People seated" });
  const words = h("span", {}, "Seating people …");
  fill(told, h("div", { class: "row" }, bar, words, h("button", { type: "button", onclick: () => mine.abort() }, "Stop")));
  const hear = (now) => {
    if (now.share > 0) bar.value = now.share;
    words.textContent = `${capital(now.words)} …`;
  };
  try {
    const id = await seatForFiles();
    const answer = await askJson(`/seats/${id}/people`, { body: asked, signal: mine.signal, told: hear, patience: SOON_S });
    found = { job: whose, key: keyOf(of, asked), units: job.units, id, asked, answer, sheet: null };
    fill(told);
  } catch (error) {
    fill(told, error.name === "AbortError" ? h("p", { class: "small" }, "Stopped.") : h("p", { class: "refusal", role: "alert" }, inPageWords(error.message)));
  } finally {
    working = null;
    shown.draw();
  }
}

export function peopleCard() {
  const result = h("div", { class: "people-found" });
  const go = h("button", { type: "button", class: "go", onclick: seatThem }, "Seat them");
  const draw = () => {
    go.disabled = Boolean(working) || !seat.id;
    fill(result, found?.job === job.id && outcome(found, isOld()));
  };
  shown = { draw };
  draw();
  onSeatWhileShown(result, draw);
  return h(
    "section",
    { class: "card people", "aria-labelledby": "people" },
    h("h2", { id: "people" }, "People not yet met"),
    h("p", { class: "small" }, "For a dining room or a waiting room: people are drawn from the survey, each is seated on this seat, and those are counted whom it serves. ", h("a", { href: "guide/people", target: "_blank", rel: "noopener" }, "In the guide")),
    whatIsAsked(draw),
    h("div", { class: "row" }, go),
    told,
    result,
  );
}

function outcome(one, isOld) {
  return [
    isOld ? h("p", { class: "refusal" }, "This is the answer to what was asked before, or of the seat as it was: seat them again.") : null,
    whomItServes(one.answer),
    sheetOf(one),
    everybody(one),
  ];
}

// A table of all who were drawn: measures, weights, figures.
function everybody(one) {
  const told = h("p", { class: "refusal", role: "alert", hidden: true });
  const button = h("button", { type: "button", class: "quiet", onclick: take }, "Everybody as a table (Parquet)");
  async function take() {
    told.hidden = button.disabled = true;
    try {
      await download(`/seats/${one.id}/people?format=parquet`, "people.parquet", { body: one.asked });
    } catch (error) {
      fill(told, inPageWords(error.message));
      told.hidden = false;
    } finally {
      button.disabled = false;
    }
  }
  return [button, told];
}

// The sheet is drawn when it is asked for: people are seated once more for it.
function sheetOf(one) {
  const place = h("div", { class: "people-sheet" });
  const show = () => {
    const address = URL.createObjectURL(one.sheet);
    const image = h("img", { src: address, alt: "Sheet: the share served over stature and mass, the peaks, and how the worst-off tenth press", onload: () => URL.revokeObjectURL(address) });
    fill(place, image, h("button", { type: "button", onclick: () => saveAs(one.sheet, "people.png") }, "Save the sheet"));
  };
  const button = h(
    "button",
    {
      type: "button",
      onclick: async () => {
        button.disabled = true;
        button.setAttribute("aria-busy", "true");
        try {
          const answer = await ask(`/seats/${one.id}/people?format=png`, { body: one.asked });
          one.sheet = await answer.blob();
          show();
        } catch (error) {
          fill(place, button, h("p", { class: "refusal", role: "alert" }, inPageWords(error.message)));
        } finally {
          button.disabled = false;
          button.removeAttribute("aria-busy");
        }
      },
    },
    "Draw the sheet",
  );
  if (one.sheet) show();
  else fill(place, button, h("p", { class: "hint" }, "Share served over stature and mass, peaks, and the worst-off tenth: to print, or to send."));
  return place;
}
