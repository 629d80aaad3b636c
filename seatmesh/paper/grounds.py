"""White grounds under words: no line runs through a figure, whatever the drawing holds there."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin

from seatmesh.paper.drawing import WHITE, Drawing, DrawingLayer, Line, Look, Point, Words
from seatmesh.paper.lettering import width_mm

GROUND = Look(0.0, WHITE, fill=WHITE)
AROUND_MM = 0.35
UNDER, OVER = 0.24, 0.78
"""How far letters reach under and over their base line, in shares of their size."""
START = {"left": 0.0, "middle": 0.5, "right": 1.0}


def corners_mm(one: Words, around_mm: float = 0.0) -> tuple[Point, ...]:
    """Return the corners of the box that words stand in, turned as they are, with some room around."""
    wide = width_mm(one.text, one.size_mm, one.bold)
    left = -START[one.align] * wide - around_mm
    right, low, high = (
        left + wide + 2.0 * around_mm,
        -UNDER * one.size_mm - around_mm,
        OVER * one.size_mm + around_mm,
    )
    c, s = cos(radians(one.turn_deg)), sin(radians(one.turn_deg))
    x, y = one.at_mm
    return tuple(
        (x + c * u - s * v, y + s * u + c * v)
        for u, v in ((left, low), (right, low), (right, high), (left, high))
    )


def extent_mm(one: Words) -> tuple[float, float, float, float]:
    """Return the least upright box x0, y0, x1, y1 around words."""
    x, y = zip(*corners_mm(one), strict=True)
    return min(x), min(y), max(x), max(y)


def grounded(drawing: Drawing) -> Drawing:
    """Return a drawing with all its words on top, each on a white ground that hides the lines beneath."""
    bare, written, grounds = [], [], []
    for layer in drawing.layers:
        texts = tuple(one for one in layer.items if isinstance(one, Words))
        rest = tuple(one for one in layer.items if not isinstance(one, Words))
        if rest or not texts:
            bare.append(replace(layer, items=rest))
        if texts:
            written.append(replace(layer, items=texts))
            grounds += [Line(corners_mm(one, AROUND_MM), closed=True) for one in texts if one.text]
    return replace(drawing, layers=(*bare, DrawingLayer("word grounds", GROUND, tuple(grounds)), *written))
