"""The simple solids that a seated body is made of: each with its underside, and the bone it is to a place nearby.

Points are arrays of shape (3, n): x, y, z by rows, which NumPy sums much faster than rows of three.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Bools, Floats

Point = tuple[float, float, float]

RIM = 0.94
"""Share of a section's half-width up to which its underside is round; beyond, it straightens out."""
STRAIGHTENING = 0.06
"""Share of the half-width over which it does so: its bend falls to an eighth."""
END_MM = 20.0
"""Length at either end of a limb over which its taper sets in, so that its surface has no crease there."""
FOOT_STEPS = 6
"""Newton steps to the foot of a perpendicular; within 0.01 mm wherever a body is pressed."""


def round_underside(out: Floats) -> Floats:
    """Return sqrt(1 - out^2), run on with an ever smaller bend beyond `RIM`, so that a height field has no edge.

    Height, slope and bend go on without a step: pressure depends on the slope of the skin, and its contours would have
    a corner where the bend jumps. The bend falls as 1 / (1 + e / `STRAIGHTENING`)^3 with the distance e from the rim.
    """
    height = float(np.sqrt(1.0 - RIM**2))
    inside = np.minimum(out, RIM)
    beyond = out - inside
    more = 0.5 * STRAIGHTENING / height**3
    falling = RIM / height + more - more * STRAIGHTENING / (beyond + STRAIGHTENING)
    return np.asarray(np.sqrt(1.0 - inside * inside) - falling * beyond)


@dataclass(frozen=True)
class Ellipsoid:
    """An ellipsoid with axes along the frame: centre and semi-axes (x, y, z), mm."""

    centre: Point
    semi_axes: Point

    def underside(self, x: Floats, y: Floats) -> tuple[Floats, Bools]:
        """Return the height of the underside, running on steeply beyond the rim, and where the solid really is."""
        right, ahead = (x - self.centre[0]) / self.semi_axes[0], (y - self.centre[1]) / self.semi_axes[1]
        out = np.sqrt(right * right + ahead * ahead)
        return self.centre[2] - self.semi_axes[2] * round_underside(out), out < 1.0

    def nearest(self, points: Floats) -> tuple[Floats, Floats]:
        """Return a ball that stands for the surface near each outside point: centres (3, n) and radii (n,).

        The ball touches the surface at the foot of the perpendicular and has the mean radius of curvature of the
        lowest point. The foot is at p_i a_i^2 / (a_i^2 + t) with sum (a_i p_i / (a_i^2 + t))^2 = 1; the sum falls and
        is convex in t, so Newton steps from a lower bound of t climb to the root.
        """
        a = np.asarray(self.semi_axes)[:, None]
        away = points - np.asarray(self.centre)[:, None]
        reach = a * np.abs(away)
        t = np.max(reach - a**2, axis=0)
        for _ in range(FOOT_STEPS):
            below = 1.0 / (a**2 + t)
            squares = (reach * below) ** 2
            t = t + (squares.sum(axis=0) - 1.0) / (2.0 * (squares * below).sum(axis=0))
        outward = away * t / (a**2 + t)
        distance = np.sqrt((outward**2).sum(axis=0))
        radius = float(np.prod(self.semi_axes[:2]) / self.semi_axes[2])
        centres = points - outward * (1.0 + radius / np.maximum(distance, 1e-9))
        return centres, np.full(points.shape[1], radius)


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

    def underside(self, x: Floats, y: Floats) -> tuple[Floats, Bools]:
        """Return the height of the underside, running on steeply beyond the rim, and where the solid really is."""
        axis = np.array([self.end[0] - self.start[0], self.end[1] - self.start[1]])
        length = float(np.hypot(*axis))
        right, ahead = x - self.start[0], y - self.start[1]
        forward = (right * axis[0] + ahead * axis[1]) / length
        sideways = (right * axis[1] - ahead * axis[0]) / length
        along = _eased(forward / length, END_MM / length)
        beyond = forward - along * length
        out = np.sqrt(sideways * sideways + beyond * beyond) / _between(self.half_widths, along)
        middle = self.start[2] + along * (self.end[2] - self.start[2])
        return middle - _between(self.half_heights, along) * round_underside(out), out < 1.0

    def nearest(self, points: Floats) -> tuple[Floats, Floats]:
        """Return the ball in a round capsule of the half-widths nearest to each point: centres (3, n), radii (n,)."""
        start, axis = np.asarray(self.start), np.asarray(self.end) - np.asarray(self.start)
        along = _eased((axis @ points - axis @ start) / (axis @ axis), END_MM / float(np.sqrt(axis @ axis)))
        return start[:, None] + along * axis[:, None], _between(self.half_widths, along)


def _eased(along: Floats, ends: float) -> Floats:
    """Return shares of a length, held between 0 and 1, that come to rest at either end within a share `ends` of it.

    It is the polynomial of fifth degree with the values and first and second derivatives of what it joins: what lies
    level under the end of a limb stays there, and so does all that lies farther in.
    """
    ends = min(ends, 0.5)
    # Both ends are alike: only the half of them that is nearer counts.
    nearer = np.clip((0.5 - np.abs(along - 0.5)) / ends, 0.0, 1.0)
    short = ends * nearer * (nearer * nearer * (6.0 - nearer * (8.0 - 3.0 * nearer)) - 1.0)
    return np.asarray(np.clip(along, 0.0, 1.0) + np.where(along < 0.5, short, -short))


def _between(pair: tuple[float, float], along: Floats) -> Floats:
    return pair[0] + along * (pair[1] - pair[0])


def blended_lowest(heights: list[Floats], blend_mm: float) -> Floats:
    """Return a smooth minimum of height fields; where two meet it fills the corner by `blend_mm` ln 2 at most."""
    stack = np.stack(heights)
    lowest = stack.min(axis=0)
    return np.asarray(lowest - blend_mm * np.log(np.exp((lowest - stack) / blend_mm).sum(axis=0)))
