"""Numbers in relief: a shallow panel sunk into the flat side, its digits left standing, flush with that side.

So the flat side still lies flat on the bed, and nothing stands out of the carved face or a cut.
"""

from __future__ import annotations

from dataclasses import dataclass

import manifold3d as m3
import numpy as np
import shapely

from seatmesh.errors import ValueRefusedError
from seatmesh.mock_up.booleans import footprint
from seatmesh.mock_up.digits import number_shape, panel_cells
from seatmesh.mock_up.stock import Printer

RELIEF_MM = 0.6
LARGEST_CELL_MM = 4.0
LEAST_CELL_MM = 0.6
"""Narrower strokes do not show."""


@dataclass(frozen=True)
class Numbered:
    """A body with its number in it, and what the panel took, mm3."""

    body: m3.Manifold
    taken_mm3: float


def numbered(body: m3.Manifold, number: int, printer: Printer, keep_off_mm: float) -> Numbered:
    """Return a body, flat side on z = 0, with a number in relief to be read from below, its top to the front.

    `keep_off_mm` is how far the panel stays from the body's sides, where the pegs' holes are, if there is room.

    Raises
    ------
    ValueRefusedError
        The body is too small or too thin for a number.
    """
    # Where a body overhangs its flat side the panel belongs on that side.
    flat = footprint(body.trim_by_plane((0.0, 0.0, -1.0), -0.01))
    wide, high = panel_cells(number)
    for off in (keep_off_mm, 0.5 * keep_off_mm, printer.wall_mm):
        inner = flat.buffer(-off)
        if inner.is_empty:
            continue
        circle = shapely.get_coordinates(shapely.maximum_inscribed_circle(inner, tolerance=0.1))
        radius = float(np.hypot(*(circle[1] - circle[0])))
        cell = min(LARGEST_CELL_MM, 2.0 * radius / float(np.hypot(wide, high)))
        if cell >= LEAST_CELL_MM:
            panel = _panel(number, cell, circle[0])
            if ((_lifted(panel[0], printer.wall_mm)) - body).volume() < 1e-6:
                tool = panel[0] - panel[1]
                return Numbered(body - tool, float(tool.volume()))
    raise ValueRefusedError(
        "bed_mm",
        printer.bed_mm,
        f"a part is too small or thin for a number of {LEAST_CELL_MM:g} mm strokes",
        "take a larger bed or scale",
    )


def _panel(number: int, cell: float, centre: np.ndarray) -> tuple[m3.Manifold, m3.Manifold]:
    """Return the panel's room and the digits in it, both RELIEF_MM high, turned so as to read from below."""
    wide, high = panel_cells(number)
    room = _extruded(shapely.box(0.0, 0.0, wide * cell, high * cell))
    digits = _extruded(number_shape(number, cell))
    at = (float(centre[0] + 0.5 * wide * cell), float(centre[1] - 0.5 * high * cell), 0.0)
    return tuple(one.mirror((1.0, 0.0, 0.0)).translate(at) for one in (room, digits))


def _extruded(shape: shapely.Geometry) -> m3.Manifold:
    rings = []
    for polygon in shapely.get_parts(shapely.orient_polygons(shape)):
        rings += [np.asarray(ring.coords)[:-1] for ring in (polygon.exterior, *polygon.interiors)]
    return m3.CrossSection(rings, m3.FillRule.EvenOdd).extrude(RELIEF_MM)


def _lifted(room: m3.Manifold, wall_mm: float) -> m3.Manifold:
    """Return the panel's room together with the wall that has to remain above it."""
    return room.scale((1.0, 1.0, (RELIEF_MM + wall_mm) / RELIEF_MM))
