// Step: take away. Sheets, job sheet, meshes, tables, the order file; and an order file opened again.

import { h, fill, newId } from "./element.js";
import { cautions } from "./cautions.js";
import { earlierJobsCard } from "./earlier-jobs.js";
import { clear, job } from "./job.js";
import { fromOrder, isReady, nameOfFile, orderOf } from "./order.js";
import { refusalPlace } from "./refusals.js";
import { seat, shape } from "./seat.js";
import { ask, askJson, download, saveAs } from "./service.js";
import { live, needsSitter } from "./seat-step.js";
import { vocabulary } from "./vocabulary.js";

const SCALES = ["1:1", "1:2", "1:3", "1:4", "1:5", "1:10"];
const { papers: PAPERS, woods: WOODS } = vocabulary;
const SOLIDS = vocabulary.formats.filter((one) => one.kind !== "heights");
const asked = { paper: PAPERS.usual, scale: "1:1", wood: WOODS.usual };

export function takeAway() {
  const root = h("div");
  fill(root, refusalPlace(root, "take"), isReady() ? live(files) : needsSitter(), orderCard(), earlierJobsCard());
  shape();
  return root;
}

function files() {
  if (seat.state !== "shaped")
    return h(
      "p",
      { class: "card" },
      seat.state === "shaping" ? "Shaping the seat …" : "There is no seat to take away yet.",
    );
  return [
    h(
      "div",
      { class: "columns two" },
      h(
        "section",
        { class: "card", "aria-labelledby": "take-bench" },
        h("h2", { id: "take-bench" }, "For the bench"),
        h(
          "p",
          { class: "small" },
          "Full size, with bars to check the print by. Measure them before you trust the sheet.",
        ),
        choice("Paper", PAPERS.names, "paper"),
        woodChoice(),
        h(
          "ul",
          { class: "files" },
          file("Sheets to print", "PDF, tiled, full size", () => `sheets.pdf?${sheetWishes()}`, "sheets.pdf"),
          file("Sheets for CAD", "DXF", () => `sheets.dxf?${sheetWishes()}`, "sheets.dxf"),
          file("Sheets for drawing programs", "SVG", () => `sheets.svg?${sheetWishes()}`, "sheets.svg"),
          file("Job sheet", "PDF, for you and the client", () => `job-sheet.pdf?${sheetWishes()}`, "job-sheet.pdf"),
          file("Plan of the fitting", "PNG", () => `pictures/plan.png?units=${job.units}`, "plan.png"),
          file("Sections", "PNG", () => `pictures/sections.png?units=${job.units}`, "sections.png"),
          file("Depths", "CSV, below the top face on a grid", () => `depths.csv?spacing_mm=20`, "depths.csv"),
        ),
      ),
      h(
        "section",
        { class: "card", "aria-labelledby": "take-mesh" },
        h("h2", { id: "take-mesh" }, "The seat as a solid"),
        h("p", { class: "small" }, "The carved blank, closed. Choose a scale for a mock-up."),
        choice("Scale", SCALES, "scale"),
        h(
          "ul",
          { class: "files" },
          SOLIDS.map(({ suffix, label, use, unit, states_unit: isStated }) =>
            file(
              label,
              isStated ? use : `${use}; its numbers are ${unit}`,
              () => `mesh.${suffix}?scale=${encodeURIComponent(asked.scale)}`,
              `seat.${suffix}`,
            ),
          ),
        ),
      ),
    ),
    cautions("cutters", "strength", "pressure"),
  ];
}

function sheetWishes() {
  return new URLSearchParams({ paper: asked.paper, wood: asked.wood, units: job.units });
}

function woodChoice() {
  const id = newId("wood");
  return h(
    "div",
    { class: "field" },
    h("label", { for: id }, "Wood"),
    h(
      "div",
      { class: "entry" },
      h(
        "select",
        {
          id,
          onchange: (event) => {
            asked.wood = event.target.value;
          },
        },
        WOODS.names.map((one) => h("option", { value: one, selected: one === asked.wood }, one)),
      ),
    ),
    h("p", { class: "hint" }, "For how much each stage takes off, by weight."),
  );
}

function choice(words, all, key) {
  const name = newId(key);
  return h(
    "fieldset",
    { class: "field" },
    h("legend", {}, words),
    h(
      "div",
      { class: "choices" },
      all.map((one) =>
        h(
          "label",
          {},
          h("input", {
            type: "radio",
            name,
            value: one,
            checked: asked[key] === one,
            onchange: () => {
              asked[key] = one;
            },
          }),
          h("span", {}, one),
        ),
      ),
    ),
  );
}

