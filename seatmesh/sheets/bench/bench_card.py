"""The bench card: one page, first in the set, with all that is drilled, cut and measured, in order of work."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from seatmesh.body.body import Body
from seatmesh.cautions import CUTTERS, STRENGTH
from seatmesh.paper.drawing import Drawing, DrawingLayer, Item, Words, line
from seatmesh.paper.lettering import broken, fitted, width_mm
from seatmesh.paper.page import Page, View
from seatmesh.paper.paper_sizes import Paper
from seatmesh.paper.tiles import FOOT_MM, MARGIN_MM
from seatmesh.sheets import ink
from seatmesh.sheets.bench import joint_row
from seatmesh.sheets.bench.bench_words import (
    Pages,
    datum_rows,
    deepest_words,
    hole_lines,
    hole_rule,
    station_rows,
    work_order,
)
from seatmesh.sheets.bench.seat_height import height_words, seat_height
from seatmesh.sheets.cards.card import Card
from seatmesh.sheets.holes.depth_hole import DepthHoles
from seatmesh.sheets.holes.hole_words import NAME as HOLES_NAME
from seatmesh.sheets.ink import words
from seatmesh.sheets.sheet_wishes import Speech
from seatmesh.sheets.stages.stage import Stage
from seatmesh.surface import Seat
from seatmesh.wood.species import Timber

NAME = "Bench card"
SIZES_MM = (2.6, 2.4, 2.2, 2.0, 1.8)
"""Sizes of type, the first one taken at which all stands on one page."""
LEADING = 1.42
COLUMN_GAP_MM = 9.0
HEAD_MM = 17.0
MOST_DIFFERENCES = 12
"""From the proven seat, that the card names; more would not stay on its page."""
Part = tuple[str, Sequence[str]]


@dataclass(frozen=True)
class BenchFacts:
    """What the card tells of, all of one seat."""

    seat: Seat
    sitters: Sequence[Body]
    wood: Timber
    cards: Sequence[Card]
    stages: Sequence[Stage]
    holes: DepthHoles | None
    pages: Pages
    differences: Sequence[str] = ()


def bench_card(facts: BenchFacts, says: Speech, paper: Paper) -> Page:
    """Return the card, without its foot; the list of depth holes stays on its own page where it has no room here."""
    height = paper.height_mm or 0.0
    low = MARGIN_MM + FOOT_MM + 1.0
    drawn = [_laid(facts, says, paper, size, with_holes) for with_holes in (True, False) for size in SIZES_MM]
    items, _ = next((one for one in drawn if one[1] >= low), drawn[-1])
    lines = tuple(one for one in items if not isinstance(one, Words))
    written = tuple(one for one in items if isinstance(one, Words))
    drawing = Drawing(
        NAME, (DrawingLayer("rules", ink.THIN, lines), DrawingLayer("words", ink.FINE, written))
    )
    window = (0.0, MARGIN_MM + FOOT_MM - 3.0, paper.width_mm, height)
    return Page(NAME, paper.width_mm, height, (View(drawing, window, window[:2]),))


def _laid(
    facts: BenchFacts, says: Speech, paper: Paper, size: float, with_holes: bool
) -> tuple[list[Item], float]:
    """Return the card's items at a size of type, and how far down they reach."""
    seat, blank = facts.seat, facts.seat.blank
    wide = paper.width_mm - 2.0 * MARGIN_MM
    top = (paper.height_mm or 0.0) - MARGIN_MM
    size_words = " x ".join(says.length(one) for one in (blank.width_mm, blank.depth_mm, blank.thickness_mm))
    sides = "Left and right are the sitter's."
    under = f"{NAME}. Blank {size_words} (across, front to rear, thick), {facts.wood.name}. {sides}"
    items: list[Item] = [
        words(fitted(seat.title, ink.TITLE, wide, bold=True), MARGIN_MM, top - 6.0, ink.TITLE, bold=True),
        words(fitted(under, ink.SMALL, wide), MARGIN_MM, top - 11.5, ink.SMALL),
    ]
    y = top - HEAD_MM
    rows = joint_row.joint_rows(seat)
    if rows:
        part, y = _table("Joints", joint_row.table(rows, says), wide, y, size)
        notes, y = _column((("", joint_row.notes(rows)),), MARGIN_MM, y, wide, size)
        items += part + notes
    half = 0.5 * (wide - COLUMN_GAP_MM)
    left: list[Part] = [
        ("Height and rake", height_words(seat, seat_height(seat, facts.sitters), says)),
        ("Deepest place", deepest_words(seat, says)),
        ("Stations", station_rows(facts.cards, says)),
        ("Datum points, uncut until the last works", datum_rows(seat, says)),
    ]
    right: list[Part] = [
        ("Order of work", work_order(seat, facts.stages, facts.holes, facts.pages)),
        ("Against the proven seat", _most(facts.differences)),
        *_hole_part(facts, says, with_holes),
        ("Cautions", (CUTTERS, STRENGTH)),
    ]
    first, low = _column(left, MARGIN_MM, y, half, size)
    second, other = _column(right, MARGIN_MM + half + COLUMN_GAP_MM, y, half, size)
    return items + first + second, min(low, other)


