// Step: wishes, as sliders in the words of the trade, with the seat beside them that follows.

import { h, fill } from "../parts/element.js";
import { change, job } from "../job/job.js";
import { isReady } from "../order/order-of-job.js";
import { figure, writeLength } from "../parts/lengths.js";
import { quantity } from "../parts/quantity-field.js";
import { onSeatWhileShown, refusalPlace } from "../service/refusals.js";
import { shape, seat } from "../seat/shaped-seat.js";
import { seatFigures } from "../seat/figures.js";
import { seatView } from "../seat/view-panel.js";
import {
  CHARACTERS,
  FURTHER_ORDER,
  FURTHER_WISHES,
  roomForHollow,
  usualOf,
  WISHES,
  wishesOf,
  WORD_WISHES,
} from "../order/usual-values.js";
import { folded, setIn, tableFields } from "../order/table-fields.js";
import { choicesOf } from "../order/vocabulary.js";
import { choice } from "../parts/choice-field.js";
import { followingPanel } from "../parts/following-panel.js";
import { usualWishes, wish } from "./slider.js";

export function wishes() {
  const root = h("div");
  const sliders = h("div", { class: "card" });
  const draw = () =>
    fill(
      sliders,
      character(draw),
      Object.entries(WISHES).map(([key, one]) => {
        const asUsual = { ...one, usual: usualOf(job, "wishes", key) };
        return key === "depth_mm" ? depthWish(key, asUsual) : wish(key, asUsual);
      }),
      word("rim"),
      word("form"),
      further(),
      stages(),
      usualWishes(draw),
    );
  draw();
  fill(
    root,
    h(
      "p",
      { class: "lead" },
      "Slide, and a fitted seat follows. Let go, and the best shape in your wood is worked out.",
    ),
    refusalPlace(root, "wishes"),
    isReady()
      ? null
      : h(
          "p",
          { class: "card" },
          "The seat is drawn once there is someone to sit in it: ",
          h("a", { href: "#sitters" }, "who sits"),
          ".",
        ),
    h(
      "div",
      { class: "columns two" },
      sliders,
      followingPanel(["The seat", peaks()], seatView({ small: true }), notice(), seatFigures()),
    ),
  );
  shape();
  return root;
}

/** The character of the whole seat, which the sliders below start from, and what a maker says of it. */
function character(draw) {
  const says = h("p", { class: "small" });
  const tell = (name) => fill(says, CHARACTERS.find((one) => one.name === name)?.says ?? "");
  const chosen = job.wishes.character ?? "usual";
  tell(chosen);
  const put = (name) => {
    putWord("character", name === "usual" ? undefined : name);
    draw();
    shape();
  };
  const all = CHARACTERS.map((one) => [one.name, one.name]);
  return h("div", {}, choice(WORD_WISHES.character.label, all, chosen, put, "wishes.character"), says);
}

/** A wish that is one word of a few. */
function word(key) {
  const one = WORD_WISHES[key];
  const chosen = job.wishes[key] ?? wishesOf(job.wishes.character)[key] ?? one.usual;
  const put = (name) => {
    putWord(key, name);
    shape();
  };
  return h(
    "div",
    {},
    choice(one.label, Object.entries(choicesOf("wishes", key, {})), chosen, put, `wishes.${key}`),
    h("p", { class: "small" }, one.hint),
  );
}

function putWord(key, name) {
  change((all) => {
    if (name === undefined) delete all.wishes[key];
    else all.wishes[key] = name;
  });
}

/** Wishes that few have: typed, not slid. */
function further() {
  const field = ([key, one]) =>
    quantity({
      ...one,
      key: `wishes.${key}`,
      value: job.wishes[key] ?? one.usual,
      put: (value) =>
        change((all) => {
          if (value === undefined) delete all.wishes[key];
          else all.wishes[key] = value;
        }),
      after: shape,
    });
  return h(
    "details",
    { open: Object.keys(FURTHER_WISHES).some((key) => job.wishes[key] !== undefined) },
    h("summary", {}, "More wishes"),
    h("div", { class: "pairs" }, Object.entries(FURTHER_WISHES).map(field)),
  );
}

/** What the order says of the whole, such as the stages in which a first seat is sat in. */
function stages() {
  return folded(
    "order",
    "Stages for a first fitting",
    Object.keys(FURTHER_ORDER).some((key) => job.others[key] !== undefined),
    tableFields(FURTHER_ORDER, {
      key: "order",
      values: () => job.others,
      put: (key, value) => setIn(job.others, key, value),
      after: shape,
    }),
  );
}

// No deeper than the wood allows, and neither is what is usual.
function depthWish(key, one) {
  const room = roomForHollow(job);
  return wish(key, { ...one, usual: Math.min(one.usual, Math.max(room, one.span[0])) }, room);
}

/** The peaks in one line, for where the figures below have no room. */
function peaks() {
  const place = h("span", { class: "told" });
  const draw = () => {
    const told = seat.sittings.map((one) => `${one.body} ${figure(one.peak_kpa, 1)}`);
    fill(place, told.length ? `peak ${told.join(", ")} kPa` : "");
  };
  draw();
  onSeatWhileShown(place, draw);
  return place;
}

function notice() {
  const place = h("p", { class: "small" });
  const draw = () => {
    if (seat.state === "following") fill(place, "A fitted seat; the best shape comes when you let go.");
    else if (seat.state === "shaped" && seat.report.hollow.deepest_mm > 0)
      fill(
        place,
        `Best shape: deepest ${writeLength(seat.report.hollow.deepest_mm, job.units)}, `,
        `${writeLength(seat.report.hollow.floor_left_mm, job.units)} of wood left there.`,
      );
    else if (seat.state === "shaping") fill(place, "Finding the best shape …");
    else fill(place);
  };
  draw();
  onSeatWhileShown(place, draw);
  return place;
}