function file(name, use, path, fallback) {
  const told = h("p", { class: "refusal", role: "alert", hidden: true });
  const button = h(
    "button",
    {
      type: "button",
      onclick: async () => {
        told.hidden = true;
        button.setAttribute("aria-busy", "true");
        button.disabled = true;
        try {
          await download(`/seats/${seat.id}/${path()}`, fallback);
        } catch (error) {
          fill(told, error.message);
          told.hidden = false;
        } finally {
          button.removeAttribute("aria-busy");
          button.disabled = false;
          button.focus();
        }
      },
    },
    name,
  );
  return h("li", {}, h("div", { class: "row" }, button, h("span", { class: "small" }, use)), told);
}

function orderCard() {
  const told = h("div", { role: "alert" });
  const picker = h("input", {
    type: "file",
    accept: ".toml,.json,application/json",
    id: newId("order"),
    class: "unseen",
    onchange: () => open(picker, told),
  });
  return h(
    "section",
    { class: "card", "aria-labelledby": "take-order" },
    h("h2", { id: "take-order" }, "The order file"),
    h(
      "p",
      {},
      "It holds sitters, wood, wishes, marks and remarks. Keep it with the job; opened again, the page goes on where it was, and the job at hand goes among the earlier ones. Gauge readings have a file of their own: ",
      h("a", { href: "#bench/gauge" }, "at the bench"),
      ".",
    ),
    h(
      "div",
      { class: "row" },
      h("button", { type: "button", disabled: !isReady(), onclick: () => saveOrder(told) }, "Save the order file"),
      h("label", { class: "button file-label" }, picker, "Open an order file"),
      h("button", { type: "button", class: "quiet", onclick: () => startAnew(told) }, "Begin another job"),
    ),
    told,
  );
}

async function saveOrder(told) {
  fill(told);
  try {
    if (seat.state === "shaped") return await download(`/seats/${seat.id}/order.toml`, `${nameOfFile()}.toml`);
    return saveAs(new Blob([JSON.stringify(orderOf(), null, 2)], { type: "application/json" }), `${nameOfFile()}.json`);
  } catch (error) {
    return fill(told, h("p", { class: "refusal" }, error.message));
  }
}

async function open(picker, told) {
  const [chosen] = picker.files;
  picker.value = "";
  if (!chosen) return;
  try {
    const text = await chosen.text();
    const order = await readOrder(text);
    const { bodies } = await askJson("/bodies");
    const take = (wishes) => fromOrder(order, bodies, wishes);
    if (take()) askToLose(told, "Open it all the same", take);
    else begin();
  } catch (error) {
    fill(told, h("p", { class: "refusal" }, `“${chosen.name}” is not opened: ${error.message}`));
  }
}

/** Read an order from its text: TOML is read by the service, JSON here. */
async function readOrder(text) {
  if (text.trimStart().startsWith("{")) {
    const order = JSON.parse(text);
    if (!Array.isArray(order.sitter)) throw new Error("it holds no sitter.");
    return order;
  }
  return (await ask("/orders", { body: text, type: "application/toml" })).json();
}

function begin() {
  shape();
  location.hash = "#sitters";
}

function startAnew(told) {
  const go = () => (clear() ? askToLose(told, "Begin anew all the same", clear) : begin());
  fill(
    told,
    h(
      "div",
      { class: "row" },
      "The job at hand goes among the earlier ones.",
      h("button", { type: "button", class: "go", onclick: go }, "Begin anew"),
      h("button", { type: "button", onclick: () => fill(told) }, "Stay"),
    ),
  );
  told.querySelector("button").focus();
}

// Where the job at hand cannot be kept among the earlier ones, it is replaced only after asking.
function askToLose(told, words, go) {
  fill(
    told,
    h("p", {}, "This browser has no room to keep the job at hand. What is not in a saved order file is lost."),
    h(
      "div",
      { class: "row" },
      h(
        "button",
        {
          type: "button",
          class: "go",
          onclick: () => {
            go({ evenIfLost: true });
            begin();
          },
        },
        words,
      ),
      h("button", { type: "button", onclick: () => fill(told) }, "Stay"),
    ),
  );
  told.querySelector("button").focus();
}
