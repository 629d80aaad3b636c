"""Which triangles and points of a scan belong to its uppermost face: nothing lies over them."""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.wood.blank import Blank

STEP_MM = 2.0
"""Between samples of a mesh: two to a cell each way, so that no cell of a seen face is empty."""
CELL_MM = 4.0
LEAST_UP = 0.25
"""Least share of a triangle's normal that points up or down on the carved face."""
COVER_MM = 2.0
"""A face may bend by so much over a cell."""
APART, LEAST_REACH_MM, MOST_REACH_MM = 2.5, 4.0, 18.0
"""A list's points tell of a cover as far as so many times their distance."""
STEEP = 0.8
NEAR_UNDERSIDE = 0.4
"""Of the floor: so near to the underside a point of a list belongs to it."""


def top_facets(local: Floats, faces: Ints, samples: Floats) -> Bools:
    """Tell which triangles belong to the uppermost face, whichever way their corners go round.

    A triangle is covered where something lies over it by more than its own slope explains, and over its surroundings
    too: at the foot of a step there is something over it on one side only.

    Parameters
    ----------
    local
        Their corners' points in the frame of the blank, shape (n, 3).
    samples
        Points all over the scan in that frame, `STEP_MM` apart, shape (m, 3).
    """
    corners = local[faces]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    up, size = np.abs(across[:, 2]), np.linalg.norm(across, axis=1)
    own = np.flatnonzero(up > LEAST_UP * size)
    slope = np.sqrt(np.maximum(size[own] ** 2 - up[own] ** 2, 0.0)) / up[own]
    cover = _Cover(samples, CELL_MM)
    is_open = np.ones(len(own), dtype=bool)
    for place in (corners[own].mean(axis=1), *(corners[own, i] for i in range(3))):
        over = cover.over(place) > COVER_MM + CELL_MM * np.sqrt(2.0) * slope
        is_open &= ~(over & (cover.over_all_around(place) > COVER_MM))
    out = np.zeros(len(faces), dtype=bool)
    out[own] = is_open
    return out


def top_points(local: Floats, spacing_mm: float, blank: Blank) -> Bools:
    """Tell which points of a list without triangles belong to the uppermost face."""
    reach = float(np.clip(APART * spacing_mm, LEAST_REACH_MM, MOST_REACH_MM))
    over = _Cover(local, reach).highest_around(local)
    inside = blank.inside_mm(local[:, 0], local[:, 1])
    underside = blank.rise_at_mm(np.maximum(inside, 0.0)) - blank.thickness_mm
    clear = local[:, 2] > underside + NEAR_UNDERSIDE * blank.floor_mm
    return np.asarray(clear & (over <= COVER_MM + 2.0 * STEEP * reach))


class _Cover:
    """The height of the uppermost face over the cells of a plan."""

    def __init__(self, points: Floats, cell_mm: float) -> None:
        self.cell_mm = cell_mm
        cell = np.floor(points[:, :2] / cell_mm).astype(np.int64)
        self.low = cell.min(axis=0)
        cell -= self.low
        self.height = np.full(tuple(cell.max(axis=0) + 1), -np.inf)
        np.maximum.at(self.height, (cell[:, 0], cell[:, 1]), points[:, 2])

    def over(self, points: Floats) -> Floats:
        """Return how far the uppermost face lies over points, in their own cell."""
        return self._over(points, self.height)

    def over_all_around(self, points: Floats) -> Floats:
        """Return how far it lies over them where it lies lowest, in their cell and those round it that were seen."""
        known = np.where(np.isfinite(self.height), self.height, np.inf)
        return self._over(points, ndimage.minimum_filter(known, 3, mode="constant", cval=np.inf))

    def highest_around(self, points: Floats) -> Floats:
        """Return how far it lies over them where it lies highest, in their cell and those round it."""
        return self._over(points, ndimage.maximum_filter(self.height, 3, mode="constant", cval=-np.inf))

    def _over(self, points: Floats, height: Floats) -> Floats:
        cell = np.floor(points[:, :2] / self.cell_mm).astype(np.int64) - self.low
        cell = np.clip(cell, 0, np.array(height.shape) - 1)
        return np.asarray(height[cell[:, 0], cell[:, 1]] - points[:, 2])
