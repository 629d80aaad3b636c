// Step: take away. Sheets, job sheet, meshes, tables, the order file; and an order file opened again.

import { h, fill, newId } from "../parts/element.js";
import { choice } from "../parts/choice-field.js";
import { cautions } from "../parts/cautions.js";
import { earlierJobsCard } from "./earlier-jobs-card.js";
import { job } from "../job/job.js";
import { isReady } from "../order/order-of-job.js";
import { orderCard } from "./order-file-card.js";
import { refusalPlace } from "../service/refusals.js";
import { oldLine } from "../seat/old-mark.js";
import { seat, seatForFiles, shape } from "../seat/shaped-seat.js";
import { download } from "../service/requests.js";
import { live, needsSitter } from "../seat/step.js";
import { vocabulary } from "../order/vocabulary.js";

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
  if (!seat.id || seat.state === "following")
    return h(
      "p",
      { class: "card" },
      seat.state === "shaping" ? "Shaping the seat …" : "There is no seat to take away yet.",
    );
  return [
    oldLine(),
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
        asking("Paper", PAPERS.names, "paper"),
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
        asking("Scale", SCALES, "scale"),
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

function asking(words, all, key) {
  const same = all.map((one) => [one, one]);
  return choice(words, same, asked[key], (value) => {
    asked[key] = value;
  });
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
          await download(`/seats/${await seatForFiles()}/${path()}`, fallback);
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
