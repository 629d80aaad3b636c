// Step: who sits. A few measures, drawings of how to take them, and what is estimated of the rest, how surely.

import { h, fill, newId } from "../parts/element.js";
import { change, job } from "../job/job.js";
import { nameOf, sitterOf, tableOf } from "../order/order-of-job.js";
import { KINDS } from "../parts/quantity-field.js";
import { refusalPlace } from "../service/refusals.js";
import { shape } from "../seat/shaped-seat.js";
import { askJson } from "../service/requests.js";
import { exampleCard } from "../example/example.js";
import { MEASURES } from "./measures.js";
import { errorFields, habitFields, measureField, nameField, sexField } from "./fields.js";
import { tellEstimate } from "./estimate.js";
import { sayRemoved } from "../job/undo-removal.js";
import { vocabulary } from "../order/vocabulary.js";

const FIRST = ["stature_mm", "mass_kg"];
const MOST = vocabulary.tables.sitter.most;

export function sitters() {
  const root = h("div");
  const list = h("div", { class: "stack" });
  fill(
    root,
    h(
      "p",
      { class: "lead" },
      "Stature and body mass are needed. Every further measure narrows the guesswork. ",
      "If several people will share the seat, add them all.",
    ),
    exampleCard(() => root.replaceWith(sitters())),
    refusalPlace(root, "sitters"),
    titleField(),
    list,
    adding(list),
  );
  draw(list);
  return root;
}

function titleField() {
  const id = newId("title");
  return h(
    "div",
    { class: "field", "data-key": "order.title" },
    h("label", { for: id }, "What the seat is called"),
    h(
      "div",
      { class: "entry" },
      h("input", {
        id,
        type: "text",
        maxlength: vocabulary.tables.order.keys.title.longest,
        value: job.title,
        placeholder: "a name for the job",
        oninput: (event) =>
          change((one) => {
            one.title = event.target.value;
          }),
      }),
    ),
  );
}

function draw(list) {
  fill(
    list,
    job.sitters.map((sitter, number) => sitterCard(sitter, number, MEASURES, () => draw(list))),
  );
}

function adding(list) {
  const choice = h(
    "select",
    { id: newId("body"), "aria-label": "An example sitter, with invented measures" },
    h("option", { value: "" }, "an example sitter …"),
  );
  const bodies = askJson("/bodies")
    .then((told) => {
      choice.append(...Object.entries(told.bodies).map(([key, body]) => h("option", { value: key }, body.name ?? key)));
      return told.bodies;
    })
    .catch(() => ({}));
  choice.addEventListener("change", async () => {
    const body = (await bodies)[choice.value];
    if (body) add(sitterOf(tableOf(body, choice.value)), list);
    choice.value = "";
  });
  return h(
    "div",
    { class: "row" },
    h(
      "button",
      { type: "button", onclick: () => add(sitterOf({}), list) },
      "Add another sitter",
    ),
    h("div", { class: "entry" }, choice),
  );
}

async function add(sitter, list) {
  if (job.sitters.length >= MOST) return;
  change((one) => {
    const bare = one.sitters.length === 1 && !one.sitters[0].name && !Object.keys(one.sitters[0].measures).length;
    if (bare && sitter.name) one.sitters = [sitter];
    else one.sitters.push(sitter);
  });
  await draw(list);
  list.lastElementChild.querySelector("input").focus();
  shape();
}

function sitterCard(sitter, number, kinds, redraw) {
  const surely = h("div", { class: "surely stays", "aria-live": "polite" });
  const waiting = { timer: 0 };
  const estimate = () => {
    clearTimeout(waiting.timer);
    waiting.timer = setTimeout(() => tellEstimate(surely, sitter, number, kinds), 350);
  };
  const measure = (key) => measureField(sitter, number, key, kinds[key], estimate);
  const more = Object.keys(kinds).filter((key) => !FIRST.includes(key));
  const given = more.some((key) => sitter.measures[key] !== undefined);
  tellEstimate(surely, sitter, number, kinds);
  const inside = h(
    "div",
    { class: "columns two" },
    h(
      "div",
      {},
      nameField(sitter, number, () => {
        tellName(card, nameOf(sitter, number));
        estimate();
      }),
      sexField(sitter, number, estimate),
      FIRST.map(measure),
      h("details", { open: given }, h("summary", {}, "More measures, for less guesswork"), more.map(measure)),
      h(
        "details",
        { open: sitter.weight !== 1 || Object.keys(sitter.habit).length > 0 },
        h("summary", {}, "How this sitter likes to sit"),
        habitFields(sitter, number, estimate),
      ),
      errors(sitter, number, estimate),
    ),
    surely,
  );
  const card = h(
    "section",
    { class: "card", "aria-label": nameOf(sitter, number) },
    job.sitters.length === 1 ? [h("h2", {}, "Sitter 1"), inside] : folded(sitter, number, inside, redraw),
  );
  return card;
}

// While a name is typed the card bears it; the rest is not drawn anew, as somebody types in it.
function tellName(card, name) {
  card.setAttribute("aria-label", name);
  const whom = card.querySelector(".whom");
  if (whom) fill(whom, ` ${name}`);
}

// Drawn when it is opened: only what was measured has an error of its own.
function errors(sitter, number, estimate) {
  const place = h("div");
  return h(
    "details",
    {
      open: Boolean(sitter.standard_errors),
      ontoggle: (event) => event.target.open && fill(place, errorFields(sitter, number, estimate)),
    },
    h("summary", {}, "How closely this sitter was measured"),
    place,
  );
}

// Several sitters are folded to one line each once they are told, the one at hand is open.
function folded(sitter, number, inside, redraw) {
  const told = FIRST.every((key) => typeof sitter.measures[key] === "number");
  const words = told
    ? `${nameOf(sitter, number)}, ${KINDS.length.say(sitter.measures.stature_mm)}, ${KINDS.mass.say(sitter.measures.mass_kg)}`
    : `Sitter ${number + 1}`;
  return h(
    "details",
    { open: !told || number === job.sitters.length - 1 },
    h("summary", {}, h("h2", {}, words)),
    inside,
    h(
      "button",
      { type: "button", class: "quiet", onclick: () => remove(number, redraw) },
      "Remove",
      h("span", { class: "unseen whom" }, ` ${nameOf(sitter, number)}`),
    ),
  );
}

function remove(number, redraw) {
  const sitter = job.sitters[number];
  change((one) => {
    one.sitters.splice(number, 1);
  });
  redraw();
  sayRemoved(`${nameOf(sitter, number)} is`, (one) => one.sitters.splice(number, 0, sitter), redraw);
  shape();
}
