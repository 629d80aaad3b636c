// The page: one step at a time, chosen by the address; header and status line.

import { h, fill } from "./parts/element.js";
import { takeLeftDrafts } from "./job/form-drafts.js";
import { change, inUnitsOf, job, onChange, onOtherTab } from "./job/job.js";
import { onRedrawStep, redrawKeepingPlace } from "./parts/redraw-in-place.js";
import { onSeat, shape } from "./seat/shaped-seat.js";
import { figure } from "./parts/lengths.js";
import { massUnits } from "./parts/masses.js";
import { notice, unsay } from "./service/notices.js";
// A step's own modules are fetched when it is first shown, or a moment after the first step is.
const STEPS = [
  {
    id: "sitters",
    short: "Sitters",
    title: "Who sits",
    guide: "first-seat#1-measure-the-sitter",
    load: async () => (await import("./sitters/step.js")).sitters,
  },
  {
    id: "wood",
    short: "Wood",
    title: "The wood and the chair",
    guide: "wood#say-what-the-boards-are",
    load: async () => (await import("./wood/step.js")).wood,
  },
  {
    id: "wishes",
    short: "Wishes",
    title: "Wishes",
    guide: "form#start-from-a-character",
    load: async () => (await import("./wishes/step.js")).wishes,
  },
  {
    id: "seat",
    short: "Seat",
    title: "The seat",
    guide: "first-seat#4-read-the-report",
    load: async () => (await import("./seat/step.js")).seatStep,
  },
  {
    id: "compare",
    short: "Compare",
    title: "Side by side",
    guide: "second-chair#another-body",
    load: async () => (await import("./compare/step.js")).sideBySide,
  },
  {
    id: "take",
    short: "Take",
    title: "Take away",
    guide: "first-seat#5-try-it-before-the-plank",
    load: async () => (await import("./take-away/step.js")).takeAway,
  },
  {
    id: "bench",
    short: "Bench",
    title: "At the bench",
    guide: "bench#carve-in-stages-and-sit-between-them",
    load: async () => (await import("./bench/step.js")).bench,
  },
];

const main = document.getElementById("step");
const status = document.getElementById("status");
let shown = null;

function current() {
  const [id] = location.hash.slice(1).split("/");
  return STEPS.find((one) => one.id === id) ?? STEPS[0];
}

/** Show the step that the address names. One whose modules are not here yet is shown as soon as they are. */
function show({ focus }) {
  const step = current();
  markSteps(step);
  if (!step.make) return void fetched(step).then(() => step === current() && show({ focus }), () => missing(step));
  const at = STEPS.indexOf(step);
  const again = shown === step.id;
  shown = step.id;
  const title = h("h1", {}, step.title);
  const chapter = h("a", { href: `guide/${step.guide}`, target: "_blank", rel: "noopener" }, "In the guide");
  fill(main, title, h("p", { class: "to-guide" }, chapter), step.make({ title: step.title, part: location.hash.split("/")[1] ?? null }), onward(at));
  document.title = `${step.title} · seatmesh`;
  if (focus) {
    main.focus({ preventScroll: true });
    if (!again) window.scrollTo(0, 0);
  }
}

async function fetched(step) {
  step.make ??= await step.load();
}

// The service is gone, or it is of another release than this page, whose files it does not have.
function missing(step) {
  if (step !== current()) return;
  const again = h("button", { type: "button", onclick: () => location.reload() }, "Load the page again");
  const words = "This step could not be fetched. What you typed is kept. Is the service still running?";
  fill(main, h("h1", {}, step.title), h("div", { class: "refusal", role: "alert" }, h("p", {}, words), again));
  shown = null;
}

// Once the first step stands, the others are fetched, so that the service may go and every step still opens.
async function fetchOthers() {
  for (const step of STEPS) await fetched(step).catch(() => {});
}

