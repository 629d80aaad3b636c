"""A column of words: headings with paragraphs under them."""

from __future__ import annotations

from collections.abc import Sequence

from seatmesh.paper.drawing import Item
from seatmesh.paper.lettering import broken
from seatmesh.sheets import ink
from seatmesh.sheets.ink import words

LINE_MM = 4.3


def column(parts: Sequence[tuple[str, Sequence[str]]], x: float, top: float, room: float) -> list[Item]:
    """Return headings with paragraphs under them, broken to the room, from a height down."""
    out: list[Item] = []
    y = top
    for heading, paragraphs in parts:
        if paragraphs:
            out.append(words(heading, x, y, ink.TEXT, bold=True))
            y -= LINE_MM + 0.4
        else:
            out.append(words(heading, x, y, ink.SMALL))
            y -= LINE_MM + 2.0
        for paragraph in paragraphs:
            for text in broken(paragraph, ink.SMALL, room):
                out.append(words(text, x, y, ink.SMALL))
                y -= LINE_MM - 0.4
            y -= 0.8
        y -= 2.6
    return out
