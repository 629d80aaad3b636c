// A wish that is slid along a rule or typed: while it is slid the closed form follows, on release the best shape.

import { fill, h, newId } from "../parts/element.js";
import { change, job } from "../job/job.js";
import { stepMm } from "../parts/lengths.js";
import { faultOf, faultOfKept, KINDS, noteTyped, shownIn, showRefusal } from "../parts/quantity-field.js";
import { whenStill } from "../parts/redraw-in-place.js";
import { follow, seat, shape } from "../seat/shaped-seat.js";
import { onSeatWhileShown } from "../service/refusals.js";
import { sayRemoved } from "../job/undo-removal.js";

/** The slider of a wish; `most` caps its span where the wood does. */
export function wish(key, one, most = Infinity) {
  const { kind } = one;
  const as = `wishes.${key}`;
  const ids = { slider: newId("wish"), typed: newId("typed"), hint: newId("hint") };
  const value = job.wishes[key] ?? one.usual;
  const span = [one.span[0], Math.max(one.span[0], Math.min(one.span[1], most))];
  const step = kind === "share" ? 0.05 : kind === "angle" ? 1 : stepMm(job.units);
  const slider = h("input", {
    id: ids.slider,
    type: "range",
    min: span[0],
    max: span[1],
    step,
    "aria-describedby": ids.hint,
  });
  const typed = h("input", {
    id: ids.typed,
    type: "text",
    inputmode: KINDS[kind].keyboard(),
    autocomplete: "off",
    "aria-label": `${one.label}, typed`,
  });
  const refusal = h("div", { class: "refusal", hidden: true });
  const show = (now) => {
    const number = typeof now === "number" ? now : (span[0] + span[1]) / 2;
    slider.value = number;
    slider.setAttribute("aria-valuetext", typeof now === "number" ? KINDS[kind].say(now) : "left to the body");
    slider.classList.toggle("unset", typeof now !== "number");
  };
  const put = (now) =>
    change((all) => {
      if (now === undefined) delete all.wishes[key];
      else all.wishes[key] = now;
    });
  slider.addEventListener("input", () => {
    const now = Number(slider.value);
    delete job.typed[as];
    put(now);
    typed.value = shownIn(kind, now);
    showRefusal(typed, refusal, null);
    show(now);
    leave.hidden = one.usual !== null;
    follow(key);
  });
  slider.addEventListener("change", shape);
  typed.addEventListener("input", () => {
    noteTyped(job.typed, as, kind, typed.value);
    const read = KINDS[kind].read(typed.value);
    put(typed.value.trim() === "" ? undefined : (read ?? typed.value));
    if (typeof read === "number") show(read);
  });
  typed.addEventListener("change", () => {
    const fault = faultOf(kind, typed.value, one.range);
    whenStill(() => showRefusal(typed, refusal, fault));
    if (!fault) shape();
  });
  const leave = h(
    "button",
    {
      type: "button",
      class: "quiet",
      hidden: one.usual !== null || job.wishes[key] === undefined,
      onclick: () => {
        delete job.typed[as];
        put(undefined);
        typed.value = "";
        show(undefined);
        leave.hidden = true;
        shape();
      },
    },
    "Leave it to the body",
  );
  show(value);
  typed.value = shownIn(kind, value, job.typed[as]);
  if (typeof value === "string") showRefusal(typed, refusal, faultOfKept(kind, value, job.typed[as], one.range));
  return h(
    "div",
    { class: "wish", "data-key": `wishes.${key}` },
    h(
      "div",
      { class: "wish-head" },
      h("label", { for: ids.slider }, one.label),
      h("div", { class: "entry" }, typed, KINDS[kind].unit() && h("span", { class: "unit" }, KINDS[kind].unit())),
    ),
    slider,
    h(
      "div",
      { class: "ends" },
      h("span", {}, one.ends[0]),
      peakChange(key),
      h("span", {}, one.ends[1]),
    ),
    h("p", { class: "hint", id: ids.hint }, one.hint),
    leave,
    refusal,
  );
}

const MOST_TOLD = 2;
const LEAST_KPA = 0.05;

/** What sliding a wish does to the peak: against the same fitted seat before, once shaped against the best shape before. */
function peakChange(key) {
  const place = h("output", { class: "peak-change", "aria-live": "off" });
  const draw = () => {
    const told = seat.slid === key ? [...seat.change] : [];
    told.sort((one, two) => Math.abs(two.by) - Math.abs(one.by));
    fill(place, told.slice(0, MOST_TOLD).map(changeWords).join("; "));
  };
  draw();
  onSeatWhileShown(place, draw);
  return place;
}

function changeWords({ body, by }) {
  if (Math.abs(by) < LEAST_KPA) return `±0 kPa, ${body}`;
  return `${by > 0 ? "+" : "−"}${Math.abs(by).toFixed(1)} kPa, ${body}`;
}

/** Put every wish back to what is usual. */
export function usualWishes(redraw) {
  return h(
    "button",
    {
      type: "button",
      class: "quiet",
      onclick: () => {
        const { wishes } = job;
        change((all) => {
          all.wishes = {};
        });
        redraw();
        if (Object.keys(wishes).length)
          sayRemoved("Your wishes are", (all) => Object.assign(all, { wishes }), redraw);
        shape();
      },
    },
    "All as usual",
  );
}
