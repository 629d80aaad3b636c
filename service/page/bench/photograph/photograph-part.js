// At the bench: marks taken off a photograph of the marked blank. The picture stays in the browser.

import { h, fill, newId } from "../../parts/element.js";
import { job } from "../../job/job.js";
import { orderOf } from "../../order/order-of-job.js";
import { askJson } from "../../service/requests.js";
import { blankSketch } from "./blank-sketch.js";
import { add, begin, FRONTS, onPhoto, photo, putAway, suggest, turn } from "./photo.js";
import { readPicture } from "./picture-file.js";
import { askSoon, placed, placedCard } from "./placed-marks.js";
import { pointList } from "./point-list.js";
import { stage } from "./stage.js";
import { nextPoint, tapChoice } from "./tap-choice.js";

export function photograph() {
  if (photo.picture && photo.for !== job.id) putAway();
  const said = h("p", { class: "small photo-said", role: "status", "aria-live": "polite" });
  const say = (words) => fill(said, words);
  const work = h("div");
  const root = h("div", {}, lead(), pictureCard(say), said, work);
  let shown = null;
  const draw = () => {
    if (shown !== Boolean(photo.picture)) fill(work, photo.picture ? bench(say) : howTo());
    shown = Boolean(photo.picture);
  };
  draw();
  onPhoto(root, draw);
  askPoints(say);
  return root;
}

function lead() {
  return h(
    "p",
    { class: "lead" },
    "Take a picture of the marked blank and point at what it shows. The picture stays in this browser and is sent nowhere; only where you point goes to the service that shows this page.",
  );
}

async function askPoints(say) {
  try {
    suggest(await askJson("/photographs/points", { body: { blank: orderOf().blank } }));
  } catch (error) {
    say(error.message);
  }
}

function pictureCard(say) {
  const told = h("div", { role: "alert" });
  const open = async (picker) => {
    const [file] = picker.files;
    picker.value = "";
    if (!file) return;
    fill(told);
    say("Opening the picture …");
    try {
      const picture = await readPicture(file);
      begin(picture);
      say(`The picture is open: ${picture.width} × ${picture.height} pixels. Drag the four numbered points to their places.`);
    } catch (error) {
      say("");
      fill(told, h("p", { class: "refusal" }, error.message));
    }
  };
  const picker = (words, more) => {
    const input = h("input", { type: "file", accept: "image/*", id: newId("picture"), class: "unseen", ...more });
    input.addEventListener("change", () => open(input));
    return h("label", { class: "button file-label" }, input, words);
  };
  return h(
    "section",
    { class: "card", "aria-labelledby": "photo-picture" },
    h("h2", { id: "photo-picture" }, "The picture"),
    h(
      "div",
      { class: "row" },
      picker("Take a picture", { capture: "environment" }),
      picker("Open a picture", {}),
    ),
    told,
  );
}

function howTo() {
  return h(
    "section",
    { class: "card", "aria-labelledby": "photo-how" },
    h("h2", { id: "photo-how" }, "How to take it"),
    h(
      "ul",
      {},
      [
        "The whole blank in the picture, all of its edges free, and little else: it should fill it.",
        "From above, as square as you can; a slant is corrected, but a steep one makes the marks less sure.",
        "Four crosses whose places you measured, well apart and near the marks, make the marks sure.",
        "Do not crop, straighten or stretch the picture: the lens is found about its middle.",
        "Only marks on the top face can be placed. Marks in a hollow that is begun, and backs of knees ahead of the wood, are for the tape.",
      ].map((words) => h("li", {}, words)),
    ),
  );
}

function bench(say) {
  const aside = h("div");
  const sketch = h("div");
  const list = h("div");
  const result = h("div");
  const view = stage({ tapped: (pixel) => put(pixel), say });
  const choice = tapChoice(() => put(view.middle(), true));
  function put(pixel, byKey = false) {
    const point = nextPoint();
    choice.refuse(point.refusal);
    if (point.refusal) return say(point.refusal);
    const made = add(point, pixel);
    choice.renew();
    if (byKey) view.focus(made);
    say(`${made.name ?? "Edge point"}${made.side && made.side !== "middle" ? `, ${made.side}` : ""} put.`);
  }
  const draw = () => {
    fill(sketch, photo.outline.length ? blankSketch() : null);
    fill(list, pointList({ focus: (one) => view.focus(one), found: placed.found, say }));
    fill(result, placedCard(say));
  };
  const answered = () => {
    draw();
    if (placed.refusal && !placed.asking) say("The points do not fit: see Where the marks are.");
  };
  onPhoto(aside, (what) => {
    if (what === "moved") return;
    choice.renew();
    // Before it is drawn: what was found of other points is not to be added.
    if (what === "changed") askSoon(answered);
    else draw();
  });
  askSoon(answered);
  fill(aside, fronts(), sketch, choice.element, result, list);
  return h("div", { class: "columns photo-bench" }, h("div", { class: "stays" }, view.element), aside);
}

function fronts() {
  return h(
    "fieldset",
    { class: "field" },
    h("legend", {}, "The front edge is, in the picture,"),
    h(
      "div",
      { class: "choices" },
      Object.entries(FRONTS).map(([value, { words }]) =>
        h(
          "label",
          {},
          h("input", {
            type: "radio",
            name: "photo-front",
            value,
            checked: value === photo.front,
            onchange: () => turn(value),
          }),
          h("span", {}, words),
        ),
      ),
    ),
  );
}
