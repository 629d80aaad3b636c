"""The parts of a solid by name: which facet belongs to hollow, deck, wall and so on."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from seatmesh.mesh import Mesh, facet_areas_mm2
from seatmesh.surface import ROLL_TURN, Seat

UPRIGHT = 1e-6
"""A facet whose share of area seen from above is less stands upright."""

PARTS = ("deck", "rim", "hollow", "front roll", "wall", "underside")


def facet_parts(mesh: Mesh, seat: Seat) -> tuple[str, ...]:
    """Return the part that each facet of a seat's full-size solid belongs to, one of `PARTS`.

    Upright facets are wall, those that look down underside. Those that look up are deck behind the deck line, front
    roll ahead of its start, hollow where the seat is carved there, and rim where its top face is left as it was.
    """
    corners = mesh.vertices_mm[mesh.faces]
    along, across = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    from_above = 0.5 * (along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0])
    area = np.maximum(facet_areas_mm2(mesh), np.finfo(float).tiny)
    x, y, _ = corners.mean(axis=1).T
    roll = seat.blank.depth_mm - seat.front_roll_mm * math.sin(ROLL_TURN)
    which = np.select(
        [
            np.abs(from_above) <= UPRIGHT * area,
            from_above < 0.0,
            y < seat.blank.deck_mm,
            (y > roll) & (seat.front_roll_mm > 0.0),
            seat.depth_mm(x, y) > 0.0,
        ],
        [4, 5, 0, 3, 2],
        default=1,
    )
    names: NDArray[np.object_] = np.array(PARTS, dtype=object)[which]
    return tuple(names.tolist())
