"""From pixels to the plane of the blank: a homography, with one-parameter lens distortion where it is wanted.

A pixel p is first freed of distortion by the division model, p' = c + (p - c) / (1 + k |p - c|^2 / s^2), with c the
image centre and s half of the image's diagonal (Fitzgibbon 2001, CVPR, from memory); k < 0 is barrel distortion. Then
H (p', 1) gives the place in mm. H comes from the normalised direct linear transform (Hartley 1997, IEEE PAMI 19:580,
from memory) and both from least squares on pixels, where the errors arise.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import least_squares

from seatmesh.arrays import Floats
from seatmesh.errors import NotSolvedError

MOST_EVALUATIONS = 200
"""Points that belong together take about five."""


@dataclass(frozen=True)
class Lens:
    """Where the middle of the image is, px, its half diagonal, px, and the distortion k."""

    centre_px: tuple[float, float]
    scale_px: float
    distortion: float = 0.0

    def undistorted(self, pixels: Floats) -> Floats:
        """Return where an ideal lens would show pixels, shape (n, 2)."""
        out = (pixels - np.asarray(self.centre_px)) / self.scale_px
        return np.asarray(
            self.centre_px + self.scale_px * out / (1.0 + self.distortion * (out**2).sum(axis=1))[:, None]
        )

    def distorted(self, ideal: Floats) -> Floats:
        """Return where this lens shows what an ideal one shows at `ideal`, shape (n, 2); NaN where it cannot.

        The inverse of `undistorted`: r' = r / (1 + k r^2) is a quadratic in r.
        """
        out = (ideal - np.asarray(self.centre_px)) / self.scale_px
        inside = 1.0 - 4.0 * self.distortion * (out**2).sum(axis=1)
        root = np.sqrt(np.where(inside >= 0.0, inside, np.nan))
        return np.asarray(self.centre_px + self.scale_px * out * (2.0 / (1.0 + root))[:, None])


NO_LENS = Lens((0.0, 0.0), 1.0)


@dataclass(frozen=True)
class Mapping2D:
    """A mapping from pixels to places in the plane of the blank: homography, shape (3, 3), behind a lens."""

    homography: Floats
    lens: Lens = NO_LENS

    def to_mm(self, pixels: Floats) -> Floats:
        """Return the places, mm, that pixels, shape (n, 2), show."""
        return applied(self.homography, self.lens.undistorted(pixels))

    def to_pixels(self, places_mm: Floats) -> Floats:
        """Return where places, mm, shape (n, 2), show in the image."""
        return self.lens.distorted(applied(np.asarray(np.linalg.inv(self.homography)), places_mm))


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


def fitted_mapping(pixels: Floats, places_mm: Floats, lens: Lens | None = None) -> Mapping2D:
    """Return the mapping with the least squares of pixel errors; with a lens, its distortion is fitted too.

    `pixels` and `places_mm` have shape (n, 2): n >= 4, and with a lens n >= 5.

    Raises
    ------
    NotSolvedError
        The solver found no least squares.
    """
    first, second = _normaliser(places_mm), _normaliser(pixels)
    back = np.linalg.inv(second)
    points = np.column_stack([applied(first, places_mm), np.ones(len(places_mm))])

    def shown(unknowns: Floats) -> Floats:
        ideal = points @ (back @ np.append(unknowns[:8], 1.0).reshape(3, 3)).T
        ideal = ideal[:, :2] / ideal[:, 2:]
        return ideal if lens is None else replace(lens, distortion=float(unknowns[8])).distorted(ideal)

    start = second @ direct_homography(places_mm, pixels) @ np.linalg.inv(first)
    unknowns = (start / start[2, 2]).ravel()[:8]
    unknowns = unknowns if lens is None else np.append(unknowns, 0.0)
    found = _least(lambda at: (shown(at) - pixels).ravel(), unknowns)
    to_pixels = back @ np.append(found[:8], 1.0).reshape(3, 3) @ first
    glass = NO_LENS if lens is None else replace(lens, distortion=float(found[8]))
    return Mapping2D(np.asarray(np.linalg.inv(to_pixels)), glass)


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
