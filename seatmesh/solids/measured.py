"""How far a mesh and the surface that it stands for part, measured at random points."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from seatmesh.errors import ValueRefusedError
from seatmesh.mesh import Mesh
from seatmesh.surface import Seat

Floats = NDArray[np.float64]

SEED = 20
"""Fixed, so that the same mesh gives the same figure."""


def measured_distance_mm(mesh: Mesh, seat: Seat, samples: int = 100_000) -> float:
    """Return the greatest distance found between the top of a seat's full-size solid and its surface, mm.

    Points are taken at random, evenly over the plan of the facets that look up, and measured straight up; beside a
    step at the deck line to the step's wall, where that is nearer. Straight up is never less than the true distance.

    Raises
    ------
    ValueRefusedError
        There are no samples to take, or the mesh has no facet that looks up.
    """
    corners = mesh.vertices_mm[mesh.faces]
    along, across = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = 0.5 * (along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0])
    top, area = corners[area > 0.0], area[area > 0.0]
    if samples < 1 or len(top) == 0:
        raise ValueRefusedError(
            "samples",
            samples,
            f"allowed is 1 or more, on a mesh that looks up; {len(top)} of its facets do",
            "give the mesh that seatmesh.solid made of the seat",
        )
    x, y, z = _random_points(top, area, samples).T
    surface = -seat.depth_mm(x, y)
    straight_up = np.abs(z - surface)
    deck = np.full_like(y, seat.blank.deck_mm)
    step = -seat.depth_mm(x, np.nextafter(deck, np.inf))
    beyond = np.maximum(np.maximum(step - z, z), 0.0)
    return float(np.minimum(straight_up, np.hypot(y - deck, beyond)).max())


def _random_points(corners: Floats, area: Floats, count: int) -> Floats:
    random = np.random.default_rng(SEED)
    ends = np.cumsum(area)
    facet = np.searchsorted(ends, random.uniform(0.0, ends[-1], count), side="right")
    share = random.dirichlet([1.0, 1.0, 1.0], size=count)
    return np.asarray(np.einsum("ki,kij->kj", share, corners[np.minimum(facet, len(corners) - 1)]))
