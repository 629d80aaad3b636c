"""The depth holes' own pages: the rules first, then every hole with its place, its stop and the finished depth."""

from __future__ import annotations

from collections.abc import Sequence

from seatmesh.paper.drawing import Drawing, DrawingLayer, Item, line
from seatmesh.paper.page import Page, View
from seatmesh.paper.paper_sizes import Paper
from seatmesh.paper.tiles import FOOT_MM, MARGIN_MM
from seatmesh.sheets import ink
from seatmesh.sheets.column import column
from seatmesh.sheets.holes.depth_hole import DepthHole, DepthHoles
from seatmesh.sheets.holes.hole_words import NAME, rules, short_rule
from seatmesh.sheets.ink import words
from seatmesh.sheets.sheet_wishes import Speech
from seatmesh.sheets.stages.stage_page import PAGE_MM

ROW_MM = 4.6
HEAD_MM = 12.0
RULES_MM = 82.0
"""Room for the rules under the first page's heading."""
BLOCKS = 2
COLUMNS = (
    ("hole", "", 0.10),
    ("from the", "centre line", 0.36),
    ("from the", "rear edge", 0.58),
    ("STOP, to the", "cutting edges", 0.80),
    ("SEAT,", "finished", 1.0),
)
"""Two lines of heading of each column, and where it ends in shares of a block's width."""


def hole_pages(made: DepthHoles | None, speech: Speech, paper: Paper) -> list[Page]:
    """Return the pages, without their feet; none without holes."""
    if made is None or not made.holes:
        return []
    height = paper.height_mm if paper.height_mm is not None else PAGE_MM[1]
    low = MARGIN_MM + FOOT_MM + 4.0
    top = height - MARGIN_MM - 14.0
    rows = list(made.holes)
    out: list[list[Item]] = []
    while rows:
        first = not out
        under = top - RULES_MM if first else top - 6.0
        each = int((under - HEAD_MM - low) / ROW_MM)
        shown, rows = rows[: BLOCKS * each], rows[BLOCKS * each :]
        items: list[Item] = [words(NAME, MARGIN_MM, height - MARGIN_MM - 6.0, ink.TITLE, bold=True)]
        items += (
            _rules(made, speech, paper, top)
            if first
            else [words(short_rule(made, speech), MARGIN_MM, top, ink.TINY)]
        )
        items += _table(shown, each, speech, paper, under)
        out.append(items)
    return [_page(number, len(out), items, paper, height) for number, items in enumerate(out, 1)]


def _rules(made: DepthHoles, speech: Speech, paper: Paper, top: float) -> list[Item]:
    half = 0.5 * (paper.width_mm - 2.0 * MARGIN_MM) - 5.0
    parts = rules(made, speech)
    left = column(parts[:2], MARGIN_MM, top - 2.0, half)
    return [*left, *column(parts[2:], MARGIN_MM + half + 10.0, top - 2.0, half)]


def _table(rows: Sequence[DepthHole], each: int, speech: Speech, paper: Paper, top: float) -> list[Item]:
    """Return the holes in blocks side by side, the first one filled first."""
    wide = (paper.width_mm - 2.0 * MARGIN_MM) / BLOCKS - 4.0
    items: list[Item] = []
    for block in range(BLOCKS):
        part = rows[block * each : (block + 1) * each]
        if not part:
            break
        left = MARGIN_MM + block * (wide + 8.0)
        for first, second, share in COLUMNS:
            at = left + share * wide
            items += [words(text, at, top - 3.6 * number, ink.TINY, "right", bold=True)
                      for number, text in enumerate((first, second)) if text]  # fmt: skip
        for number, one in enumerate(part):
            y = top - HEAD_MM - ROW_MM * number + 3.0
            for text, (_, _, share), bold in zip(_cells(one, speech), COLUMNS, BOLD, strict=True):
                items.append(words(text, left + share * wide, y, ink.SMALL, "right", bold=bold))
            items.append(line([(left, y - 1.4), (left + wide, y - 1.4)]))
    return items


BOLD = (False, False, False, True, False)


def _cells(one: DepthHole, speech: Speech) -> tuple[str, ...]:
    side = "" if one.x_mm == 0.0 else " left" if one.x_mm < 0.0 else " right"
    return (
        f"{one.number}{'*' if one.is_deepest else ''}",
        f"{speech.length(abs(one.x_mm))}{side}",
        speech.length(one.y_mm),
        speech.length(one.stop_mm),
        speech.depth(one.finished_depth_mm),
    )


def _page(number: int, of: int, items: list[Item], paper: Paper, height: float) -> Page:
    foot = words(
        "* at the deepest place of the hollow. Left and right are the sitter's; lengths are to the hole's middle.",
        MARGIN_MM,
        MARGIN_MM + FOOT_MM + 0.6,
        ink.TINY,
    )
    lines = tuple(one for one in items if not hasattr(one, "text"))
    written = tuple(one for one in items if hasattr(one, "text"))
    drawn = Drawing(
        NAME, (DrawingLayer("rules", ink.THIN, lines), DrawingLayer("words", ink.FINE, (*written, foot)))
    )
    window = (0.0, MARGIN_MM + FOOT_MM - 3.0, paper.width_mm, height)
    name = NAME if of == 1 else f"{NAME}, {number} of {of}"
    return Page(name, paper.width_mm, height, (View(drawn, window, window[:2]),))
