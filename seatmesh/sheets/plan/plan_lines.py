"""Contour lines with their depths, and the deepest points, on the plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.deepest import deepest_places
from seatmesh.paper.drawing import Circle, DrawingLayer, Item, Words, line
from seatmesh.paper.lettering import width_mm
from seatmesh.sheets import ink
from seatmesh.sheets.ink import words
from seatmesh.sheets.plan.contours import Contour, contours
from seatmesh.sheets.sheet_wishes import Speech
from seatmesh.surface import Seat

HOLLOW_EDGE_MM = 0.2
"""Depth of the line that stands for the edge of the hollow: a pencil line's width."""
HEAVY_EVERY = 2
LABEL_LENGTH_MM = 60.0
"""A line shorter than this bears no figure of its own."""
LONG_MM = 400.0
CROSS_MM = 5.0
CLEAR_MM = 1.0
Boxes = list[tuple[float, float, float, float]]


def line_layers(
    seat: Seat, depths_mm: Sequence[float], speech: Speech, taken: Boxes
) -> tuple[DrawingLayer, ...]:
    """Return contour lines at depths, their figures where nothing else is, and the edge of the hollow.

    `taken` are boxes (x0, y0, x1, y1) that words already stand in; those of the figures are added.
    """
    if not len(depths_mm):
        return ()
    found = contours(seat, tuple(depths_mm))
    edge = contours(seat, (HOLLOW_EDGE_MM,))
    heavy = {depth for number, depth in enumerate(depths_mm, 1) if number % HEAVY_EVERY == 0}
    # Along the front roll lines crowd: figures there would be clutter.
    ahead = seat.blank.depth_mm - seat.front_roll_mm
    ground, figures = contour_figures(found, speech, taken, ahead)
    return (
        DrawingLayer("hollow edge", ink.HOLLOW_EDGE, tuple(line(one.points_mm) for one in edge)),
        DrawingLayer("contours", ink.CONTOUR, _drawn(one for one in found if one.depth_mm not in heavy)),
        DrawingLayer(
            "contours heavy", ink.CONTOUR_HEAVY, _drawn(one for one in found if one.depth_mm in heavy)
        ),
        DrawingLayer("contour grounds", ink.GROUND, tuple(ground)),
        DrawingLayer("contour depths", ink.CONTOUR, tuple(figures)),
    )


def _drawn(some: Iterable[Contour]) -> tuple[Item, ...]:
    return tuple(line(one.points_mm[:-1] if one.closed else one.points_mm, one.closed) for one in some)


def deepest_layers(seat: Seat, speech: Speech, taken: Boxes) -> tuple[DrawingLayer, ...]:
    """Return crosses at the deepest points, each with its depth."""
    crosses: list[Item] = []
    figures: list[Item] = []
    for x, y, depth in deepest_places(seat):
        crosses += [
            Circle((x, y), 1.6),
            line([(x - CROSS_MM, y), (x + CROSS_MM, y)]),
            line([(x, y - CROSS_MM), (x, y + CROSS_MM)]),
        ]
        text = f"deepest {speech.depth(depth)}"
        figure = words(text, x + 2.2, y - CROSS_MM - 1.5, ink.SMALL, bold=True)
        figures.append(figure)
        taken.append(box(figure))
    return DrawingLayer("deepest", ink.FINE, tuple(crosses)), DrawingLayer(
        "deepest depths", ink.FINE, tuple(figures)
    )


def box(one: Words) -> tuple[float, float, float, float]:
    """Return the box that unturned words stand in."""
    wide = width_mm(one.text, one.size_mm, one.bold)
    x = one.at_mm[0] - {"left": 0.0, "middle": 0.5, "right": 1.0}[one.align] * wide
    return (
        x - CLEAR_MM,
        one.at_mm[1] - 0.25 * one.size_mm - 0.3,
        x + wide + CLEAR_MM,
        one.at_mm[1] + 0.8 * one.size_mm + 0.3,
    )


def free(one: tuple[float, float, float, float], taken: Boxes) -> bool:
    """Tell whether a box meets none of the others."""
    return all(one[0] > b[2] or one[2] < b[0] or one[1] > b[3] or one[3] < b[1] for b in taken)


def contour_figures(
    found: Sequence[Contour], speech: Speech, taken: Boxes, ahead_mm: float
) -> tuple[list[Item], list[Item]]:
    """Return figures on white grounds, at the first place of several along each line where nothing stands yet."""
    ground: list[Item] = []
    figures: list[Item] = []
    for contour in found:
        length = _length(contour.points_mm)
        if length[-1] < LABEL_LENGTH_MM:
            continue
        wanted = (0.12, 0.37, 0.62, 0.87) if length[-1] > LONG_MM else (0.4,)
        for start in wanted:
            for shift in np.arange(0.0, 0.2, 0.01):
                at = _at(contour.points_mm, length, start + float(shift))
                one = words(
                    speech.depth(contour.depth_mm), at[0], at[1] - 0.35 * ink.TINY, ink.TINY, "middle"
                )
                if at[1] < ahead_mm and free(box(one), taken):
                    taken.append(box(one))
                    ground.append(cover(box(one)))
                    figures.append(one)
                    break
    return ground, figures


def cover(b: tuple[float, float, float, float]) -> Item:
    """Return a box that hides what lies under words."""
    low, high, left, right = b[1] + 0.2, b[3] - 0.2, b[0] + 0.5, b[2] - 0.5
    return line([(left, low), (right, low), (right, high), (left, high)], closed=True)


def _length(points: Floats) -> Floats:
    return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])


def _at(points: Floats, length: Floats, share: float) -> tuple[float, float]:
    s = share % 1.0 * length[-1]
    return float(np.interp(s, length, points[:, 0])), float(np.interp(s, length, points[:, 1]))
