// What the next tap in the picture puts there: a point on the edge, a point that is known, or a mark.

import { h, fill, newId } from "../../parts/element.js";
import { quantity } from "../../parts/quantity-field.js";
import { job } from "../../job/job.js";
import { nameOf } from "../../order/order-of-job.js";
import { askedFor, fieldsOf, fromZero, sentence, vocabulary } from "../../order/vocabulary.js";
import { photo, seenMarks } from "./photo.js";

const KINDS = vocabulary.marks;
const FIELDS = fromZero(askedFor(fieldsOf(vocabulary.tables.mark), "first"));
const WHAT = {
  edge: "a point on the edge",
  known: "a point that I know",
  mark: "a mark",
};
const CROSS = "a cross that I measured";
const next = { kind: "edge", known: "", mark: "sit bone", side: "left", crossSide: "right", sitter: 0, typed: {} };

/** The card that asks what is tapped next; `put` puts it into the middle of what is shown. */
export function tapChoice(put) {
  const rest = h("div");
  const told = h("p", { class: "refusal", role: "alert", hidden: true });
  const renew = () => fill(rest, next.kind === "known" ? knownFields(renew) : next.kind === "mark" ? markFields(renew) : edgeWords());
  const element = h(
    "section",
    { class: "card", "aria-labelledby": "photo-next" },
    h("h2", { id: "photo-next" }, "What to tap next"),
    radios("photo-kind", "The next tap puts", Object.entries(WHAT), next.kind, (kind) => {
      next.kind = kind;
      renew();
    }),
    rest,
    told,
    h("button", { type: "button", onclick: put }, "Put it in the middle of the picture"),
    h("p", { class: "hint" }, "Then move it with the arrow keys: one pixel, with Shift ten, with Ctrl a hundred."),
  );
  renew();
  return {
    element,
    renew,
    refuse: (words) => {
      fill(told, words ?? "");
      told.hidden = !words;
    },
  };
}

/** The point that the next tap puts, or `{refusal}`; what comes after it is chosen at once. */
export function nextPoint() {
  if (next.kind === "edge") return { kind: "edge" };
  return next.kind === "known" ? nextKnown() : nextMark();
}

function nextKnown() {
  const one = left().find(({ name }) => name === next.known);
  if (one) {
    next.known = left().find(({ name }) => name !== one.name)?.name ?? CROSS;
    return { kind: "known", suggested: true, ...one };
  }
  const { x_mm: x, y_mm: y, crossSide: side } = next;
  if (typeof y !== "number" || (side !== "middle" && typeof x !== "number"))
    return { refusal: "Give the distances of the cross first: from the centre line and from the rear edge." };
  const taken = new Set(photo.points.map(({ name }) => name));
  let number = 1;
  while (taken.has(`cross ${number}`)) number += 1;
  const point = { kind: "known", name: `cross ${number}`, x_mm: side === "middle" ? 0 : side === "left" ? -x : x, y_mm: y };
  Object.assign(next, { x_mm: undefined, y_mm: undefined, typed: {} });
  return point;
}

function nextMark() {
  const { mark: name, side } = next;
  const whose = job.sitters.length > 1 && nameOf(job.sitters[next.sitter] ?? job.sitters[0], next.sitter);
  advance();
  return { kind: "mark", name, side, ...(whose ? { sitter: whose } : {}) };
}

// The other side comes next, then the next kind that is not there yet.
function advance() {
  const names = Object.keys(KINDS);
  if (next.side === "left" && KINDS[next.mark].sides.includes("right")) {
    next.side = "right";
    return;
  }
  const seen = new Set([...seenMarks().map(({ name }) => name), next.mark]);
  next.mark = names.find((name) => !seen.has(name)) ?? next.mark;
  [next.side] = KINDS[next.mark].sides;
}

/** The suggested points that are not in the picture yet. */
function left() {
  return photo.suggested.filter(({ name }) => !photo.points.some((one) => one.suggested && one.name === name));
}

function edgeWords() {
  return h(
    "p",
    { class: "hint" },
    "Anywhere on the outline of the top face, all round it, six or more: they tell how the lens bends the picture.",
  );
}

function knownFields(renew) {
  const names = [...left().map(({ name }) => name), CROSS];
  if (!names.includes(next.known)) [next.known] = names;
  return [
    chosen("Which", names, next.known, (name) => {
      next.known = name;
      renew();
    }),
    next.known === CROSS
      ? crossFields(renew)
      : h("p", { class: "hint" }, "Half way is half of the blank’s depth from the rear edge: mark it there."),
  ];
}

function crossFields(renew) {
  const sides = [
    ["left", "left"],
    ["middle", "on the centre line"],
    ["right", "right"],
  ];
  return [
    radios("photo-cross-side", "The sitter’s side", sides, next.crossSide, (side) => {
      next.crossSide = side;
      renew();
    }),
    h(
      "div",
      { class: "pairs" },
      Object.entries(FIELDS)
        .filter(([key]) => key !== "x_mm" || next.crossSide !== "middle")
        .map(([key, field]) =>
          quantity({
            ...field,
            key: `cross.${key}`,
            hint: "",
            value: next[key],
            typed: () => next.typed,
            put: (value) => {
              next[key] = value;
            },
          }),
        ),
    ),
  ];
}

function markFields(renew) {
  const kind = KINDS[next.mark];
  if (!kind.sides.includes(next.side)) [next.side] = kind.sides;
  return [
    job.sitters.length > 1 &&
      chosen(
        "Whose",
        job.sitters.map(nameOf),
        nameOf(job.sitters[next.sitter] ?? job.sitters[0], next.sitter),
        (name, number) => {
          next.sitter = number;
        },
      ),
    chosen("Which mark", Object.keys(KINDS), next.mark, (name) => {
      next.mark = name;
      renew();
    }),
    h("p", { class: "hint" }, sentence(kind.how)),
    kind.sides.length > 1 &&
      radios(
        "photo-mark-side",
        "The sitter’s side",
        kind.sides.map((side) => [side, side]),
        next.side,
        (side) => {
          next.side = side;
        },
      ),
  ];
}

function chosen(label, names, now, put) {
  const id = newId("photo");
  return h(
    "div",
    { class: "field" },
    h("label", { for: id }, label),
    h(
      "select",
      {
        id,
        onchange: (event) => {
          put(event.target.value, event.target.selectedIndex);
          // What follows may be drawn anew with it.
          document.querySelector(`select[data-label="${label}"]`)?.focus();
        },
        "data-label": label,
      },
      names.map((name) => h("option", { value: name, selected: name === now }, name)),
    ),
  );
}

function radios(name, legend, words, now, put) {
  return h(
    "fieldset",
    { class: "field" },
    h("legend", {}, legend),
    h(
      "div",
      { class: "choices" },
      words.map(([value, said]) =>
        h(
          "label",
          {},
          h("input", {
            type: "radio",
            name,
            value,
            checked: value === now,
            onchange: () => {
              put(value);
              document.querySelector(`input[name="${name}"][value="${value}"]`)?.focus();
            },
          }),
          h("span", {}, said),
        ),
      ),
    ),
  );
}
