"""What is pressed and how it lies: cells between bodies and a surface, loads, poses, and balances as arrays."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Protocol

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.solution import Solution

ARM_MM = 100.0
"""Length that makes angles and moments comparable with lengths and forces."""


class Bed(Protocol):
    """What lies between body and surface, cell by cell."""

    def response(self, overlap: Floats, /) -> tuple[Floats, Floats]:
        """Return pressure (MPa) and its derivative (MPa/mm) for overlaps in mm, of one shape; 0 where not positive."""
        ...


@dataclass(frozen=True)
class Load:
    """A force in N straight down at a point in mm; of many bodies each has shape (bodies,)."""

    force_n: Any
    x_mm: Any
    y_mm: Any


@dataclass(frozen=True)
class Layer:
    """Cells of a grid on which bodies and a surface may meet.

    Attributes
    ----------
    x_mm, y_mm
        Centres of the cells, shape (n,).
    gap_mm
        Height of the body above the surface with heave, pitch and roll zero: (n,), or (bodies, n).
    area_mm2
        Area of each cell, shape (n,); 0 where there is no surface.
    bed
        What the overlap of each cell is answered with.
    """

    x_mm: Floats
    y_mm: Floats
    gap_mm: Floats
    area_mm2: Floats
    bed: Bed

    def reach(self, load: Load) -> Floats:
        """Return the derivative of the overlap by (heave, pitch * ARM_MM, roll * ARM_MM), shape (3, n)."""
        ones = np.ones_like(self.x_mm)
        return np.stack([ones, (self.y_mm - load.y_mm) / ARM_MM, (self.x_mm - load.x_mm) / ARM_MM])

    def under(self, gap_mm: Floats) -> Layer:
        """Return the same cells with bodies that lie otherwise; what is known of the cells is not found again."""
        other = replace(self, gap_mm=gap_mm)
        other.__dict__.update(weights=self.weights, extent=self.extent)
        return other

    @cached_property
    def extent(self) -> tuple[float, float, float, float]:
        """Least and greatest x, least and greatest y of the cells, and 0 four times where there are none."""
        if not len(self.x_mm):
            return (0.0, 0.0, 0.0, 0.0)
        x, y = self.x_mm, self.y_mm
        return float(x.min()), float(x.max()), float(y.min()), float(y.max())

    @cached_property
    def weights(self) -> Floats:
        """Areas times 1, y, x, and then times y y, x y and x x, in arms: shape (6, n)."""
        y, x = self.y_mm / ARM_MM, self.x_mm / ARM_MM
        by_y, by_x = self.area_mm2 * y, self.area_mm2 * x
        return np.stack([self.area_mm2, by_y, by_x, by_y * y, by_x * y, by_x * x])


@dataclass(frozen=True)
class Pose:
    """Heave (mm, positive down), pitch (radians, front down) and roll (radians, right down) about the load's point."""

    heave_mm: float
    pitch: float
    roll: float
    load: Load

    def sink_mm(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return how far the body has gone down at points."""
        ahead, right = y_mm - self.load.y_mm, x_mm - self.load.x_mm
        return np.asarray(self.heave_mm + self.pitch * ahead + self.roll * right)


@dataclass(frozen=True)
class Balances:
    """How many bodies were balanced, each on its own.

    Attributes
    ----------
    q
        Heave, mm, pitch and roll times `ARM_MM`, about each load's point: shape (bodies, 3).
    verdicts
        One for each, as `balance` words it.
    iterations, residual
        Shapes (bodies,).
    pressure_mpa, stiffness
        Where the descent ended, shape (bodies, n); MPa and MPa/mm.
    """

    q: Floats
    verdicts: tuple[str, ...]
    iterations: Ints
    residual: Floats
    pressure_mpa: Floats
    stiffness: Floats

    def pose(self, number: int, load: Load) -> Solution[Pose]:
        """Return that of one body, whose load it is."""
        return Solution(
            _pose(self.q[number], load),
            self.verdicts[number],
            int(self.iterations[number]),
            float(self.residual[number]),
        )


def unknowns(pose: Pose) -> Floats:
    """Return heave, and pitch and roll times `ARM_MM`, shape (3,)."""
    return np.array([pose.heave_mm, pose.pitch * ARM_MM, pose.roll * ARM_MM])


def _pose(q: Floats, load: Load) -> Pose:
    return Pose(float(q[0]), float(q[1] / ARM_MM), float(q[2] / ARM_MM), load)
