"""A camera over the blank: lens and plane found together from points whose places are known, and how surely.

A pixel p, counted from the middle of the image in half diagonals, is freed of distortion by
p' = c + (p - c) / (1 + k r^2 + m r^4), r = |p - c|, and carried to mm by a homography. That is the radial model of
Brown (1966, *Photogrammetric Engineering* 32:444) turned round, so that pixels go straight to places (the division
model of Fitzgibbon 2001, CVPR); both from memory. The lens is known beforehand as far as lenses go (`LENS_ERRORS`);
points that tell nothing of it leave it as unsure as that, and with it every place that hangs on it.

Least squares with a prior: its curvature at the end is the inverse of the covariance (Tarantola 2005, *Inverse Problem
Theory*, ch. 3; from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

from seatmesh.arrays import Floats
from seatmesh.errors import NotSolvedError
from seatmesh.marks.homography import applied, direct_homography
from seatmesh.marks.seen_points import SeenPoints

LENS_ERRORS = (0.15, 0.05, 0.02, 0.02)
"""How far k, m and the two parts of c may lie from 0 (one standard error): from a lens that leaves edges straight to
one that draws the corners of the image in by a quarter; from memory."""
BELIEVED = 4.0
"""As many residuals' worth of belief in the stated errors, before residuals say that they are larger."""
MOST_EVALUATIONS = 240
"""Points that belong together take fewer than 20."""
NO_CAMERA = "photograph: no camera fits these points; check their pixels and places."
STEP = 1e-6
PLANE = 8
"""Numbers that make a homography."""


@dataclass(frozen=True)
class Camera:
    """Lens and plane as they were found.

    Attributes
    ----------
    seen
        What they were found from.
    unknowns
        Eight numbers of the homography from image to plane, then k, m and the two parts of c.
    middle_mm, span_mm
        Places are the homography's times the span, from the middle.
    covariance, plane_covariance
        Of the unknowns, shape (12, 12); the same if the lens were known as it was found.
    scale
        How much larger the residuals are than the stated errors, at least 1.
    residuals
        Of each row, in stated errors, shape (2 n + m,): x and y of each known point, then each edge point.
    hat, gain
        How the fit follows the rows, shape (2 n + m, 2 n + m), and how the unknowns do, shape (12, 2 n + m).
    roots_mm
        Of each known point, what makes a residual in stated errors one in mm, shape (n, 2, 2); then of edge points.
    converged
        Whether the solver came to an end; points that do not belong together can keep it from that.
    """

    seen: SeenPoints
    unknowns: Floats
    middle_mm: Floats
    span_mm: float
    covariance: Floats
    plane_covariance: Floats
    scale: float
    residuals: Floats
    hat: Floats
    gain: Floats
    roots_mm: tuple[Floats, Floats]
    converged: bool

    def to_mm(self, pixels: Floats) -> Floats:
        """Return the places, shape (n, 2), that pixels show."""
        return _places(self.unknowns, self.seen.normal(pixels), self.middle_mm, self.span_mm)

    def slope(self, pixel: Floats) -> Floats:
        """Return how the place of one pixel follows the unknowns, shape (2, 12)."""
        at = self.seen.normal(pixel[None, :])
        return _slopes(lambda u: _places(u, at, self.middle_mm, self.span_mm)[0], self.unknowns)

    def per_pixel(self, pixel: Floats) -> Floats:
        """Return how the place of one pixel follows it, mm per px, shape (2, 2)."""
        steps = 0.5 * np.vstack([np.eye(2), -np.eye(2)])
        moved = self.to_mm(pixel + steps)
        return np.asarray((moved[:2] - moved[2:]).T)

    @property
    def misfit(self) -> float:
        """Sum of squares of all residuals, the lens's own included."""
        lens = self._lens_residuals
        return float(self.residuals @ self.residuals + lens @ lens)

    @property
    def lens_surprise(self) -> float:
        """By how many standard errors, as known beforehand, the lens is off a straight one, where most."""
        return float(np.abs(self._lens_residuals).max())

    @property
    def _lens_residuals(self) -> Floats:
        return np.asarray(self.unknowns[PLANE:] / np.asarray(LENS_ERRORS))

    @property
    def free(self) -> float:
        """How many residuals are left to check the others."""
        return max(len(self.residuals) - float(np.trace(self.hat)), 0.0)


