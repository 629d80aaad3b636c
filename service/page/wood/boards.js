// The boards of the blank: width, wood, rings, bark side and turn of each, and what the service tells and draws of them.

import { h, fill, newId } from "../parts/element.js";
import { change, itemId, job } from "../job/job.js";
import { choicesOf, sentence, vocabulary } from "../order/vocabulary.js";
import { choice } from "../parts/choice-field.js";
import { KINDS, quantity } from "../parts/quantity-field.js";
import { writeLength } from "../parts/lengths.js";
import { sayRemoved } from "../job/undo-removal.js";
import { ask, askJson } from "../service/requests.js";
import { onSeatWhileShown } from "../service/refusals.js";
import { seat } from "../seat/shaped-seat.js";
import { BOARD, FURTHER_BOARD } from "../order/usual-values.js";
import { folded, setIn, tableFields } from "../order/table-fields.js";

const RING_WORDS = choicesOf("board", "rings", { flat: "flat-sawn", quarter: "quarter-sawn" });
const RINGS = Object.entries(RING_WORDS);
const BARK = Object.entries(choicesOf("board", "bark", {}));
const { most: MOST } = vocabulary.tables.board;

// Of several boards one is open, the one at hand.
let open = null;

/** The card of the boards; `edited` is called when one has changed. */
export function boardCard(edited) {
  const card = h("section", { class: "card", "aria-labelledby": "wood-boards" });
  const told = figureOfBoards();
  const draw = () =>
    fill(
      card,
      h("h2", { id: "wood-boards" }, "The boards"),
      h(
        "p",
        { class: "small" },
        "Side by side, from the sitter’s left to right. Their widths place the glue lines; a board without a width takes what is left.",
      ),
      boards().map((one, number) => board(one, number, redo, edited)),
      adding(redo),
      told,
    );
  const redo = () => {
    draw();
    edited();
  };
  draw();
  return card;
}

function boards() {
  return job.others.board ?? [];
}

function put(list) {
  change((one) => {
    if (list.length) one.others.board = list;
    else delete one.others.board;
  });
}

function adding(redo) {
  if (boards().length >= MOST) return null;
  // Asked for when it is added: what the board before is of may have been changed since.
  const next = () => {
    const last = boards().at(-1);
    return last ? { species: last.species, rings: last.rings, bark: last.bark } : { species: vocabulary.woods.usual };
  };
  return h(
    "button",
    {
      type: "button",
      onclick: () => {
        const fresh = { rings: "flat", bark: "up", ...next(), id: itemId() };
        put([...boards(), fresh]);
        open = fresh.id;
        redo();
      },
    },
    boards().length ? "Add a board" : "Say what the boards are",
  );
}

function board(one, number, redo, after) {
  const title = h("summary", {}, boardWords(one, number));
  const edited = () => {
    fill(title, boardWords(one, number));
    after();
  };
  const set = (key, value) => {
    change(() => {
      if (value === undefined) delete one[key];
      else one[key] = value;
    });
    edited();
  };
  const away = () => {
    put(boards().filter(({ id }) => id !== one.id));
    redo();
    // Its place is where it lies in the blank: at the end it would be another seat.
    sayRemoved("The board is", () => put(boards().toSpliced(number, 0, one)), redo);
  };
  const known = one.pith_mm !== undefined || one.ring_angle_deg !== undefined;
  const details = h(
    "details",
    {
      open: open === one.id || boards().length === 1,
      ontoggle: () => {
        if (details.open) open = one.id;
        else if (open === one.id) open = null;
      },
    },
    title,
    h("div", { class: "pairs" }, width(one, number, edited), wood(one, number, set)),
    choice("Rings on the end grain", RINGS, one.rings ?? (known ? "" : "flat"), (value) => set("rings", value), `board.${number}.rings`),
    known && !one.rings
      ? h("p", { class: "small" }, "Its rings follow from the ring angle and the pith below.")
      : null,
    choice("Bark side", BARK, one.bark ?? "up", (value) => set("bark", value), `board.${number}.bark`),
    turned(one, number, set),
    folded(
      `board.${one.id}.further`,
      "Pith, grain and your own values",
      Object.keys(FURTHER_BOARD).some((key) => one[key] !== undefined),
      tableFields(FURTHER_BOARD, {
        key: `board.${number}`,
        as: `board.${one.id}`,
        values: () => one,
        put: (key, value) => setIn(one, key, value),
        after: edited,
      }),
    ),
    h(
      "div",
      { class: "row" },
      h("button", { type: "button", class: "quiet", onclick: away }, `Remove board ${number + 1}`),
    ),
  );
  return details;
}

