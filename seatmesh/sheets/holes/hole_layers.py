"""Depth holes on the plan: circles of the bit's size, each with its stop and, apart from it, the finished depth."""

from __future__ import annotations

from seatmesh.paper.drawing import Circle, DrawingLayer, Item, Words, line
from seatmesh.sheets import ink
from seatmesh.sheets.holes.depth_hole import DepthHole, DepthHoles
from seatmesh.sheets.holes.hole_words import seat_words, stop_words
from seatmesh.sheets.ink import words
from seatmesh.sheets.plan.plan_lines import Boxes, box, cover, free
from seatmesh.sheets.sheet_wishes import Speech

PRICK_MM = 1.5
LINE_MM = 2.9
"""Between the two lines of words at a hole."""
BESIDE_MM = 0.9


def hole_layers(made: DepthHoles | None, speech: Speech, taken: Boxes) -> tuple[DrawingLayer, ...]:
    """Return circles with a cross to prick through, the stops, and the finished depths; nothing without holes."""
    if not made or not made.holes:
        return ()
    rings: list[Item] = []
    for one in made.holes:
        x, y, r = one.x_mm, one.y_mm, 0.5 * one.bit_mm
        rings += [
            Circle((x, y), r),
            line([(x - PRICK_MM, y), (x + PRICK_MM, y)]),
            line([(x, y - PRICK_MM), (x, y + PRICK_MM)]),
        ]
        taken.append((x - r, y - r, x + r, y + r))
    stops: list[Item] = []
    seats: list[Item] = []
    grounds: list[Item] = []
    for one in made.holes:
        pair = _placed(one, speech, taken)
        taken += [box(word) for word in pair]
        grounds += [cover(box(word)) for word in pair]
        stops.append(pair[0])
        seats.append(pair[1])
    return (
        DrawingLayer("hole grounds", ink.GROUND, tuple(grounds)),
        DrawingLayer("depth holes", ink.HOLE, tuple(rings)),
        DrawingLayer("hole stops", ink.HOLE, tuple(stops)),
        DrawingLayer("hole finished depths", ink.FINE, tuple(seats)),
    )


def _placed(one: DepthHole, speech: Speech, taken: Boxes) -> tuple[Words, Words]:
    """Return a hole's two lines where nothing stands yet: under it, over it or beside it; else under it."""
    x, y, r = one.x_mm, one.y_mm, 0.5 * one.bit_mm
    aside, middle = r + BESIDE_MM + 0.6, y - 0.4
    under, over = y - r - ink.TINY - BESIDE_MM, y + r + LINE_MM + BESIDE_MM
    choices = [
        _pair(one, speech, x, under, "middle"),
        _pair(one, speech, x, over, "middle"),
        _pair(one, speech, x + aside, middle + 0.4 * LINE_MM, "left"),
        _pair(one, speech, x - aside, middle + 0.4 * LINE_MM, "right"),
        _pair(one, speech, x + 0.7 * r, under, "left"),
        _pair(one, speech, x - 0.7 * r, under, "right"),
        _pair(one, speech, x + 0.7 * r, over, "left"),
        _pair(one, speech, x - 0.7 * r, over, "right"),
    ]
    return next((pair for pair in choices if all(free(box(word), taken) for word in pair)), choices[0])


def _pair(one: DepthHole, speech: Speech, x: float, y: float, align: str) -> tuple[Words, Words]:
    return (
        words(stop_words(one, speech), x, y, ink.TINY, align, bold=True),  # type: ignore[arg-type]
        words(seat_words(one, speech), x, y - LINE_MM, ink.TINY, align),  # type: ignore[arg-type]
    )
