// Step: who sits. A few measures, drawings of how to take them, and what is estimated of the rest, how surely.

import { h, fill, newId } from "./element.js";
import { bodyOf, change, job, nameOf, tableOf } from "./job.js";
import { inUnits, writeLength } from "./lengths.js";
import { KINDS, quantity } from "./quantity.js";
import { refusalPlace } from "./refusals.js";
import { shape } from "./seat.js";
import { askJson } from "./service.js";
import { measureTable } from "./measures.js";
import { certainty } from "./certainty.js";

const FIRST = ["stature_mm", "mass_kg"];
const MOST = 12;

export function sitters() {
  const root = h("div");
  const list = h("div", { class: "stack" });
  fill(
    root,
    h(
      "p",
      { class: "lead" },
      "Stature and body mass are needed; every further measure makes the rest surer. ",
      "One seat can be shared: add everyone who will sit in it.",
    ),
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
    { class: "field" },
    h("label", { for: id }, "What the seat is called"),
    h(
      "div",
      { class: "entry" },
      h("input", {
        id,
        type: "text",
        maxlength: 60,
        value: job.title,
        placeholder: "a name for the job",
        oninput: (event) =>
          change((one) => {
            one.title = event.target.value;
          }),
        onchange: shape,
      }),
    ),
  );
}

async function draw(list) {
  let kinds;
  try {
    kinds = await measureTable();
  } catch (error) {
    return fill(
      list,
      h("p", { class: "refusal" }, error.message),
      h("button", { type: "button", onclick: () => draw(list) }, "Try again"),
    );
  }
  return fill(
    list,
    job.sitters.map((sitter, number) => sitterCard(sitter, number, kinds, () => draw(list))),
  );
}

function adding(list) {
  const choice = h(
    "select",
    { id: newId("body"), "aria-label": "An example sitter with invented measures" },
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
      { type: "button", onclick: () => add({ name: "", sex: "", measures: {}, habit: {}, weight: 1 }, list) },
      "Add another sitter",
    ),
    h("div", { class: "entry" }, choice),
  );
}

function sitterOf({ name, sex, habit, ...measures }) {
  return { name: name ?? "", sex: sex ?? "", habit: habit ?? {}, measures, weight: 1 };
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
      nameField(sitter, estimate),
      sexField(sitter, estimate),
      FIRST.map(measure),
      h("details", { open: given }, h("summary", {}, "More measures, each makes the rest surer"), more.map(measure)),
      h(
        "details",
        { open: sitter.weight !== 1 || Object.keys(sitter.habit).length > 0 },
        h("summary", {}, "How this sitter likes to sit"),
        habitFields(sitter, number, estimate),
      ),
    ),
    surely,
  );
  return h(
    "section",
    { class: "card", "aria-label": nameOf(sitter, number) },
    job.sitters.length === 1 ? [h("h2", {}, "Sitter 1"), inside] : folded(sitter, number, inside, redraw),
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
      h("span", { class: "unseen" }, ` ${nameOf(sitter, number)}`),
    ),
  );
}

function remove(number, redraw) {
  change((one) => {
    one.sitters.splice(number, 1);
  });
  redraw();
  shape();
}

function nameField(sitter, after) {
  const id = newId("name");
  return h(
    "div",
    { class: "field" },
    h("label", { for: id }, "Name"),
    h(
      "div",
      { class: "entry" },
      h("input", {
        id,
        type: "text",
        maxlength: 60,
        autocomplete: "off",
        value: sitter.name,
        oninput: (event) => {
          change(() => {
            sitter.name = event.target.value;
          });
          after();
        },
        onchange: shape,
      }),
    ),
  );
}

function sexField(sitter, after) {
  const name = newId("sex");
  const choices = [
    ["", "not stated"],
    ["female", "female"],
    ["male", "male"],
  ];
  return h(
    "fieldset",
    { class: "field" },
    h("legend", {}, "Sex"),
    h(
      "div",
      { class: "choices" },
      choices.map(([value, words]) =>
        h(
          "label",
          {},
          h("input", {
            type: "radio",
            name,
            value,
            checked: sitter.sex === value,
            onchange: () => {
              change(() => {
                sitter.sex = value;
              });
              after();
              shape();
            },
          }),
          h("span", {}, words),
        ),
      ),
    ),
    h("p", { class: "hint" }, "May be left out; stated, it makes hip breadth and sit-bone spacing surer."),
  );
}

