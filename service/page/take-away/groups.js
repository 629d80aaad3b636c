// The files of a seat in four groups: for the bench, for a printer, for other programs, and to show the client.

import { h } from "../parts/element.js";
import { keepDrafts } from "../job/form-drafts.js";
import { job } from "../job/job.js";
import { file, group } from "./file-row.js";
import {
  asked,
  oneOf,
  paper,
  paperChoice,
  printer,
  printerLength,
  scaleChoice,
  SCALES,
  sheetWishes,
  sitterChoices,
  tick,
  woodChoice,
} from "./what-is-asked.js";
import { vocabulary } from "../order/vocabulary.js";

const FORMATS = vocabulary.formats;

export function forTheBench() {
  return group(
    "take-bench",
    "For the bench",
    "Full size, with bars to check the print by. Measure them before you trust the sheet.",
    [paperChoice(), woodChoice()],
    [
      null,
      [
        file("Sheets to print", "PDF, tiled, full size", () => `sheets.pdf?${sheetWishes()}`, "sheets.pdf"),
        file("Plan of the fitting", "PNG", () => `pictures/plan.png?units=${job.units}`, "plan.png"),
      ],
    ],
    [
      "The gauge",
      [
        file("Gauge sheet to write on", "PDF: the crossings that tell most, two readings each", () => `gauge-sheet.pdf?${gaugeWishes({ paper: paper() })}`, "gauge-sheet.pdf"),
        file("Gauge sheet, whole", "text, every crossing", () => `gauge-sheet.txt?${gaugeWishes()}`, "gauge-sheet.txt"),
        file("Gauge sheet to type into", "CSV", () => `gauge-sheet.csv?${gaugeWishes()}`, "gauge.csv"),
        h("li", { class: "small" }, "Bar, rod and spacing as they stand ", h("a", { href: "#bench/gauge" }, "at the bench"), ", where readings are typed in too."),
      ],
    ],
  );
}

function gaugeWishes(more = {}) {
  const { spacing_mm, bar_height_mm, rod_offset_mm } = job.gauge;
  return new URLSearchParams({ spacing_mm, bar_height_mm, rod_offset_mm, units: job.units, ...more });
}

export function forAPrinter() {
  const now = printer();
  const put = (key) => (value) => {
    now[key] = value;
    keepDrafts();
  };
  return group(
    "take-printer",
    "For a printer",
    "The seat at a scale, cut to the bed where it is larger, with loose pegs across the cuts; numbered on the underside.",
    [
      oneOf("Scale of the mock-up", SCALES.map((one) => [one, one]), now.scale, put("scale")),
      h(
        "div",
        { class: "row bed" },
        printerLength("width_mm", "Bed, width", [20, 5000]),
        printerLength("depth_mm", "Bed, depth", [20, 5000]),
        printerLength("height_mm", "Height", [20, 5000]),
      ),
      oneOf("A sitter to hold against it", [[0, "nobody"], ...sitterChoices()], now.sitter, put("sitter"), "The underside, as the seat flattens it."),
      h(
        "details",
        {},
        h("summary", {}, "Further"),
        printerLength("wall_mm", "Least wall", [0.1, 10], "The underside is let down where the wood would be thinner."),
        printerLength("shell_mm", "A shell at full size, thickness", [0.4, 100], "To try over sand or foam. Empty: none.", "none"),
      ),
    ],
    [null, [file("Mock-up in parts", "ZIP with STL files in mm, and a list of how many of each", () => `mock-up.zip?${mockUpWishes(now)}`, "mock-up.zip")]],
  );
}

function mockUpWishes({ scale, width_mm, depth_mm, height_mm, wall_mm, sitter, shell_mm }) {
  const wishes = { scale, bed_width_mm: width_mm, bed_depth_mm: depth_mm, bed_height_mm: height_mm, wall_mm, sitter };
  return new URLSearchParams(shell_mm ? { ...wishes, shell_mm } : wishes);
}

export function forOtherPrograms() {
  const solids = FORMATS.filter((one) => one.kind !== "heights");
  const heights = FORMATS.filter((one) => one.kind === "heights");
  const coloured = FORMATS.filter((one) => one.coloured);
  const [first, ...others] = sitterChoices();
  return group(
    "take-mesh",
    "For other programs",
    "The carved blank as a closed solid, its drawings, and the seat as numbers.",
    [scaleChoice(), tick("Cut mortises and housings too", asked.joints, (value) => (asked.joints = value))],
    [
      "The seat as a solid",
      solids.map((one) => file(one.label, unitWords(one), () => `mesh.${one.suffix}?${meshWishes()}`, `seat.${one.suffix}`)),
    ],
    [
      "With pressure on it",
      [
        others.length
          ? h("li", {}, oneOf("Whose pressure", [first, ...others], asked.sitter, (value) => (asked.sitter = value)))
          : null,
        coloured.map((one) =>
          file(
            `${one.label} with pressure`,
            "colour and kPa at every vertex",
            () => `mesh.${one.suffix}?${meshWishes({ sitter: Math.min(asked.sitter, job.sitters.length) })}`,
            `seat-pressure.${one.suffix}`,
          ),
        ),
      ],
    ],
    [
      "Drawings and numbers",
      [
        file("Sheets for CAD", "DXF", () => `sheets.dxf?${sheetWishes()}`, "sheets.dxf"),
        file("Sheets for drawing programs", "SVG", () => `sheets.svg?${sheetWishes()}`, "sheets.svg"),
        heights.map((one) => file(capital(one.label), `${one.use}; full size`, () => `mesh.${one.suffix}`, `heights.${one.suffix}`)),
        file("Depths", "CSV, below the top face on a grid", () => "depths.csv?spacing_mm=20", "depths.csv"),
        file("Seat file", "JSON, for the commands of seatmesh and for Python", () => "seat.json", "seat.json"),
      ],
    ],
  );
}

function meshWishes(more = {}) {
  const wishes = { scale: asked.scale, ...more };
  return new URLSearchParams(asked.joints ? { ...wishes, joint_holes: true } : wishes);
}

function unitWords({ use, unit, states_unit: isStated }) {
  return isStated ? use : `${use}; its numbers are ${unit}`;
}

function capital(words) {
  return words[0].toUpperCase() + words.slice(1);
}

export function toShowTheClient() {
  const picture = (name, words, kind) => file(name, words, () => `pictures/${kind}.png?units=${job.units}`, `${kind}.png`);
  return group(
    "take-client",
    "To show the client",
    "What was decided and why, in words and pictures.",
    null,
    [
      null,
      [
        file("Job sheet", "PDF, for you and the client", () => `job-sheet.pdf?${sheetWishes()}`, "job-sheet.pdf"),
        file("Report", "text: why the seat has its shape", () => "report.txt", "report.txt"),
        picture("Contact map", "PNG, where and how hard each sitter presses", "contact"),
        picture("Sections", "PNG, across and along", "sections"),
        picture("Lines of light", "PNG, how fair the surface is", "light-lines"),
        picture("View", "PNG, the seat in 3D; needs OpenGL where the service runs", "view"),
      ],
    ],
    [
      "The wood",
      [
        picture("Figure", "PNG, how the rings fall in the hollow", "figure"),
        picture("Ways to lay the boards", "PNG", "figure-variants"),
        picture("The way to cut", "PNG, in which direction the grain is cut", "way-to-cut"),
      ],
    ],
  );
}