// Folded, a board still says what is laid where.
function boardWords(one, number) {
  const width = typeof one.width_mm === "number" ? writeLength(one.width_mm, job.units) : null;
  const told = [one.species, width, RING_WORDS[one.rings], one.bark === "down" ? "bark side down" : null, one.turned ? "turned" : null];
  const words = told.filter(Boolean).join(", ");
  return `Board ${number + 1}${words ? `: ${words}` : ""}`;
}

function width(one, number, edited) {
  return quantity({
    ...BOARD.width_mm,
    key: `board.${number}.width_mm`,
    as: `board.${one.id}.width_mm`,
    value: one.width_mm,
    put: (value) =>
      change(() => {
        if (value === undefined) delete one.width_mm;
        else one.width_mm = value;
      }),
    after: edited,
  });
}

function wood(one, number, set) {
  const id = newId("board");
  const names = vocabulary.woods.names.includes(one.species ?? "")
    ? vocabulary.woods.names
    : [one.species, ...vocabulary.woods.names].filter(Boolean);
  return h(
    "div",
    { class: "field", "data-key": `board.${number}.species` },
    h("label", { for: id }, BOARD.species.label),
    h(
      "select",
      { id, onchange: (event) => set("species", event.target.value) },
      names.map((name) => h("option", { value: name, selected: name === (one.species ?? vocabulary.woods.usual) }, name)),
    ),
  );
}

function turned(one, number, set) {
  const id = newId("turned");
  return h(
    "div",
    { class: "row", "data-key": `board.${number}.turned` },
    h("input", {
      id,
      type: "checkbox",
      checked: Boolean(one.turned),
      onchange: (event) => set("turned", event.target.checked || undefined),
    }),
    h("label", { for: id }, "Turned end for end"),
  );
}

// Figure and figures are asked for when the maker wants them: bending the floor takes the service a while.
function figureOfBoards() {
  const place = h("div", { "aria-live": "polite" });
  const button = h(
    "button",
    { type: "button", class: "quiet", onclick: () => show(place, button) },
    "Show figure, movement and floor",
  );
  const draw = () => {
    button.hidden = seat.state !== "shaped" || !boards().length;
    if (place.dataset.seat !== seat.id) fill(place);
  };
  draw();
  const all = h("div", {}, button, place);
  onSeatWhileShown(all, draw);
  return all;
}

async function show(place, button) {
  const wanted = seat.id;
  place.dataset.seat = wanted;
  button.disabled = true;
  fill(place, h("p", { class: "small" }, "Drawing the figure and loading the floor …"));
  try {
    const image = await ask(`/seats/${wanted}/pictures/figure.png?units=${job.units}`);
    const url = URL.createObjectURL(await image.blob());
    const told = await askJson(`/seats/${wanted}/wood`);
    if (place.dataset.seat === seat.id)
      fill(place, h("img", { src: url, class: "view-picture", alt: "The figure of the boards on the carved seat" }), words(told));
  } catch (error) {
    fill(place, h("p", { class: "refusal" }, error.message));
  }
  button.disabled = false;
}

function words({ movement, floor, mass_kg: mass, notes }) {
  const rooms = movement.rooms.map(
    ({ room, width_change_mm: by }) => `${room} ${by < 0 ? "narrower" : "wider"} by ${writeLength(Math.abs(by), job.units)}`,
  );
  const strong =
    floor.least_factor === null
      ? sentence(floor.note)
      : `Under ${Math.round(floor.load_n)} N the floor is ${floor.least_factor.toFixed(1)} times stronger than its load, least ${floor.where}.`;
  return [
    h("p", {}, `The seat weighs about ${KINDS.mass.say(mass)}. Its width moves: ${rooms.join(", ")}.`),
    h("p", {}, strong),
    h("p", { class: "small" }, sentence(floor.guide)),
    notes.map((one) => h("p", { class: "small" }, sentence(one))),
  ];
}
