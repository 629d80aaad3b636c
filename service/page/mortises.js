// Leg mortises: where the legs enter the underside, so that enough wood stays over them.

import { h, fill } from "./element.js";
import { change, job } from "./job.js";
import { quantity } from "./quantity.js";
import { writeLength } from "./lengths.js";
import { JOINT } from "./usual.js";
import { fromZero } from "./vocabulary.js";

const FIELDS = fromZero(JOINT);
FIELDS.x_mm.hint = "To either side.";
const NEW = [
  { kind: "leg mortise", x_mm: 165, y_mm: 370, diameter_mm: 25, depth_mm: 28, angle_deg: 12, side: "both" },
  { kind: "leg mortise", x_mm: 140, y_mm: 70, diameter_mm: 25, depth_mm: 28, angle_deg: 18, side: "both" },
];

/** The card of the legs; other joints of an opened order are kept and counted. */
export function mortises(edited) {
  const card = h("section", { class: "card", "aria-labelledby": "wood-legs" });
  const draw = () => fill(card, content(draw, edited));
  draw();
  return card;
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

function content(draw, edited) {
  const legs = joints().filter((one) => one.kind === "leg mortise");
  const others = joints().length - legs.length;
  const redo = () => {
    draw();
    edited();
  };
  return [
    h("h2", { id: "wood-legs" }, "Legs"),
    h(
      "p",
      { class: "small" },
      "A pair of leg mortises each, mirrored at the centre line. The hollow leaves wood over them.",
      others ? ` ${others} other joint${others > 1 ? "s" : ""} of the order file stay as they are.` : "",
    ),
    legs.map((leg, number) =>
      h(
        "details",
        { open: false },
        h("summary", {}, `Pair ${number + 1}: ${where(leg)}`),
        h(
          "div",
          { class: "pairs" },
          Object.entries(FIELDS).map(([key, field]) =>
            quantity({
              ...field,
              key: `joint.${number}.${key}`,
              value: leg[key],
              put: (value) =>
                change(() => {
                  if (value === undefined) delete leg[key];
                  else leg[key] = value;
                }),
              after: edited,
            }),
          ),
        ),
        h(
          "button",
          {
            type: "button",
            class: "quiet",
            onclick: () => {
              put(joints().filter((one) => one !== leg));
              redo();
            },
          },
          `Remove pair ${number + 1}`,
        ),
      ),
    ),
    h(
      "button",
      {
        type: "button",
        onclick: () => {
          put([...joints(), { ...NEW[Math.min(legs.length, 1)] }]);
          redo();
        },
      },
      "Add a pair of legs",
    ),
  ];
}

function where(leg) {
  const say = (value) => (typeof value === "number" ? writeLength(value, job.units) : value);
  return `${say(leg.x_mm)} either side, ${say(leg.y_mm)} from the rear`;
}
