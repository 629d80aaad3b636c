"""Block digits on a grid of square cells, with a bar beneath that tells 6 from 9."""

from __future__ import annotations

import shapely

DIGITS = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": (" # ", "## ", " # ", " # ", "###"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", "###", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", "  #", "  #"),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
}
ROWS = 5
"""Cells up a digit; a digit is 3 wide, a cell lies between two, a free one and the bar below, one all round."""


def panel_cells(number: int) -> tuple[int, int]:
    """Return how many cells wide and high the panel round a number is."""
    return 4 * len(str(number)) + 1, ROWS + 4


def number_shape(number: int, cell_mm: float) -> shapely.Geometry:
    """Return the strokes of a number and its bar, the panel's lower left corner at the origin."""
    wide, high = panel_cells(number)
    cells = [(column, 1) for column in range(1, wide - 1)]
    for place, digit in enumerate(str(number)):
        for row, line in enumerate(DIGITS[digit]):
            cells += [
                (1 + 4 * place + column, high - 2 - row) for column, mark in enumerate(line) if mark == "#"
            ]
    boxes = [shapely.box(i * cell_mm, j * cell_mm, (i + 1) * cell_mm, (j + 1) * cell_mm) for i, j in cells]
    return shapely.union_all(boxes)
