"""A drawing too large for its paper, cut into windows that overlap: which page shows what."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from seatmesh.errors import ValueRefusedError
from seatmesh.paper.page import Window
from seatmesh.paper.paper_sizes import Paper

OVERLAP_MM = 14.0
MARGIN_MM = 10.0
"""What printers leave white, and a little more (common practice)."""
FOOT_MM = 22.0
"""Room at the foot of every page for the bars and the page's name."""
ASIDE_MM = 25.0
SMALL_MM = 1e-6


@dataclass(frozen=True)
class Tile:
    """One page's part of a drawing.

    Attributes
    ----------
    row, column, rows, columns
        Counted from 1; row 1 is the upper one, as the pages lie on the bench.
    window_mm
        What the page shows of the drawing.
    page_mm
        Width and height of the page.
    """

    row: int
    column: int
    rows: int
    columns: int
    window_mm: Window
    page_mm: tuple[float, float]

    def name(self, title: str) -> str:
        """Return the page's name."""
        if self.rows * self.columns == 1:
            return title
        if self.rows == 1:
            return f"{title}, column {self.column} of {self.columns}"
        return f"{title}, row {self.row} of {self.rows}, column {self.column} of {self.columns}"


def room_mm(page_mm: tuple[float, float]) -> tuple[float, float]:
    """Return the room for a drawing on a page: inside the margins and over the foot."""
    return page_mm[0] - 2.0 * MARGIN_MM, page_mm[1] - 2.0 * MARGIN_MM - FOOT_MM


def tile(extent_mm: Window, paper: Paper, what: str) -> tuple[Tile, ...]:
    """Return the tiles that show all of an extent, upper row first, each row from left to right.

    Of the two ways to lay a sheet the one with fewer pages is taken, upright when they are equal.

    Raises
    ------
    ValueRefusedError
        A roll is narrower than the drawing; `what` is named.
    """
    x0, y0, x1, y1 = extent_mm
    if paper.is_roll:
        page = _roll_page(x1 - x0, y1 - y0, paper, what)
        return (Tile(1, 1, 1, 1, _centred(extent_mm, room_mm(page)), page),)
    counts = {way: _counts((x1 - x0, y1 - y0), room_mm(way)) for way in paper.ways()}
    page = min(counts, key=lambda way: counts[way][0] * counts[way][1])
    columns, rows = counts[page]
    width, height = room_mm(page)
    whole = (columns * width - (columns - 1) * OVERLAP_MM, rows * height - (rows - 1) * OVERLAP_MM)
    left, low, _, _ = _centred(extent_mm, whole)
    if columns % 2 == 0:
        # A join in the middle would run along the seat's centre line.
        left -= min(0.5 * (whole[0] - (x1 - x0)), ASIDE_MM)
    out = []
    for row in range(rows):
        for column in range(columns):
            x = left + column * (width - OVERLAP_MM)
            y = low + (rows - 1 - row) * (height - OVERLAP_MM)
            out.append(Tile(row + 1, column + 1, rows, columns, (x, y, x + width, y + height), page))
    return tuple(out)


def _roll_page(width: float, height: float, paper: Paper, what: str) -> tuple[float, float]:
    """Return the page off a roll: the drawing upright if it fits across, else it is refused."""
    around = 2.0 * MARGIN_MM
    if width + around > paper.width_mm + SMALL_MM:
        raise ValueRefusedError(
            "paper",
            paper.name,
            f"{what} needs a roll of {ceil(width + around)} mm or more",
            "take a wider roll, or sheets such as A4, which are tiled",
        )
    return paper.width_mm, height + around + FOOT_MM


def _counts(size: tuple[float, float], room: tuple[float, float]) -> tuple[int, int]:
    across, up = (
        max(1, ceil((length - OVERLAP_MM - SMALL_MM) / (one - OVERLAP_MM)))
        for length, one in zip(size, room, strict=True)
    )
    return across, up


def _centred(extent: Window, size: tuple[float, float]) -> Window:
    x, y = 0.5 * (extent[0] + extent[2]), 0.5 * (extent[1] + extent[3])
    return x - 0.5 * size[0], y - 0.5 * size[1], x + 0.5 * size[0], y + 0.5 * size[1]
