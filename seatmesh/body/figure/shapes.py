"""The simple solids that a seated body is made of: each with its underside, and the bone it is to a place nearby.

Points are three arrays x, y, z of one shape. A solid's own lengths are numbers, or arrays of shape (bodies, 1): then it
is as many solids, and points of shape (n,) or (bodies, n) give answers of shape (bodies, n).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np

from seatmesh.arrays import Bools, Floats

Length: TypeAlias = Any
"""A number, or one for each of many bodies: shape (bodies, 1)."""
Point: TypeAlias = tuple[Length, Length, Length]

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
    more = 0.5 * STRAIGHTENING / height**3
    inside = np.minimum(out, RIM)
    beyond = out - inside
    falling = beyond + STRAIGHTENING
    falling = np.divide(-more * STRAIGHTENING, falling, out=falling)
    falling += RIM / height + more
    falling *= beyond
    inside *= inside
    bowl = np.sqrt(np.subtract(1.0, inside, out=inside), out=inside)
    bowl -= falling
    return np.asarray(bowl)


def round_and_falling(out: Floats) -> tuple[Floats, Floats]:
    """Return `round_underside`, and how fast it falls outward over `out`: what makes slopes of it."""
    height = float(np.sqrt(1.0 - RIM**2))
    more = 0.5 * STRAIGHTENING / height**3
    inside = np.minimum(out, RIM)
    beyond = out - inside
    straight = STRAIGHTENING / (beyond + STRAIGHTENING)
    bowl = np.sqrt(1.0 - inside * inside)
    falling = inside / bowl
    falling += more * (1.0 - straight * straight)
    falling /= np.maximum(out, 1e-12)
    beyond *= RIM / height + more - more * straight
    bowl -= beyond
    return bowl, falling


@dataclass(frozen=True)
class Ellipsoid:
    """An ellipsoid with axes along the frame: centre and semi-axes (x, y, z), mm."""

    centre: Point
    semi_axes: Point

    def underside(self, x: Floats, y: Floats) -> tuple[Floats, Bools]:
        """Return the height of the underside, running on steeply beyond the rim, and where the solid really is."""
        return self.skin(x, y), self._out(x, y) < 1.0

    def skin(self, x: Floats, y: Floats) -> Floats:
        """Return the height of the underside alone."""
        height = round_underside(self._out(x, y))
        height *= -self.semi_axes[2]
        height += self.centre[2]
        return height

    def sloping(self, x: Floats, y: Floats) -> tuple[Floats, Floats, Floats]:
        """Return the height of the underside and how it rises with x and with y."""
        wide, long, high = self.semi_axes
        right, ahead = (x - self.centre[0]) / wide, (y - self.centre[1]) / long
        bowl, falling = round_and_falling(np.sqrt(right * right + ahead * ahead))
        falling *= high
        right *= falling
        right /= wide
        ahead *= falling
        ahead /= long
        bowl *= -high
        bowl += self.centre[2]
        return bowl, right, ahead

    def _out(self, x: Floats, y: Floats) -> Floats:
        """Return the distance from the middle over that of the rim."""
        right, ahead = (x - self.centre[0]) / self.semi_axes[0], (y - self.centre[1]) / self.semi_axes[1]
        return np.asarray(np.sqrt(right * right + ahead * ahead))

    def nearest(self, points: Sequence[Floats]) -> tuple[tuple[Floats, Floats, Floats], Floats]:
        """Return a ball that stands for the surface near each outside point: its centre x, y, z and its radius.

        The ball touches the surface at the foot of the perpendicular and has the mean radius of curvature of the
        lowest point. The foot is at p_i a_i^2 / (a_i^2 + t) with sum (a_i p_i / (a_i^2 + t))^2 = 1; the sum falls and
        is convex in t, so Newton steps from a lower bound of t climb to the root.
        """
        squares = [a * a for a in self.semi_axes]
        away = [np.asarray(p - c) for p, c in zip(points, self.centre, strict=True)]
        reach = [a * np.abs(one) for a, one in zip(self.semi_axes, away, strict=True)]
        t = np.maximum(np.maximum(reach[0] - squares[0], reach[1] - squares[1]), reach[2] - squares[2])
        reach = [one * one for one in reach]
        for _ in range(FOOT_STEPS):
            below = [1.0 / (t + square) for square in squares]
            whole, slope = np.full(t.shape, -1.0), np.zeros(t.shape)
            for share, one in zip(below, reach, strict=True):
                part = one * share
                part *= share
                whole += part
                part *= share
                slope += part
            whole /= slope
            whole *= 0.5
            t = t + whole
        outward = [one * (t / (square + t)) for one, square in zip(away, squares, strict=True)]
        distance = np.sqrt(outward[0] ** 2 + outward[1] ** 2 + outward[2] ** 2)
        radius = self.semi_axes[0] * self.semi_axes[1] / self.semi_axes[2]
        back = 1.0 + radius / np.maximum(distance, 1e-9)
        x, y, z = (p - one * back for p, one in zip(points, outward, strict=True))
        return (x, y, z), np.broadcast_to(np.asarray(radius, dtype=float), t.shape)


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
    half_widths: tuple[Length, Length]
    half_heights: tuple[Length, Length]

    def underside(self, x: Floats, y: Floats) -> tuple[Floats, Bools]:
        """Return the height of the underside, running on steeply beyond the rim, and where the solid really is."""
        out, along = self._section(x, y)
        return self._height(out, along), out < 1.0

    def skin(self, x: Floats, y: Floats) -> Floats:
        """Return the height of the underside alone."""
        return self._height(*self._section(x, y))

    def sloping(self, x: Floats, y: Floats) -> tuple[Floats, Floats, Floats]:
        """Return the height of the underside and how it rises with x and with y."""
        axis_x, axis_y = self.end[0] - self.start[0], self.end[1] - self.start[1]
        length = np.sqrt(axis_x * axis_x + axis_y * axis_y)
        over_x, over_y = axis_x / length, axis_y / length
        forward, sideways = self._turned(x, y, over_x, over_y)
        along, gain = _eased_and_gain(forward / length, END_MM / length)
        beyond = forward
        beyond -= along * length
        width, high = _between(self.half_widths, along), _between(self.half_heights, along)
        sideways /= width
        beyond /= width
        square = sideways * sideways
        square += beyond * beyond
        bowl, falling = round_and_falling(np.sqrt(square))
        falling *= high
        falling /= width
        # Ahead along the axis: out of the section, with its taper, and up with the axis and its taper.
        gain /= length
        square *= self.half_widths[1] - self.half_widths[0]
        square *= gain
        beyond *= 1.0 - gain * length
        beyond -= square
        beyond *= falling
        gain *= (self.end[2] - self.start[2]) - bowl * (self.half_heights[1] - self.half_heights[0])
        beyond += gain
        sideways *= falling
        bowl *= -high
        bowl += along * (self.end[2] - self.start[2])
        bowl += self.start[2]
        return bowl, beyond * over_x + sideways * over_y, beyond * over_y - sideways * over_x

    def _turned(self, x: Floats, y: Floats, over_x: Length, over_y: Length) -> tuple[Floats, Floats]:
        """Return how far along the axis and how far to its side places lie."""
        right, ahead = x - self.start[0], y - self.start[1]
        return np.asarray(right * over_x + ahead * over_y), np.asarray(right * over_y - ahead * over_x)

    def _height(self, out: Floats, along: Floats) -> Floats:
        height = round_underside(out)
        height *= _between(self.half_heights, along)
        middle = along * (self.end[2] - self.start[2])
        middle += self.start[2]
        middle -= height
        return np.asarray(middle)

    def _section(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Return how far out of its section a place lies, over the half-width, and how far along the axis that is."""
        axis_x, axis_y = self.end[0] - self.start[0], self.end[1] - self.start[1]
        length = np.sqrt(axis_x * axis_x + axis_y * axis_y)
        forward, sideways = self._turned(x, y, axis_x / length, axis_y / length)
        along = _eased(forward / length, END_MM / length)
        beyond = forward - along * length
        beyond *= beyond
        sideways = sideways * sideways
        sideways += beyond
        out = np.sqrt(sideways, out=sideways) if sideways.ndim else np.sqrt(sideways)
        return np.asarray(out / _between(self.half_widths, along)), along

    def nearest(self, points: Sequence[Floats]) -> tuple[tuple[Floats, Floats, Floats], Floats]:
        """Return the ball in a round capsule of the half-widths nearest to each point: its centre and radius."""
        start = self.start
        axis = [b - a for a, b in zip(start, self.end, strict=True)]
        square = axis[0] * axis[0] + axis[1] * axis[1] + axis[2] * axis[2]
        forward = sum((p - a) * (d / square) for p, a, d in zip(points, start, axis, strict=True))
        along = _eased(np.asarray(forward), END_MM / np.sqrt(square))
        x, y, z = (a + along * d for a, d in zip(start, axis, strict=True))
        return (x, y, z), _between(self.half_widths, along)


