// Where boards meet: from their widths, from lines that were told, or from a number of equal boards.

/** Places of the glue lines in mm from the centre line, left to right; none where the widths do not make them out. */
export function glueLines({ blank, others }, width) {
  if (Array.isArray(blank.glue_lines_mm)) return blank.glue_lines_mm.filter((x) => Math.abs(x) < width / 2);
  const boards = others.board ?? [];
  if (boards.length) return ends(boards.map((one) => one.width_mm), width);
  return typeof blank.boards === "number" ? ends(Array(blank.boards).fill(undefined), width) : [];
}

// Boards without a width share what the others leave.
function ends(widths, width) {
  if (widths.some((one) => one !== undefined && typeof one !== "number")) return [];
  const told = widths.filter((one) => one !== undefined);
  const left = width - told.reduce((sum, one) => sum + one, 0);
  const open = widths.length - told.length;
  if (left < 0 || (open > 0 && left === 0)) return [];
  let at = -width / 2;
  return widths.slice(0, -1).map((one) => (at += one ?? left / open));
}