def found_camera(seen: SeenPoints) -> Camera:
    """Return the camera that fits what is seen.

    Raises
    ------
    NotSolvedError
        The solver left all that can be counted.
    """
    at, edge = seen.normal(seen.pixels), seen.normal(seen.edge_pixels)
    middle = seen.places_mm.mean(axis=0)
    span = float(np.hypot(*(seen.places_mm - middle).T).max())
    start = direct_homography(at, (seen.places_mm - middle) / span)
    unknowns = np.append(start.ravel()[:PLANE], np.zeros(len(LENS_ERRORS)))
    in_mm = np.diag([span, span, 1.0]) @ start
    roots, edge_errors = seen.known_errors(in_mm), seen.edge_errors(in_mm)
    whiten = np.linalg.inv(roots)

    def rows(u: Floats) -> Floats:
        off = _places(u, at, middle, span) - seen.places_mm
        white = np.einsum("nij,nj->ni", whiten, off).ravel()
        return np.concatenate([white, seen.off_outline_mm(_places(u, edge, middle, span)) / edge_errors])

    def rows_and_lens(u: Floats) -> Floats:
        return np.append(rows(u), u[PLANE:] / np.asarray(LENS_ERRORS))

    found = least_squares(rows_and_lens, unknowns, method="lm", x_scale="jac", max_nfev=MOST_EVALUATIONS)
    if not np.all(np.isfinite(found.fun)):
        raise NotSolvedError(NO_CAMERA)
    u = np.asarray(found.x, dtype=float)
    off, jacobian = rows(u), _slopes(rows, u)
    covariance, plane_covariance = _covariances(jacobian)
    gain = covariance @ jacobian.T
    hat = jacobian @ gain
    free = max(len(off) - float(np.trace(hat)), 0.0)
    scale = float(np.sqrt(max(1.0, (float(off @ off) + BELIEVED) / (free + BELIEVED))))
    errors = (roots, edge_errors)
    return Camera(
        seen, u, middle, span, covariance, plane_covariance, scale, off, hat, gain, errors, found.status > 0
    )


def _covariances(jacobian: Floats) -> tuple[Floats, Floats]:
    """Return the covariance of the unknowns, and the same if the lens were known."""
    prior = np.zeros((jacobian.shape[1], jacobian.shape[1]))
    prior[PLANE:, PLANE:] = np.diag(1.0 / np.square(LENS_ERRORS))
    plane = jacobian[:, :PLANE]
    alone = np.zeros_like(prior)
    alone[:PLANE, :PLANE] = _inverse(plane.T @ plane)
    return _inverse(np.asarray(jacobian.T @ jacobian + prior)), alone


def _inverse(curvature: Floats) -> Floats:
    # The unknowns differ in size by orders: scaled, so that none is lost to rounding.
    size = np.sqrt(np.diag(curvature))
    return np.asarray(np.linalg.inv(curvature / np.outer(size, size)) / np.outer(size, size))


def _places(u: Floats, at: Floats, middle: Floats, span: float) -> Floats:
    k, m, centre = u[PLANE], u[PLANE + 1], u[PLANE + 2 :]
    out = at - centre
    square = (out**2).sum(axis=1)
    ideal = centre + out / (1.0 + k * square + m * square**2)[:, None]
    return np.asarray(middle + span * applied(np.append(u[:PLANE], 1.0).reshape(3, 3), ideal))


def _slopes(function: Callable[[Floats], Floats], at: Floats) -> Floats:
    """Return the derivatives of a function at unknowns, by central differences, shape (rows, unknowns)."""
    steps = np.diag(STEP * np.maximum(np.abs(at), 0.01))
    columns = [(function(at + step) - function(at - step)) / (2.0 * step[i]) for i, step in enumerate(steps)]
    return np.stack(columns, axis=-1)