function measureField(sitter, number, key, kind, after) {
  const field = quantity({
    key: `sitter.${number}.${key}`,
    label: capital(kind.title),
    kind: kind.unit === "kg" ? "mass" : "length",
    value: sitter.measures[key],
    range: [kind.lowest, kind.highest],
    hint: kind.how,
    put: (value) => {
      change(() => {
        if (value === undefined) delete sitter.measures[key];
        else sitter.measures[key] = value;
      });
      after();
    },
    after: shape,
  });
  return h(
    "div",
    { class: "measure" },
    h("img", {
      class: "how",
      src: `/page/measures/${key.replace(/_(mm|kg)$/, "")}.svg`,
      alt: "",
      width: 104,
      height: 130,
    }),
    field,
  );
}

function habitFields(sitter, number, after) {
  const habit = (key, label, kind, range, hint) =>
    quantity({
      key: `sitter.${number}.habit.${key}`,
      label,
      kind,
      range,
      hint,
      value: sitter.habit[key],
      put: (value) => {
        change(() => {
          if (value === undefined) delete sitter.habit[key];
          else sitter.habit[key] = value;
        });
        after();
      },
      after: shape,
    });
  return [
    habit("splay_deg", "Thighs apart", "angle", [-10, 45], "How far each thigh points outward from straight ahead."),
    habit("forward_mm", "Sits forward", "length", [-80, 150], "Ahead of where most sit; a minus is farther back."),
    habit("pelvis_tilt_deg", "Pelvis rolls back", "angle", [-20, 45], "From upright; a minus is rolled forward."),
    job.sitters.length > 1 &&
      quantity({
        key: `sitter.${number}.weight`,
        label: "Counts",
        kind: "share",
        range: [0.01, 1000],
        value: sitter.weight,
        hint: "Against the others: 1 each is alike, 2 counts double.",
        put: (value) =>
          change(() => {
            sitter.weight = value ?? 1;
          }),
        after: shape,
      }),
  ];
}

async function tellEstimate(place, sitter, number, kinds) {
  const { stature_mm: stature, mass_kg: mass } = sitter.measures;
  if (typeof stature !== "number" || typeof mass !== "number") {
    return fill(
      place,
      h(
        "p",
        { class: "small" },
        "What is estimated of the rest, and how surely, stands here once stature and body mass are known.",
      ),
    );
  }
  try {
    const body = await askJson("/bodies/estimate", { body: bodyOf(sitter, nameOf(sitter, number)) });
    return fill(place, estimateTable(body, kinds));
  } catch (error) {
    return fill(place, h("p", { class: "refusal" }, error.message));
  }
}

function estimateTable(body, kinds) {
  const rows = Object.entries(body.measures)
    .filter(([key]) => kinds[key])
    .map(([key, one]) => {
      const exact = KINDS[kinds[key].unit === "kg" ? "mass" : "length"].say;
      const about = (value) => (kinds[key].unit === "kg" ? exact(value) : writeLength(value, job.units, 0, 8));
      const guessed = one.origin === "estimated";
      return h(
        "tr",
        {},
        h("th", { scope: "row" }, capital(kinds[key].title)),
        h("td", { class: "number" }, (guessed ? about : exact)(one.value)),
        h(
          "td",
          {},
          guessed
            ? [
                certainty(one, kinds[key]),
                h("span", { class: "small" }, `${about(one.low_90)} to ${about(one.high_90)}`),
              ]
            : h("span", { class: "small" }, "measured"),
        ),
      );
    });
  return [
    h(
      "table",
      {},
      h(
        "caption",
        {},
        "What is known of this sitter, and how surely: where a measure is estimated, 9 in 10 such people lie in the range",
      ),
      h(
        "thead",
        { class: "unseen" },
        h(
          "tr",
          {},
          ["Measure", "Value", "How surely"].map((one) => h("th", { scope: "col" }, one)),
        ),
      ),
      h("tbody", {}, rows),
    ),
    body.notes?.length
      ? h(
          "ul",
          { class: "small" },
          body.notes.map((one) => h("li", {}, inUnits(one, job.units))),
        )
      : null,
  ];
}

function capital(words) {
  return words[0].toUpperCase() + words.slice(1);
}
