"""How much wood carving takes, by the seat and by a CAD solid of it: a kernel may lose a cut without a word."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from seatmesh.formats.step.kernel import kernel
from seatmesh.surface import Seat
from seatmesh.wood.outline.shapes import area_mm2
from seatmesh.wood.round_over import mean_drop

GRID_MM = 1.5
OFF_SHARE, OFF_MM3 = 3e-4, 300.0
"""How far the two may part: what grid and kernel miss; 530 mm3 of a litre was the most that was seen."""


def is_as_carved(body: Any, seat: Seat, *, rounded: bool) -> bool:
    """Return whether a solid lacks as much of the plain prism as carving, roll, bevel and, if so, round-over take."""
    blank = seat.blank
    taken = area_mm2(blank.polygon_mm()) * blank.thickness_mm - volume_mm3(body)
    expected = taken_mm3(seat, rounded=rounded)
    return abs(taken - expected) <= OFF_SHARE * expected + OFF_MM3


def taken_mm3(seat: Seat, *, rounded: bool) -> float:
    """Return the wood that carving and under-bevel take of the blank, summed over a grid, mm3.

    `rounded` counts the round along the top edge where it takes more than the carving does there.
    """
    blank = seat.blank
    low, high = blank.polygon_mm().min(axis=0), blank.polygon_mm().max(axis=0)
    # Whole cells from edge to edge: straight sides cut none of them.
    counts = [int(np.ceil(one)) for one in (high - low) / GRID_MM]
    steps = [(b - a) / count for a, b, count in zip(low, high, counts, strict=True)]
    x, y = (a + step * (np.arange(count) + 0.5) for a, step, count in zip(low, steps, counts, strict=True))
    wide, deep = np.meshgrid(x, y)
    inside = shapely.contains_xy(shapely.Polygon(blank.polygon_mm()), wide, deep)
    at = wide[inside], deep[inside]
    depth = seat.depth_mm(*at)
    if rounded:
        depth = np.maximum(depth, mean_drop(blank.inside_mm(*at), blank.round_over_mm, GRID_MM))
    return float((depth + blank.underside_rise_mm(*at)).sum() * steps[0] * steps[1])


def volume_mm3(body: Any) -> float:
    """Return the volume of a kernel's solid, to a millionth."""
    props = kernel("GProp").GProp_GProps()
    kernel("BRepGProp").BRepGProp.VolumeProperties_s(body, props, 1e-6)
    return float(props.Mass())
