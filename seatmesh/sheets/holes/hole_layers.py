"""Depth holes on the plan: circles of the bit's size with number and setting."""

from __future__ import annotations

from collections.abc import Sequence

from seatmesh.paper.drawing import Circle, Item, Layer, line
from seatmesh.sheets import ink
from seatmesh.sheets.holes.depth_hole import Hole
from seatmesh.sheets.ink import words
from seatmesh.sheets.plan.plan_lines import Boxes, box
from seatmesh.sheets.sheet_wishes import Speech

PRICK_MM = 1.5


def hole_layers(holes: Sequence[Hole], speech: Speech, taken: Boxes) -> tuple[Layer, ...]:
    """Return circles with a cross to prick through, and beside each the depth stop's setting; nothing without holes."""
    if not holes:
        return ()
    rings: list[Item] = []
    names: list[Item] = []
    for one in holes:
        x, y = one.x_mm, one.y_mm
        rings += [
            Circle((x, y), 0.5 * one.bit_mm),
            line([(x - PRICK_MM, y), (x + PRICK_MM, y)]),
            line([(x, y - PRICK_MM), (x, y + PRICK_MM)]),
        ]
        low = y - 0.5 * one.bit_mm - 3.2
        name = words(f"{one.number}: {speech.length(one.stop_mm)}", x, low, ink.TINY, "middle")
        names.append(name)
        taken.append(box(name))
        r = 0.5 * one.bit_mm
        taken.append((x - r, y - r, x + r, y + r))
    return Layer("depth holes", ink.HOLE, tuple(rings)), Layer("hole stops", ink.HOLE, tuple(names))
