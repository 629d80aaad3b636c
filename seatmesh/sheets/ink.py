"""Line widths, colours and sizes of type that all sheets share."""

from __future__ import annotations

from seatmesh.paper.drawing import Align, Look, Words

INK, PENCIL, PALE = "#2b2622", "#75695c", "#cbbba3"
WOOD_LINE, SKIN, WARNING = "#7a5a36", "#33567a", "#9b2a1a"

EDGE = Look(0.5, INK)
FINE = Look(0.2, INK)
THIN = Look(0.15, PENCIL)
GRID = Look(0.1, PALE)
CENTRE = Look(0.25, INK, (9.0, 1.6, 1.6, 1.6))
DASHED = Look(0.25, INK, (4.0, 1.6))
GLUE = Look(0.35, PALE, (12.0, 3.0))
CONTOUR = Look(0.22, WOOD_LINE)
CONTOUR_HEAVY = Look(0.42, WOOD_LINE)
HOLLOW_EDGE = Look(0.2, WOOD_LINE, (1.0, 1.0))
STATION = Look(0.13, PENCIL, (1.0, 2.2))
PLACE = Look(0.35, SKIN)
CUT_ARROW = Look(0.4, INK)
CUTS_MEET, CUTS_PART = Look(0.4, WARNING), Look(0.4, WARNING, (3.0, 2.0))
SCRAPE = Look(0.25, WARNING)
HOLE = Look(0.25, WARNING)
REST = Look(1.0, INK)
DOT = Look(0.0, SKIN, fill=SKIN)
GROUND = Look(0.0, "#ffffff", fill="#ffffff")

TITLE, HEADING, TEXT, SMALL, TINY = 6.0, 4.0, 3.2, 2.6, 2.2
"""Sizes of type, mm."""


def words(
    text: str,
    x: float,
    y: float,
    size: float = TEXT,
    align: Align = "left",
    *,
    bold: bool = False,
    turn: float = 0.0,
) -> Words:
    """Return words at a place."""
    return Words(text, (x, y), size, align, bold, turn)