def _eased(along: Floats, ends: Length) -> Floats:
    """Return shares of a length, held between 0 and 1, that come to rest at either end within a share `ends` of it.

    It is the polynomial of fifth degree with the values and first and second derivatives of what it joins: what lies
    level under the end of a limb stays there, and so does all that lies farther in.
    """
    return _held_at_ends(along, ends)[0]


def _eased_and_gain(along: Floats, ends: Length) -> tuple[Floats, Floats]:
    """Return `_eased`, and how much of a further share it takes: 1 between the ends, 0 beyond them."""
    held, nearer = _held_at_ends(along, ends)
    gain = 18.0 - nearer * (32.0 - 15.0 * nearer)
    gain *= nearer
    gain *= nearer
    return held, gain


def _held_at_ends(along: Floats, ends: Length) -> tuple[Floats, Floats]:
    """Return `_eased` and how far each place is from the nearer end, over `ends`, at most 1."""
    ends = np.minimum(ends, 0.5)
    # Both ends are alike: only the half of them that is nearer counts.
    off = np.asarray(along - 0.5)
    nearer = np.asarray(0.5 - np.abs(off))
    nearer /= ends
    nearer = np.minimum(np.maximum(nearer, 0.0), 1.0)
    short = np.asarray(3.0 * nearer)
    short -= 8.0
    short *= nearer
    short += 6.0
    short *= nearer
    short *= nearer
    short -= 1.0
    short *= nearer
    short *= ends
    held = np.minimum(np.maximum(along, 0.0), 1.0)
    held += np.negative(short, out=short, where=off >= 0.0)
    return np.asarray(held), nearer


def _between(pair: tuple[Length, Length], along: Floats) -> Floats:
    return np.asarray(pair[0] + along * (pair[1] - pair[0]))


def blended_lowest(heights: list[Floats], blend_mm: float) -> Floats:
    """Return a smooth minimum of height fields; where two meet it fills the corner by `blend_mm` ln 2 at most."""
    lowest = heights[0]
    for height in heights[1:]:
        lowest = np.minimum(lowest, height)
    total = np.zeros(np.shape(lowest))
    for height in heights:
        below = lowest - height
        below /= blend_mm
        total += np.exp(below)
    return np.asarray(lowest - blend_mm * np.log(total))