function onward(at) {
  const [before, after] = [STEPS[at - 1], STEPS[at + 1]];
  return h(
    "nav",
    { class: "onward", "aria-label": "Step before and after" },
    before && h("a", { class: "button", href: `#${before.id}` }, `← ${before.title}`),
    after && h("a", { class: "button go", href: `#${after.id}` }, `${after.title} →`),
  );
}

function markSteps(step) {
  fill(
    document.getElementById("steps"),
    STEPS.map((one, number) =>
      h(
        "li",
        {},
        h(
          "a",
          { href: `#${one.id}`, "aria-current": one === step ? "step" : null },
          h("b", { "aria-hidden": "true" }, number + 1),
          h("span", {}, one.short),
        ),
      ),
    ),
  );
}

const MASS_WORDS = { kg: "kg", lb: "pounds" };

// Whoever chooses inches may weigh in kg all the same: what changes with them is said, and can be had back.
function sayMasses(before) {
  if (!job.sitters.some(({ measures }) => measures.mass_kg !== undefined)) return;
  const keep = () => {
    change((one) => {
      one.mass_units = before;
    });
    unsay("masses");
    show({ focus: false });
  };
  const words = `Body mass is shown in ${MASS_WORDS[massUnits(job)]} now as well. Only the unit has changed.`;
  notice("masses", words, { words: `Keep ${MASS_WORDS[before]}`, onclick: keep });
}

function units() {
  for (const radio of document.querySelectorAll('input[name="units"]')) {
    radio.checked = radio.value === job.units;
    radio.addEventListener("change", () => {
      const masses = massUnits(job);
      change((one) => {
        Object.assign(one, inUnitsOf(one, radio.value));
      });
      if (massUnits(job) !== masses) sayMasses(masses);
      show({ focus: false });
      shape();
    });
  }
  onChange(() => {
    for (const radio of document.querySelectorAll('input[name="units"]')) radio.checked = radio.value === job.units;
  });
}

let fading = 0;
function say(words, stays) {
  clearTimeout(fading);
  status.textContent = words;
  if (!stays)
    fading = setTimeout(() => {
      status.textContent = "";
    }, 4000);
}

let toldOf = "";
function tellSeat(seat) {
  document.body.dataset.seat = seat.state;
  const now = `${seat.state} ${seat.state === "shaped" ? seat.id : ""} ${seat.old}`;
  if (now === toldOf) return;
  toldOf = now;
  if (seat.state === "shaping") say("Shaping the seat …", true);
  if (seat.state === "refused") say("No seat: see the note at the top.", false);
  if (seat.state === "shaped") say(seat.old ? "" : shapedWords(seat), false);
}

function shapedWords({ sittings }) {
  const peaks = sittings.map((one) => `${one.body} ${figure(one.peak_kpa)}`).join(", ");
  return `Seat shaped. Peak in kPa: ${peaks}.`;
}

document.querySelector(".skip").addEventListener("click", (event) => {
  event.preventDefault();
  main.focus();
});
// Another tab may still be typing or sliding: it is shown here a moment later, and not while nobody looks. Another job
// is shown at once, so that nothing is typed into a form of the one before.
let soon = 0;
let shownJob = job.id;
function takeOver() {
  clearTimeout(soon);
  if (document.hidden) {
    document.addEventListener("visibilitychange", takeOver, { once: true });
    return;
  }
  const draw = () => {
    shownJob = job.id;
    redrawKeepingPlace(main, () => show({ focus: false }));
    say("Changed in another tab.", false);
    soon = setTimeout(shape, 1000);
  };
  if (job.id !== shownJob) draw();
  else soon = setTimeout(draw, 150);
}

window.addEventListener("hashchange", () => show({ focus: true }));
onRedrawStep(() => redrawKeepingPlace(main, () => show({ focus: false })));
onOtherTab(takeOver);
takeLeftDrafts(() => redrawKeepingPlace(main, () => show({ focus: false })));
onSeat(tellSeat);
units();
show({ focus: false });
shape();
(window.requestIdleCallback ?? setTimeout)(fetchOthers);
