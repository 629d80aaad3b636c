// What the service makes of the points: where the marks are and how surely, and what would make them surer.

import { h } from "../../parts/element.js";
import { change, itemId, job } from "../../job/job.js";
import { figure, inUnits, writeLength } from "../../parts/lengths.js";
import { orderOf } from "../../order/order-of-job.js";
import { placeWords } from "../../drawings/contact-map.js";
import { askJson } from "../../service/requests.js";
import { shape } from "../../seat/shaped-seat.js";
import { edges, known, nameOfPoint, photo, seenMarks, tell, unplaced } from "./photo.js";
import { shortLength } from "./point-list.js";

const QUIET_MS = 350;
export const placed = { found: null, refusal: "", asking: false };
let timer = 0;
let asked = null;

/** Ask where the marks are, once nothing was moved for a moment; `after` is called when there is an answer. */
export function askSoon(after) {
  clearTimeout(timer);
  asked?.abort();
  if (!photo.picture || unplaced().length) {
    Object.assign(placed, { found: null, refusal: "", asking: false });
    return after();
  }
  placed.asking = true;
  after();
  timer = setTimeout(() => askNow(after), QUIET_MS);
}

async function askNow(after) {
  const own = (asked = new AbortController());
  try {
    const found = await askJson("/photographs/marks", { body: question(), signal: own.signal });
    Object.assign(placed, { found, refusal: "" });
  } catch (error) {
    if (error.name === "AbortError") return;
    Object.assign(placed, { found: null, refusal: error.message });
  }
  placed.asking = false;
  after();
}

/** The points, and nothing else of the picture but its size. */
function question() {
  const { width, height } = photo.picture;
  return {
    blank: orderOf().blank,
    image_size_px: [width, height],
    known: known().map(({ name, u, v, x_mm, y_mm }) => ({ name, pixel: [u, v], x_mm, y_mm })),
    edge: edges().map(({ u, v }) => [u, v]),
    mark: seenMarks().map(({ name, side, sitter, u, v }) => ({ name, side, pixel: [u, v], ...(sitter ? { sitter } : {}) })),
  };
}

/** The card of marks as the photograph places them. */
export function placedCard(say) {
  return h(
    "section",
    { class: "card", "aria-labelledby": "photo-placed" },
    h("h2", { id: "photo-placed", tabindex: -1 }, "Where the marks are"),
    content(say),
  );
}

function content(say) {
  const left = unplaced();
  if (left.length) {
    const names = left.map(({ name }) => name).join(", ");
    return h("p", {}, `Still to be put in the picture: ${names}. The marks are placed as soon as all four stand.`);
  }
  if (placed.refusal) return h("p", { class: "refusal" }, inUnits(sentence(placed.refusal), job.units));
  if (!placed.found) return h("p", { class: "small" }, "Working out where the marks are …");
  const { found } = placed;
  return [
    h("p", {}, fitWords(found)),
    found.doubts.map((words) => h("p", { class: "refusal" }, inUnits(words, job.units))),
    found.marks.length
      ? [table(found), addButton(found, say)]
      : h("p", {}, "Now choose “a mark” and tap the marks. Each further point makes them surer."),
  ];
}

function fitWords(found) {
  if (found.rms_mm === null)
    return "Nothing checks these points yet: they fit whatever the lens does. Add points on the edge, or crosses that you measured.";
  const [rms, worst] = [found.rms_mm, found.worst_mm].map(shortLength);
  const way = found.bend_percent < 0 ? "in" : "out";
  const bend = `${figure(Math.abs(found.bend_percent), 1)} ± ${figure(found.bend_error_percent, 1)} %`;
  return `The ${found.points.length} points agree: each is ${rms} from where all others put it (root mean square), at worst ${worst}, ${found.worst}. The lens draws the corners of the picture ${way} by ${bend}.`;
}

function table(found) {
  return h(
    "table",
    {},
    h("caption", {}, "Each lies within ± of its place in 99 of 100 cases, as far as the picture goes; a mark itself scatters more."),
    h(
      "thead",
      {},
      h("tr", {}, h("th", { scope: "col" }, "Mark"), h("th", { scope: "col" }, "Place"), h("th", { scope: "col", class: "number" }, "±")),
    ),
    h(
      "tbody",
      {},
      found.marks.map((one) =>
        h(
          "tr",
          { class: one.sure ? null : "doubtful" },
          h("th", { scope: "row" }, nameOfPoint({ kind: "mark", ...one })),
          h("td", {}, placeWords(one.x_mm, one.y_mm)),
          h(
            "td",
            { class: "number" },
            writeLength(one.within_mm, job.units, 1),
            h("span", { class: "small under" }, one.sure ? "sure" : "not sure"),
          ),
        ),
      ),
    ),
  );
}

function addButton(found, say) {
  const doubtful = found.marks.filter((one) => !one.sure).length;
  const words = doubtful ? `Add these marks, ${doubtful} of them not sure` : "Add these marks";
  const onclick = () => {
    const count = found.marks.length;
    change((one) => one.marks.push(...found.marks.map(markOf)));
    photo.points = photo.points.filter(({ kind }) => kind !== "mark");
    photo.chosen = null;
    say(`${count} marks added to the fitting marks.`);
    tell("changed");
    shape();
    document.getElementById("photo-placed")?.focus();
  };
  return h("button", { type: "button", class: "go", disabled: placed.asking, onclick }, words);
}

function markOf({ name, side, sitter, x_mm: x, y_mm: y, standard_error_mm: error }) {
  const tenths = (mm) => Math.round(mm * 10) / 10;
  return { id: itemId(), name, side, x_mm: tenths(x), y_mm: tenths(y), standard_error_mm: error, ...(sitter ? { sitter } : {}) };
}

function sentence(words) {
  const text = words.replace(/^photograph:? /, "").replaceAll("'", "’");
  return `${text[0].toUpperCase()}${text.slice(1)}`;
}
