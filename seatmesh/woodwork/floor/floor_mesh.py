"""The carved blank as bricks: columns over a plan grid that meets glue lines and deck line."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from typing import Any

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.surface import Seat
from seatmesh.woodwork.floor.elastic_solid import finite_elements

LEAST_COLUMN_MM = 1.0
"""No column of bricks is thinner: where the hollow comes as near to the underside there is no floor to be told of."""
MERGED_SHARE = 0.35
"""Lines nearer than this share of the spacing to one that has to be there are left out."""


def floor_mesh(
    seat: Seat, lines_mm: Iterable[float], spacing_mm: float, layers: int, taken_mm: float = 0.0
) -> Any:
    """Return the mesh of a carved blank; `lines_mm` are x that bricks meet, `taken_mm` is planed off its underside.

    Bricks whose middle lies outside the outline are left out, so that the outline is followed in steps.
    """
    fem = finite_elements()
    blank = seat.blank
    half = 0.5 * blank.width_mm
    x = _stations(-half, half, (0.0, *lines_mm), spacing_mm)
    y = _stations(0.0, blank.depth_mm, (blank.deck_mm,) if not blank.deck_is_curved else (), spacing_mm)
    mesh = fem.MeshHex.init_tensor(x, y, np.linspace(0.0, 1.0, layers + 1))
    middle = mesh.p[:, mesh.t].mean(axis=1)
    mesh = mesh.restrict(np.flatnonzero(blank.inside_mm(middle[0], middle[1]) > 0.0))
    across, along, share = mesh.p
    top = -seat.depth_mm(across, along)
    low = -blank.thickness_mm + taken_mm + blank.underside_rise_mm(across, along)
    high = np.maximum(top, low + LEAST_COLUMN_MM)
    return fem.MeshHex(np.vstack([across, along, low + share * (high - low)]), mesh.t)


def skin_faces(mesh: Any, upper: bool) -> Any:
    """Return the numbers of the faces of the carved surface, or of the underside."""
    faces = mesh.boundary_facets()
    corners = mesh.p[:, mesh.facets[:, faces]]
    # Across a face of the sides two corners stand above the others; of top and underside the plan has an area.
    d1, d2 = corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1]
    plan = np.abs(d1[0] * d2[1] - d1[1] * d2[0])
    level = faces[plan > 1e-6]
    height = mesh.p[2][mesh.facets[:, level]].mean(axis=0)
    brick = mesh.f2t[0][level]
    middle = mesh.p[2][mesh.t[:, brick]].mean(axis=0)
    return level[height > middle] if upper else level[height < middle]


def brick_middles_mm(mesh: Any) -> Floats:
    """Return the middle of every brick, shape (n, 3)."""
    return np.asarray(mesh.p[:, mesh.t].mean(axis=1).T)


def _stations(start: float, stop: float, wanted: Iterable[float], spacing: float) -> Floats:
    """Return stations from start to stop at most `spacing` apart, with all wanted ones among them."""
    fixed = [start]
    for one in sorted({*wanted, stop}):
        if one - fixed[-1] > MERGED_SHARE * spacing and (one == stop or stop - one > MERGED_SHARE * spacing):
            fixed.append(one)
    parts = [
        np.linspace(a, b, max(1, int(np.ceil((b - a) / spacing - 1e-9))), endpoint=False)
        for a, b in pairwise(fixed)
    ]
    return np.append(np.concatenate(parts), stop)
