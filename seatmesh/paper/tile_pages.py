"""Tiles as pages: the window, the lines to join them on, the match marks, the foot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from seatmesh.paper.drawing import Align, Drawing, DrawingLayer, Item, Look, Words, line
from seatmesh.paper.grounds import extent_mm, grounded
from seatmesh.paper.lettering import width_mm
from seatmesh.paper.page import Page, View
from seatmesh.paper.page_foot import Foot, foot
from seatmesh.paper.paper_sizes import Paper
from seatmesh.paper.tiles import FOOT_MM, MARGIN_MM, OVERLAP_MM, Tile, tile

PENCIL, JOIN = "#75695c", "#9b2a1a"
CROSS_MM = 4.5
NOTE_MM = 2.4
MARK_SHARES = (0.2, 0.8)
"""Where along a join its match marks stand, in shares of the window."""


Box = tuple[float, float, float, float]
AROUND: tuple[tuple[float, float, Align], ...] = (
    (0.8, 1.0, "left"), (-0.8, 1.0, "right"), (0.8, -2.8, "left"), (-0.8, -2.8, "right"),
    (0.8, 5.0, "left"), (-0.8, 5.0, "right"), (0.8, -6.6, "left"), (-0.8, -6.6, "right"),
)  # fmt: skip
"""Where the number of a match mark may stand beside it, the first free place taken."""


def pages_of(
    drawing: Drawing, paper: Paper, title: str, around_mm: float = 4.0, note: str = ""
) -> tuple[Page, ...]:
    """Return the pages, without feet, that show a drawing with some room around it at full size; raises as `tile`.

    `note` is one line that stands over the foot of every page.
    """
    x0, y0, x1, y1 = drawing.bounds_mm
    extent = x0 - around_mm, y0 - around_mm, x1 + around_mm, y1 + around_mm
    pages = []
    written = [extent_mm(item) for layer in drawing.layers for item in layer.items if isinstance(item, Words)]
    for one in tile(extent, paper, title):
        at = MARGIN_MM, MARGIN_MM + FOOT_MM
        lines, names = _joins(one, written)
        # Join lines lie beneath, so that the drawing's words stay whole on either page.
        views: tuple[View, ...] = tuple(View(part, one.window_mm, at) for part in (lines, drawing, names))
        if note:
            views = (*views, _note(note, one.page_mm))
        pages.append(Page(one.name(title), *one.page_mm, views))
    return tuple(pages)


def _note(text: str, page_mm: tuple[float, float]) -> View:
    """Return a line between a page's drawing and its foot, as large as fits."""
    room = page_mm[0] - 2.0 * MARGIN_MM
    size = min(NOTE_MM, NOTE_MM * room / width_mm(text, NOTE_MM, bold=True))
    low = MARGIN_MM + FOOT_MM - 2.4
    line_of = Words(text, (MARGIN_MM, low), size, bold=True)
    drawn = Drawing("note", (DrawingLayer("note", Look(0.2, JOIN), (line_of,)),))
    window = (0.0, 0.0, page_mm[0], page_mm[1])
    return View(drawn, window, (0.0, 0.0))


def with_feet(pages: Sequence[Page], seat: str, caution: str) -> tuple[Page, ...]:
    """Return pages with a foot each: bars, name, number and one line of caution."""
    out = []
    for number, page in enumerate(pages, 1):
        drawn = foot(Foot(seat, page.name, number, len(pages), caution), page.width_mm)
        whole = (0.0, 0.0, page.width_mm, page.height_mm)
        out.append(replace(page, views=(*page.views, View(drawn, whole, (0.0, 0.0)))))
    return tuple(out)


def _joins(one: Tile, written: Sequence[Box]) -> tuple[Drawing, Drawing]:
    """Return the lines on which a tile meets its neighbours with their match marks, and the marks' numbers.

    Both neighbours bear the same ones; numbers keep clear of what is `written`.
    """
    x0, y0, x1, y1 = one.window_mm
    half = 0.5 * OVERLAP_MM
    lines: list[Item] = []
    crosses: list[Item] = []
    names: list[Item] = []
    for there, x, number in (
        (one.column > 1, x0 + half, one.column - 1),
        (one.column < one.columns, x1 - half, one.column),
    ):
        if there:
            lines.append(line([(x, y0), (x, y1)]))
            first = 2 * ((one.row - 1) * (one.columns - 1) + number) - 1
            for mark, share in enumerate(MARK_SHARES):
                _add_mark(crosses, names, (x, y0 + share * (y1 - y0)), first + mark, written)
    before = 2 * one.rows * (one.columns - 1)
    for there, y, number in ((one.row > 1, y1 - half, one.row - 1), (one.row < one.rows, y0 + half, one.row)):
        if there:
            lines.append(line([(x0, y), (x1, y)]))
            first = before + 2 * ((number - 1) * one.columns + one.column) - 1
            for mark, share in enumerate(MARK_SHARES):
                _add_mark(crosses, names, (x0 + share * (x1 - x0), y), first + mark, written)
    marks = (
        DrawingLayer("join lines", Look(0.15, JOIN, (4.0, 2.0)), tuple(lines)),
        DrawingLayer("match marks", Look(0.2, JOIN), tuple(crosses)),
    )
    numbers = DrawingLayer("match names", Look(0.2, JOIN), tuple(names))
    return Drawing("joins", marks), grounded(Drawing("match names", (numbers,)))


def _add_mark(
    crosses: list[Item], names: list[Item], at: tuple[float, float], number: int, written: Sequence[Box]
) -> None:
    x, y = at
    crosses += [line([(x - CROSS_MM, y), (x + CROSS_MM, y)]), line([(x, y - CROSS_MM), (x, y + CROSS_MM)])]
    beside = [Words(str(number), (x + dx, y + dy), 2.2, align) for dx, dy, align in AROUND]
    names.append(next((one for one in beside if _is_free(extent_mm(one), written)), beside[0]))


def _is_free(box: Box, written: Sequence[Box]) -> bool:
    return all(box[0] > b[2] or box[2] < b[0] or box[1] > b[3] or box[3] < b[1] for b in written)
