"""The parts of a solid by name: which facet belongs to hollow, deck, wall and so on."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from seatmesh.mesh import Mesh, facet_areas_mm2
from seatmesh.surface import Seat
from seatmesh.wood.round_over import round_over_drop

UPRIGHT = 1e-6
"""A facet whose share of area seen from above is less stands upright."""

OFF_MM = 0.01
FAR_OFF_MM = 1.0
"""A facet that looks up and lies as far from the surface belongs to a hole."""

PARTS = (
    "deck",
    "rim",
    "gutter",
    "hollow",
    "front roll",
    "round-over",
    "wall",
    "under-bevel",
    "underside",
    "joint hole",
)


def facet_parts(mesh: Mesh, seat: Seat) -> tuple[str, ...]:
    """Return the part that each facet of a seat's full-size solid belongs to, one of `PARTS`.

    Upright facets on the outline are wall, those that look down underside, or under-bevel where that rises. Those that
    look up are round-over beside the outline, deck behind the deck line, gutter where that is the deeper, front
    roll ahead of its start, hollow where the seat is carved there, and rim where its top face is left as it was. What
    lies in none of these is the inside of a joint hole.
    """
    corners = mesh.vertices_mm[mesh.faces]
    along, across = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    from_above = 0.5 * (along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0])
    area = np.maximum(facet_areas_mm2(mesh), np.finfo(float).tiny)
    x, y, z = corners.mean(axis=1).T
    blank, depth, inside = seat.blank, seat.depth_mm(x, y), seat.blank.inside_mm(x, y)
    ahead = blank.ahead_of_deck_mm(x, y)
    rise = z + blank.thickness_mm
    upright, down = np.abs(from_above) <= UPRIGHT * area, from_above < 0.0
    off = np.abs(z + depth + round_over_drop(np.maximum(inside, 0.0), blank.round_over_mm))
    steep = corners[..., 2].max(axis=1) - corners[..., 2].min(axis=1)
    gutter = blank.gutter_at_mm(ahead)
    names = {
        "wall": upright & (inside <= OFF_MM),
        "underside": down & ~upright & (rise <= OFF_MM),
        "under-bevel": down & ~upright & (np.abs(rise - blank.rise_at_mm(inside)) <= FAR_OFF_MM),
        "joint hole": upright | down | (off > FAR_OFF_MM + steep),
        "round-over": inside < blank.round_over_mm,
        "deck": (ahead <= 0.0) & (steep <= OFF_MM),
        "gutter": (gutter > 0.0) & (gutter >= depth),
        "front roll": (y > seat.roll_start_mm) & (seat.front_roll_mm > 0.0),
        "hollow": (depth > 0.0) | (steep > OFF_MM),
    }
    which = np.select(list(names.values()), list(range(len(names))), default=len(names))
    words: NDArray[np.object_] = np.array([*names, "rim"], dtype=object)[which]
    return tuple(words.tolist())
