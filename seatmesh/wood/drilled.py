"""Drilled holes over the plan: how high a leaning cylinder reaches, at places and over whole cells."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, sin
from typing import NamedTuple

import numpy as np

from seatmesh.arrays import Floats

UPRIGHT = 1e-9


class Cells(NamedTuple):
    """Rectangles x0 <= x <= x1, y0 <= y <= y1, shapes alike; single places where the ends are equal."""

    x0: Floats
    x1: Floats
    y0: Floats
    y1: Floats

    def mirrored(self) -> Cells:
        """Return their mirror images about the centre line."""
        return Cells(-self.x1, -self.x0, self.y0, self.y1)


@dataclass(frozen=True)
class Cylinder:
    """A straight round hole from `foot` up along an axis that leans by `angle` toward `up` in the plan."""

    foot: tuple[float, float, float]
    up: tuple[float, float]
    angle: float
    length: float

    def highest(self, cells: Cells, radius: float) -> Floats:
        """Return the greatest height of the cylinder over each cell, -inf where there is none.

        With u along `up` and v across it, both from the foot, w = sqrt(radius^2 - v^2) and lean a, the top over (u, v)
        is the lower of its side, u cot a + w / sin a, and its end, length / cos a - u tan a; over a cell each is taken
        at its highest, so that the result is never too low.
        """
        u, v = turned(cells, self.foot[:2], self.up)
        squared = radius**2 - least_size(v) ** 2
        half = np.sqrt(np.maximum(squared, 0.0))
        s, c = sin(self.angle), cos(self.angle)
        side = (
            np.full(half.shape, np.inf)
            if s < UPRIGHT
            else u[1] * c / max(s, UPRIGHT) + half / max(s, UPRIGHT)
        )
        end = np.full(half.shape, self.length / c) - u[0] * s / c
        inside = (squared >= 0.0) & (u[1] >= -half * c) & (u[0] <= self.length * s + half * c)
        # Above the blank's top face there is nothing to be kept.
        lowest = -np.inf if s < UPRIGHT else self.foot[2] + (u[0] * c - half) / s
        inside &= lowest <= 0.0
        return np.asarray(np.where(inside, self.foot[2] + np.minimum(side, end), -np.inf))


def turned(
    cells: Cells, origin: tuple[float, ...], along: tuple[float, float]
) -> tuple[tuple[Floats, Floats], tuple[Floats, Floats]]:
    """Return least and greatest u and v over each cell; u runs along a direction from the origin, v to its left."""
    middle_x, middle_y = 0.5 * (cells.x0 + cells.x1) - origin[0], 0.5 * (cells.y0 + cells.y1) - origin[1]
    half_x, half_y = 0.5 * (cells.x1 - cells.x0), 0.5 * (cells.y1 - cells.y0)
    c, s = along
    u, v = middle_x * c + middle_y * s, middle_y * c - middle_x * s
    du, dv = half_x * abs(c) + half_y * abs(s), half_x * abs(s) + half_y * abs(c)
    return (u - du, u + du), (v - dv, v + dv)


def least_size(span: tuple[Floats, Floats]) -> Floats:
    """Return the least absolute value between two ends."""
    return np.asarray(np.maximum(np.maximum(span[0], -span[1]), 0.0))