def _most(sentences: Sequence[str]) -> tuple[str, ...]:
    """Return as many sentences as the card has room for, and how many more there are."""
    left = len(sentences) - MOST_DIFFERENCES
    if left <= 0:
        return tuple(sentences)
    return (*sentences[:MOST_DIFFERENCES], f"And {left} more: `seatmesh sheets --repeat` prints them all.")


def _hole_part(facts: BenchFacts, says: Speech, with_holes: bool) -> list[Part]:
    holes = facts.holes
    if holes is None or not holes.holes:
        return []
    where = facts.pages.get(HOLES_NAME, "the list")
    if not with_holes:
        return [("Depth holes", (hole_rule(holes, says), f"The stops stand on {where}."))]
    return [(f"Depth holes (places: {where})", (hole_rule(holes, says), *hole_lines(holes, says)))]


def _column(
    parts: Sequence[Part], x: float, top: float, room: float, size: float
) -> tuple[list[Item], float]:
    """Return headings with paragraphs from a height down, and where they end."""
    out: list[Item] = []
    y = top
    for heading, paragraphs in parts:
        if not paragraphs:
            continue
        if heading:
            out.append(words(heading, x, y, 1.2 * size, bold=True))
            y -= 1.3 * LEADING * size
        for paragraph in paragraphs:
            for text in broken(paragraph, size, room):
                out.append(words(text, x, y, size))
                y -= LEADING * size
            y -= 0.25 * size
        y -= 0.9 * size
    return out, y


def _table(
    heading: str, rows: Sequence[Sequence[str]], room: float, top: float, size: float
) -> tuple[list[Item], float]:
    """Return a table with a rule under each row, its columns as wide as their words ask, and where it ends."""
    widths = [
        max(width_mm(row[k], size, bold=number == 0) for number, row in enumerate(rows))
        for k in range(len(rows[0]))
    ]
    gap = (room - sum(widths)) / (len(widths) - 1)
    if gap < 1.5:
        return _table(heading, rows, room, top, 0.94 * size)
    items: list[Item] = [words(heading, MARGIN_MM, top, 1.2 * size, bold=True)]
    y = top - 1.4 * LEADING * size
    for number, row in enumerate(rows):
        x = MARGIN_MM
        for text, wide in zip(row, widths, strict=True):
            items += [words(text, x, y, size, bold=number == 0)] if text else []
            x += wide + gap
        items.append(line([(MARGIN_MM, y - 0.45 * size), (MARGIN_MM + room, y - 0.45 * size)]))
        y -= 1.15 * LEADING * size
    return items, y - 0.4 * size
