"""From pixels to the plane of the blank through a straight lens: a homography. `camera` finds the lens too.

H (p, 1) gives the place in mm of a pixel p. H comes from the normalised direct linear transform (Hartley 1997, IEEE
PAMI 19:580, from memory) and then from least squares on pixels, where the errors arise.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

from seatmesh.arrays import Floats
from seatmesh.errors import NotSolvedError

MOST_EVALUATIONS = 200
"""Points that belong together take about five."""


@dataclass(frozen=True)
class Mapping2D:
    """A mapping from pixels to places in the plane of the blank: homography, shape (3, 3)."""

    homography: Floats

    def to_mm(self, pixels: Floats) -> Floats:
        """Return the places, mm, that pixels, shape (n, 2), show."""
        return applied(self.homography, pixels)

    def to_pixels(self, places_mm: Floats) -> Floats:
        """Return where places, mm, shape (n, 2), show in the image."""
        return applied(np.asarray(np.linalg.inv(self.homography)), places_mm)


def applied(homography: Floats, points: Floats) -> Floats:
    """Return points, shape (n, 2), under a homography."""
    mapped = np.column_stack([points, np.ones(len(points))]) @ homography.T
    return np.asarray(mapped[:, :2] / mapped[:, 2:])


def direct_homography(points: Floats, targets: Floats) -> Floats:
    """Return the homography from points to targets, shapes (n, 2) with n >= 4, by the normalised linear transform.

    It is exact for four points, the least squares of an algebraic error for more.
    """
    first, second = _normaliser(points), _normaliser(targets)
    p, q = applied(first, points), applied(second, targets)
    ones, zeros = np.ones((len(p), 1)), np.zeros((len(p), 3))
    across = np.hstack([p, ones, zeros, -q[:, :1] * p, -q[:, :1]])
    along = np.hstack([zeros, p, ones, -q[:, 1:] * p, -q[:, 1:]])
    *_, rows = np.linalg.svd(np.vstack([across, along]))
    homography = np.linalg.inv(second) @ rows[-1].reshape(3, 3) @ first
    return np.asarray(homography / homography[2, 2])


def fitted_mapping(pixels: Floats, places_mm: Floats) -> Mapping2D:
    """Return the mapping with the least squares of pixel errors; shapes (n, 2) with n >= 4.

    Raises
    ------
    NotSolvedError
        The solver found no least squares.
    """
    first, second = _normaliser(places_mm), _normaliser(pixels)
    back = np.linalg.inv(second)
    points = applied(first, places_mm)

    def off(unknowns: Floats) -> Floats:
        return (applied(back @ np.append(unknowns, 1.0).reshape(3, 3), points) - pixels).ravel()

    start = second @ direct_homography(places_mm, pixels) @ np.linalg.inv(first)
    found = _least(off, (start / start[2, 2]).ravel()[:8])
    to_pixels = back @ np.append(found, 1.0).reshape(3, 3) @ first
    return Mapping2D(np.asarray(np.linalg.inv(to_pixels)))


def _least(off: Callable[[Floats], Floats], start: Floats) -> Floats:
    found = least_squares(off, start, method="lm", x_scale="jac", max_nfev=MOST_EVALUATIONS)
    if found.status <= 0 or not np.all(np.isfinite(found.fun)):
        raise NotSolvedError(
            f"photograph: {found.message}; check pixels and places of corners and check points."
        )
    return np.asarray(found.x, dtype=float)


def _normaliser(points: Floats) -> Floats:
    """Return the similarity that puts points about the origin at a mean distance of sqrt(2)."""
    middle = points.mean(axis=0)
    scale = float(np.sqrt(2.0) / np.hypot(*(points - middle).T).mean())
    return np.array([[scale, 0.0, -scale * middle[0]], [0.0, scale, -scale * middle[1]], [0.0, 0.0, 1.0]])
