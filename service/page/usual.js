// What is usual where the maker says nothing, and what an order allows: as in the library, which a test holds it against.

export const BLANK = {
  width_mm: { usual: 480, range: [200, 900], label: "Width", hint: "Across, at its widest." },
  depth_mm: { usual: 430, range: [200, 700], label: "Depth", hint: "From the rear edge to the front edge." },
  thickness_mm: { usual: 45, range: [15, 150], label: "Thickness", hint: "From the top face to the underside." },
  floor_mm: {
    usual: 20,
    range: [5, 100],
    label: "Floor",
    hint: "Least wood left under the hollow. It is a guide, not a proof of strength.",
  },
  deck_mm: {
    usual: 50,
    range: [0, 200],
    label: "Deck",
    hint: "The flat kept for joinery at the back, from the rear edge.",
  },
  corner_radius_mm: { usual: 60, range: [0, 300], label: "Corner radius", hint: "Of an outline that has corners." },
  round_over_mm: { usual: 0, range: [0, 60], label: "Round along the top edge", hint: "Its radius; 0 is none." },
  under_bevel_width_mm: {
    usual: 0,
    range: [0, 150],
    label: "Bevel below, inward",
    hint: "How far in from the outline; 0 is none.",
  },
  under_bevel_height_mm: {
    usual: 0,
    range: [0, 100],
    label: "Bevel below, upward",
    hint: "How far up the edge; 0 is none.",
  },
  gutter_depth_mm: { usual: 0, range: [0, 12], label: "Gutter depth", hint: "Along the deck line; 0 is no gutter." },
  gutter_width_mm: { usual: 8, range: [3, 25], label: "Gutter width", hint: "" },
  deck_bow_mm: {
    usual: 0,
    range: [-100, 150],
    label: "Bow of the deck line",
    hint: "How much farther forward it meets the sides than the centre line; 0 is straight.",
  },
};

export const CHAIR = {
  rake_deg: { usual: 2, range: [-5, 15], label: "Rake", hint: "How far the seat falls toward the rear." },
  shoe_mm: { usual: 25, range: [0, 120], label: "Shoe", hint: "Thickness of sole and heel." },
  front_height_mm: {
    usual: null,
    range: [200, 900],
    label: "Height of the front edge",
    hint: "From the ground to the top. Left empty, it is taken from the sitter’s lower leg and shoes.",
  },
};

/** The wishes, in the order in which they are asked; `span` is what the slider covers, `range` what an order allows. */
export const WISHES = {
  depth_mm: {
    usual: 18,
    range: [0, 60],
    span: [4, 30],
    label: "Depth of the hollow",
    ends: ["a shallow dish", "deep"],
    hint: "At its deepest, under the sit bones.",
  },
  closeness: {
    usual: 0.8,
    range: [0, 1],
    span: [0, 1],
    kind: "share",
    label: "Closeness to the body",
    ends: ["a common dish, free to shift", "follows the body"],
    hint: "",
  },
  pommel_mm: {
    usual: 8,
    range: [0, 40],
    span: [0, 20],
    label: "Pommel, height",
    ends: ["none", "a high ridge"],
    hint: "The short ridge between the thighs, at the front edge.",
  },
  pommel_length_mm: {
    usual: 130,
    range: [20, 400],
    span: [40, 240],
    label: "Pommel, length",
    ends: ["short", "far back"],
    hint: "From the front edge to where the ridge has gone.",
  },
  front_roll_mm: {
    usual: 20,
    range: [0, 80],
    span: [0, 50],
    label: "Front roll",
    ends: ["a crisp edge", "a full roll"],
    hint: "Radius of the roll along the front edge.",
  },
  tailbone_relief_mm: {
    usual: 2,
    range: [0, 15],
    span: [0, 8],
    label: "Relief for the tailbone",
    ends: ["none", "generous"],
    hint: "Further depth under its tip.",
  },
  deepest_y_mm: {
    usual: null,
    range: [20, 600],
    span: [90, 260],
    label: "Deepest line, from the rear edge",
    ends: ["to the rear", "forward"],
    hint: "Left alone, it lies where the body puts it.",
  },
};

export const OUTLINES = [
  "rounded",
  "straight-sided",
  "D-shaped",
  "waisted",
  "tapered to the front",
  "tapered to the rear",
];
export const OUTLINE = "rounded";

/** How deep a hollow the wood lets be: thickness less floor, in mm. */
export function roomForHollow(blank) {
  const [thickness, floor] = ["thickness_mm", "floor_mm"].map((key) =>
    typeof blank[key] === "number" ? blank[key] : BLANK[key].usual,
  );
  return thickness - floor;
}
