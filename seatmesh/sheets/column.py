"""A column of words: headings with paragraphs under them."""

from __future__ import annotations

from collections.abc import Sequence

from seatmesh.paper.drawing import Item
from seatmesh.paper.lettering import broken
from seatmesh.sheets import ink
from seatmesh.sheets.ink import words

LINE_MM = 4.3


Part = tuple[str, Sequence[str]]


def column(parts: Sequence[Part], x: float, top: float, room: float) -> list[Item]:
    """Return headings with paragraphs under them, broken to the room, from a height down."""
    return _laid(parts, x, top, room)[0]


def height_mm(parts: Sequence[Part], room: float) -> float:
    """Return how far down a column reaches."""
    return -_laid(parts, 0.0, 0.0, room)[1]


def evenly(parts: Sequence[Part], room: float) -> tuple[Sequence[Part], Sequence[Part]]:
    """Return the parts in two columns, in their order, so that the longer is as short as can be."""
    splits = [(parts[:k], parts[k:]) for k in range(len(parts), -1, -1)]
    return min(splits, key=lambda pair: max(height_mm(one, room) for one in pair))


def _laid(parts: Sequence[Part], x: float, top: float, room: float) -> tuple[list[Item], float]:
    """Return the words of a column, and the height at which the next would stand."""
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
    return out, y
