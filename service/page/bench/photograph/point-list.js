// What was pointed at, as a list: known points, edge points and marks, each with how well it fits, and a way to remove it.

import { h } from "../../parts/element.js";
import { job } from "../../job/job.js";
import { writeLength } from "../../parts/lengths.js";
import { placeWords } from "../../drawings/contact-map.js";
import { edges, known, nameOfPoint, photo, remove, seenMarks, signOf } from "./photo.js";

/** The list; `focus` puts the focus on a point's handle, `found` is what the service said of the points. */
export function pointList({ focus, found, say }) {
  const off = new Map((found?.points ?? []).map((one) => [one.name, one.off_mm]));
  const group = (title, points, words) =>
    points.length > 0 && [h("h3", {}, title), h("ol", { class: "entries photo-points" }, points.map((one) => row(one, words(one), focus, say)))];
  return h(
    "section",
    { class: "card", "aria-labelledby": "photo-points" },
    h("h2", { id: "photo-points", tabindex: -1 }, "Points in the picture"),
    group("Known", known(), (one) =>
      one.placed ? [placeOf(one), offWords(off.get(one.name))] : ["not put yet: drag it to its place"],
    ),
    group("On the edge", edges(), (one) => [offWords(off.get(nameOfPoint(one)))]),
    group("Marks", seenMarks(), () => []),
  );
}

function row(point, words, focus, say) {
  return h(
    "li",
    { class: point.id === photo.chosen ? "chosen" : null },
    h(
      "button",
      { type: "button", class: "quiet photo-name", onclick: () => focus(point) },
      signOf(point) && point.kind === "known" ? `${signOf(point)}  ` : "",
      nameOfPoint(point),
    ),
    h("span", { class: "small photo-off" }, words.filter(Boolean).map((one) => h("span", { class: "under" }, one))),
    !point.first &&
      h(
        "button",
        {
          type: "button",
          class: "quiet photo-remove",
          onclick: () => {
            say(`${nameOfPoint(point)} removed.`);
            remove(point);
            document.getElementById("photo-points")?.focus();
          },
        },
        "Remove",
        h("span", { class: "unseen" }, ` ${nameOfPoint(point)}`),
      ),
  );
}

function placeOf({ x_mm: x, y_mm: y }) {
  return placeWords(x, y);
}

/** A small length; one that would be written as none is said to be less than the least. */
export function shortLength(mm) {
  const least = job.units === "in" ? 25.4 / 32 : 0.1;
  return mm < least / 2 ? `less than ${writeLength(least, job.units, 1)}` : writeLength(mm, job.units, 1);
}

function offWords(off) {
  if (off === undefined) return null;
  return off === null
    ? "no other point checks it"
    : `${shortLength(off)} from where the others put it`;
}
