// Leg mortises: where the legs enter the underside, so that enough wood stays over them.

import { h, fill } from "../parts/element.js";
import { change, itemId, job } from "../job/job.js";
import { chosenDepth, depthOf, LEAST_SHARE } from "./mortise-depth.js";
import { roundInches, writeLength } from "../parts/lengths.js";
import { quantity, shownIn } from "../parts/quantity-field.js";
import { sayRemoved } from "../job/undo-removal.js";
import { JOINT } from "../order/usual-values.js";
import { rowFields } from "../order/table-rows.js";
import { folded } from "../order/table-fields.js";
import { fromZero } from "../order/vocabulary.js";

const FIELDS = fromZero(JOINT);
FIELDS.x_mm.hint = "To either side.";
const LEG = { kind: "leg mortise", diameter_mm: 25, side: "both", chosen: true };
/** Pairs as they are offered; their depth is chosen from the wood. */
export const OFFERED = [
  { ...LEG, x_mm: 165, y_mm: 370, angle_deg: 12 },
  { ...LEG, x_mm: 140, y_mm: 70, angle_deg: 18 },
];
/** A further pair stands between the usual ones until it is moved. */
const BETWEEN = { ...LEG, x_mm: 175, y_mm: 220, angle_deg: 10 };
const SAME_PLACE_MM = 40;

/** The legs' `card`, and `tell` for when the wood changed; other joints of an opened order are kept and counted. */
export function mortises(edited) {
  const card = h("section", { class: "card", "aria-labelledby": "wood-legs" });
  let pairs = [];
  // Only words change while a field is left: were the card drawn anew, the press that left it would come to nothing.
  const tell = () => pairs.forEach((one) => one.tell());
  const after = () => {
    tell();
    edited();
  };
  const redo = () => {
    draw();
    edited();
  };
  const draw = () => {
    const legs = joints().filter((one) => one.kind === "leg mortise");
    pairs = legs.map((leg, number) => pair(leg, number, after, redo));
    fill(card, heading(), pairs.map((one) => one.details), adding(legs, redo));
  };
  draw();
  return { card, tell };
}

function joints() {
  return job.others.joint ?? [];
}

function put(list) {
  change((one) => {
    if (list.length) one.others.joint = list;
    else delete one.others.joint;
  });
}

function heading() {
  return [
    h("h2", { id: "wood-legs" }, "Legs"),
    h(
      "p",
      { class: "small" },
      "Each is a pair of leg mortises, mirrored about the centre line. The hollow leaves wood over them.",
    ),
  ];
}

function adding(legs, redo) {
  const next = offered(OFFERED.find((one) => !legs.some((leg) => isNear(one, leg))) ?? BETWEEN);
  return h(
    "button",
    {
      type: "button",
      onclick: () => {
        put([...joints(), { ...next, id: itemId() }]);
        redo();
      },
    },
    "Add a pair of legs",
  );
}

// In inches their places and their size are round ones of them.
function offered(leg) {
  if (job.units !== "in") return leg;
  const lengths = ["x_mm", "y_mm", "diameter_mm"].map((key) => [key, roundInches(leg[key])]);
  return { ...leg, ...Object.fromEntries(lengths) };
}

function isNear(one, leg) {
  return Math.hypot(one.x_mm - Math.abs(leg.x_mm), one.y_mm - leg.y_mm) < SAME_PLACE_MM;
}

function pair(leg, number, after, redo) {
  const place = joints().indexOf(leg);
  const fields = Object.fromEntries(Object.keys(FIELDS).map((key) => [key, field(leg, place, key, after)]));
  const title = h("summary");
  const words = h("p", { class: "small" });
  const choose = h(
    "button",
    {
      type: "button",
      class: "quiet",
      onclick: () => {
        change(() => {
          leg.chosen = true;
          delete leg.depth_mm;
        });
        after();
        fields.depth_mm.querySelector("input").focus();
      },
    },
    "Let the wood set the depth",
    h("span", { class: "unseen" }, ` for pair ${number + 1}`),
  );
  const tell = () => {
    fill(title, `Pair ${number + 1}: ${where(leg)}`);
    fill(words, depthWords(leg));
    choose.hidden = Boolean(leg.chosen);
    if (leg.chosen) fields.depth_mm.querySelector("input").value = shownIn("length", depthOf(leg, job));
  };
  tell();
  const away = () => {
    const place = joints().findIndex(({ id }) => id === leg.id);
    put(joints().filter(({ id }) => id !== leg.id));
    redo();
    sayRemoved("The pair of legs is", () => put(joints().toSpliced(place, 0, leg)), redo);
  };
  const details = h(
    "details",
    {},
    title,
    h("div", { class: "pairs" }, Object.values(fields)),
    words,
    folded(
      `joint.${leg.id}.further`,
      "More about these legs",
      false,
      rowFields("joint", leg, place, (key) => (key === "side" ? redo() : after()), (key) => !(key in FIELDS) && key !== "kind"),
    ),
    h(
      "div",
      { class: "row" },
      choose,
      h("button", { type: "button", class: "quiet", onclick: away }, `Remove pair ${number + 1}`),
    ),
  );
  return { details, tell };
}

function field(leg, number, key, after) {
  const isDepth = key === "depth_mm";
  const { range } = leg.side === "one" ? JOINT[key] : FIELDS[key];
  return quantity({
    ...FIELDS[key],
    range,
    key: `joint.${number}.${key}`,
    as: `joint.${leg.id}.${key}`,
    value: isDepth ? depthOf(leg, job) : leg[key],
    put: (value) =>
      change(() => {
        if (isDepth) delete leg.chosen;
        if (value === undefined) delete leg[key];
        else leg[key] = value;
      }),
    after,
  });
}

function depthWords(leg) {
  const least = writeLength(LEAST_SHARE * (Number(leg.diameter_mm) || LEG.diameter_mm), job.units);
  const deepest = chosenDepth(leg, job);
  const none = `A blind mortise of ${least} or more has no room under the hollow`;
  if (leg.chosen)
    return deepest === undefined
      ? `Chosen from thickness, floor and hollow: through and through, to be wedged from above. ${none}.`
      : `Chosen from thickness, floor and hollow: the floor stays over it, and the hollow loses nothing.`;
  return deepest === undefined
    ? `${none}; one that goes through and through costs it nothing.`
    : `Up to ${writeLength(deepest, job.units)} deep it costs the hollow nothing.`;
}

function where(leg) {
  const say = (value) => (typeof value === "number" ? writeLength(value, job.units) : value);
  const depth = depthOf(leg, job);
  return `${say(leg.x_mm)} either side, ${say(leg.y_mm)} from the rear, ${depth === undefined ? "through" : `${say(depth)} deep`}`;
}
