// Numbers that are spoken, where the browser can listen: what is heard is shown, and the hands stay at the bar.

import { h, fill } from "../parts/element.js";
import { job } from "../job/job.js";
import { spoken } from "./spoken-number.js";

/** One listener for the page; the crossing at hand changes under it. */
const talk = { recognition: null, isOn: false, isAsked: false, heard: "", acts: null, draw: () => {} };

/** The button and what is heard; null where the browser cannot listen. `acts` as the keys have them. */
export function speech(acts) {
  const Recognition = window.SpeechRecognition ?? window.webkitSpeechRecognition;
  if (!Recognition) return null;
  const place = h("div", { class: "speech" });
  talk.acts = acts;
  talk.draw = () => fill(place, content(Recognition));
  talk.draw();
  return place;
}

function content(Recognition) {
  const show = (news) => () => {
    Object.assign(talk, news);
    talk.draw();
  };
  if (talk.isOn)
    return [
      h("button", { type: "button", "aria-pressed": "true", onclick: () => stop() }, "Stop listening"),
      h("p", { class: "heard", role: "status" }, talk.heard || "Listening: say a number, then “next”."),
    ];
  if (!talk.isAsked)
    return [
      h("button", { type: "button", onclick: show({ isAsked: true }) }, "Speak the numbers"),
      talk.heard ? h("p", { class: "heard", role: "status" }, talk.heard) : null,
    ];
  return h(
    "div",
    { class: "question", role: "group", "aria-label": "Before the browser listens" },
    h(
      "p",
      {},
      "Your browser listens and turns speech into words. Its maker may do that on machines of its own, so that what is said near the microphone may leave your shop. The words come back to this page and go no farther. English: a number such as “seventy-four point two”, then “next”; also “back”, “again” and “delete”.",
    ),
    h(
      "div",
      { class: "row" },
      h("button", { type: "button", class: "go", onclick: () => start(Recognition) }, "Start listening"),
      h("button", { type: "button", onclick: show({ isAsked: false }) }, "Not now"),
    ),
  );
}

function start(Recognition) {
  const recognition = new Recognition();
  Object.assign(recognition, { lang: "en", continuous: true, interimResults: false });
  recognition.onresult = (event) => {
    for (const result of [...event.results].slice(event.resultIndex)) if (result.isFinal) hear(result[0].transcript);
  };
  recognition.onerror = ({ error }) => {
    if (["no-speech", "aborted"].includes(error)) return;
    stop(FAULTS[error] ?? `The browser stopped listening (${error}). The keys work as before.`);
  };
  // A browser ends by itself after a silence.
  recognition.onend = () => {
    if (talk.recognition === recognition && talk.isOn) isShown() ? recognition.start() : stop();
  };
  Object.assign(talk, { recognition, isOn: true, isAsked: false, heard: "" });
  recognition.start();
  talk.draw();
}

const FAULTS = {
  "not-allowed": "The browser may not use the microphone: allow it in its settings. The keys work as before.",
  "service-not-allowed": "The browser does not allow speech here. The keys work as before.",
  "audio-capture": "No microphone was found. The keys work as before.",
  network: "The browser’s service for speech cannot be reached. The keys work as before.",
};

function stop(words = "") {
  const { recognition } = talk;
  Object.assign(talk, { recognition: null, isOn: false, heard: words });
  recognition?.stop();
  talk.draw();
}

function isShown() {
  return Boolean(document.querySelector(".reading"));
}

function hear(words) {
  if (!isShown()) return stop();
  const said = spoken(words, job.units);
  if (!said) {
    talk.heard = `Heard “${words.trim()}”, which is no number for the rod: say it again.`;
    return talk.draw();
  }
  const text = said.text === null ? null : said.units === job.units ? said.text : `${said.text} ${said.units}`;
  talk.heard = `Heard “${words.trim()}”${text === null ? "" : `: ${text}`}.`;
  if (text !== null) talk.acts.put(text);
  act(said.command);
  talk.draw();
}

function act(command) {
  if (command === "delete") talk.acts.put("");
  else if (command) talk.acts[command]();
}

// What was heard for a place is no word about another step.
window.addEventListener("hashchange", () => {
  if (talk.isOn && !location.hash.startsWith("#bench/")) stop();
});
