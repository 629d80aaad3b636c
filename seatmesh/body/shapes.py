"""The simple solids that a seated body is made of, each with its underside and its distance in space."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Point = tuple[float, float, float]

RIM = 0.94
"""Share of a section's half-width up to which its underside is round; beyond, it runs on along its tangent."""


def round_underside(out: Floats) -> Floats:
    """Return sqrt(1 - out^2), continued along its tangent beyond `RIM`, so that a height field has no edge."""
    height = float(np.sqrt(1.0 - RIM**2))
    inside = np.sqrt(1.0 - np.minimum(out, RIM) ** 2)
    return np.asarray(np.where(out <= RIM, inside, height - RIM / height * (out - RIM)))


@dataclass(frozen=True)
class Ellipsoid:
    """An ellipsoid with axes along the frame: centre and semi-axes (x, y, z), mm."""

    centre: Point
    semi_axes: Point

    def underside(self, x: Floats, y: Floats) -> Floats:
        """Return the height of the underside; beyond the rim it runs on steeply upward."""
        out = np.hypot((x - self.centre[0]) / self.semi_axes[0], (y - self.centre[1]) / self.semi_axes[1])
        return self.centre[2] - self.semi_axes[2] * round_underside(out)

    def covers(self, x: Floats, y: Floats) -> NDArray[np.bool_]:
        """Tell above which points the solid really is."""
        out = np.hypot((x - self.centre[0]) / self.semi_axes[0], (y - self.centre[1]) / self.semi_axes[1])
        return np.asarray(out < 1.0)

    def nearest(self, points: Floats) -> tuple[Floats, Floats]:
        """Return a ball that stands for the surface near each outside point: centres (n, 3) and radii (n,).

        The ball touches the surface at the foot of the perpendicular and has the mean radius of curvature of the
        lowest point. The foot is at p_i a_i^2 / (a_i^2 + t) with sum (a_i p_i / (a_i^2 + t))^2 = 1; the sum falls and
        is convex in t, so Newton steps from a lower bound of t climb to the root.
        """
        a = np.asarray(self.semi_axes)
        away = points - np.asarray(self.centre)
        p = np.abs(away)
        t = np.max(a * p - a**2, axis=1)
        for _ in range(8):
            ratio = a * p / (a**2 + t[:, None])
            value = np.sum(ratio**2, axis=1) - 1.0
            t = t + value / np.sum(2.0 * ratio**2 / (a**2 + t[:, None]), axis=1)
        foot = away * a**2 / (a**2 + t[:, None])
        outward = away - foot
        distance = np.linalg.norm(outward, axis=1, keepdims=True)
        radius = float(a[0] * a[1] / a[2])
        inner = np.asarray(self.centre) + foot - radius * outward / np.maximum(distance, 1e-9)
        return inner, np.full(len(points), radius)


@dataclass(frozen=True)
class TaperedCapsule:
    """A limb: elliptic sections along a straight axis, tapering, with rounded ends.

    Attributes
    ----------
    start, end
        Ends of the axis (x, y, z), mm.
    half_widths, half_heights
        Half-width across and half-height of the section at start and end, mm.
    """

    start: Point
    end: Point
    half_widths: tuple[float, float]
    half_heights: tuple[float, float]

    def underside(self, x: Floats, y: Floats) -> Floats:
        """Return the height of the underside; beyond the rim it runs on steeply upward."""
        along, out = self._plan(x, y)
        axis = self.start[2] + along * (self.end[2] - self.start[2])
        return axis - _between(self.half_heights, along) * round_underside(out)

    def covers(self, x: Floats, y: Floats) -> NDArray[np.bool_]:
        """Tell above which points the solid really is."""
        return np.asarray(self._plan(x, y)[1] < 1.0)

    def nearest(self, points: Floats) -> tuple[Floats, Floats]:
        """Return the ball in a round capsule of the half-widths nearest to each point: centres (n, 3), radii (n,)."""
        start, axis = np.asarray(self.start), np.asarray(self.end) - np.asarray(self.start)
        along = np.clip((points - start) @ axis / (axis @ axis), 0.0, 1.0)
        return start + along[:, None] * axis, _between(self.half_widths, along)

    def _plan(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Return the place along the axis, 0 to 1, and how far out of the section a point lies, 1 at its rim."""
        axis = np.array([self.end[0] - self.start[0], self.end[1] - self.start[1]])
        length = float(np.hypot(*axis))
        forward = ((x - self.start[0]) * axis[0] + (y - self.start[1]) * axis[1]) / length
        sideways = ((x - self.start[0]) * axis[1] - (y - self.start[1]) * axis[0]) / length
        along = np.clip(forward / length, 0.0, 1.0)
        half_width = _between(self.half_widths, along)
        return along, np.hypot(sideways, forward - along * length) / half_width


def _between(pair: tuple[float, float], along: Floats) -> Floats:
    return pair[0] + along * (pair[1] - pair[0])


def blended_lowest(heights: list[Floats], blend_mm: float) -> Floats:
    """Return a smooth minimum of height fields; where two meet it fills the corner by `blend_mm` ln 2 at most."""
    stack = np.stack(heights)
    lowest = stack.min(axis=0)
    return np.asarray(lowest - blend_mm * np.log(np.exp(-(stack - lowest) / blend_mm).sum(axis=0)))
