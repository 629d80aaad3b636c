"""A rigid body pressed through a deformable layer onto a rigid surface: arrays and a pressure law, no more.

Unknown are heave, pitch and roll (small rotations). The overlap of body and surface at a grid cell is

    u = heave + pitch (y - y_load) + roll (x - x_load) - gap,

and the law turns it into a pressure where it is positive. With a law that rises with u, the balance of force and both
moments is the minimum of a convex energy, which damped Newton steps find.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from seatmesh.solution import Solution

Floats = NDArray[np.float64]

TOLERANCE = 1e-9
"""Largest imbalance of a balanced body, over the load (moments: over the load times the arm)."""
MOST_STEPS = 60
LONGEST_STEP_MM = 10.0
"""Longest step of heave, and of pitch and roll times `ARM_MM`: keeps far starts from leaping off."""
ARM_MM = 100.0
"""Length that makes angles and moments comparable with lengths and forces."""
MOST_TURN = 0.5
"""Radians of pitch or roll beyond which a body counts as toppling; small rotations mean nothing there."""


class PressureLaw(Protocol):
    """Pressure, its derivative and its energy, each of the overlap (mm) and a property of the layer, cell by cell."""

    def pressure(self, overlap: Floats, thickness: Floats, /) -> Floats:
        """Return MPa, 0 where the overlap is not positive."""
        ...

    def stiffness(self, overlap: Floats, thickness: Floats, /) -> Floats:
        """Return MPa/mm."""
        ...

    def energy(self, overlap: Floats, thickness: Floats, /) -> Floats:
        """Return N/mm."""
        ...


@dataclass(frozen=True)
class Load:
    """A force in N straight down at a point in mm."""

    force_n: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True)
class Layer:
    """Cells of a grid on which two surfaces may meet; arrays of one shape (n,).

    Attributes
    ----------
    x_mm, y_mm
        Centres of the cells.
    gap_mm
        Height of the body above the surface with heave, pitch and roll zero.
    thickness_mm
        Thickness of the layer between them, positive.
    area_mm2
        Area of each cell.
    """

    x_mm: Floats
    y_mm: Floats
    gap_mm: Floats
    thickness_mm: Floats
    area_mm2: Floats

    def reach(self, load: Load) -> Floats:
        """Return the derivative of the overlap by (heave, pitch * ARM_MM, roll * ARM_MM), shape (n, 3)."""
        ones = np.ones_like(self.x_mm)
        return np.column_stack([ones, (self.y_mm - load.y_mm) / ARM_MM, (self.x_mm - load.x_mm) / ARM_MM])


@dataclass(frozen=True)
class Pose:
    """Heave (mm, positive down), pitch (radians, front down) and roll (radians, right down) about the load's point."""

    heave_mm: float
    pitch: float
    roll: float
    load: Load

    def sink_mm(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return how far the body has gone down at points."""
        return self.heave_mm + self.pitch * (y_mm - self.load.y_mm) + self.roll * (x_mm - self.load.x_mm)


def balance(layer: Layer, law: PressureLaw, load: Load, start: Pose | None = None) -> Solution[Pose]:
    """Find the pose in which the layer's pressure carries the load and its two moments.

    `start` is where to begin, for instance the pose found for a surface nearby. The residual is the larger of the
    imbalance of force over the load and of the moments over load times `ARM_MM`.
    """
    if not np.isfinite(load.force_n) or load.force_n <= 0:
        return Solution(Pose(0.0, 0.0, 0.0, load), "there is no load; give one above 0 N", 0, np.inf)
    if len(layer.gap_mm) == 0 or not np.any(np.isfinite(layer.gap_mm)):
        return Solution(
            Pose(0.0, 0.0, 0.0, load), "the body misses the seat; move one over the other", 0, np.inf
        )
    reach = layer.reach(load)
    if start is not None:
        q = np.array([start.heave_mm, start.pitch * ARM_MM, start.roll * ARM_MM])
    else:
        q = np.array([_level_heave(layer, law, load), 0.0, 0.0])
    return _descend(layer, law, load, reach, q)


def _level_heave(layer: Layer, law: PressureLaw, load: Load) -> float:
    """Return, to a millimetre, the heave at which a body held level carries the force."""
    low = float(np.min(layer.gap_mm))
    step = 1.0
    while step < 1e4 and _force(layer, law, low + step) < load.force_n:
        step *= 2.0
    high = low + step
    while high - low > 1.0:
        middle = 0.5 * (low + high)
        if _force(layer, law, middle) < load.force_n:
            low = middle
        else:
            high = middle
    return high


def _force(layer: Layer, law: PressureLaw, heave: float) -> float:
    return float(law.pressure(heave - layer.gap_mm, layer.thickness_mm) @ layer.area_mm2)


def _descend(layer: Layer, law: PressureLaw, load: Load, reach: Floats, q: Floats) -> Solution[Pose]:
    wanted = np.array([load.force_n, 0.0, 0.0])

    def energy(q: Floats) -> float:
        overlap = reach @ q - layer.gap_mm
        return float(law.energy(overlap, layer.thickness_mm) @ layer.area_mm2 - wanted @ q)

    now = energy(q)
    residual = np.inf
    for step in range(MOST_STEPS):
        overlap = reach @ q - layer.gap_mm
        force = law.pressure(overlap, layer.thickness_mm) * layer.area_mm2
        gradient = reach.T @ force - wanted
        residual = float(np.max(np.abs(gradient))) / load.force_n
        if residual < TOLERANCE:
            return Solution(_pose(q, load), "converged", step, residual)
        if max(abs(q[1]), abs(q[2])) > MOST_TURN * ARM_MM:
            return Solution(_pose(q, load), _toppling(q), step, residual)
        stiffness = law.stiffness(overlap, layer.thickness_mm) * layer.area_mm2
        q, now = _step(energy, q, now, gradient, reach.T @ (stiffness[:, None] * reach))
    verdict = f"no balance after {MOST_STEPS} steps; check the load and the shapes"
    return Solution(_pose(q, load), verdict, MOST_STEPS, residual)


def _step(
    energy: Callable[[Floats], float], q: Floats, now: float, gradient: Floats, hessian: Floats
) -> tuple[Floats, float]:
    """Take one Newton step, held to `LONGEST_STEP_MM` and shortened until the energy falls enough (Armijo)."""
    ridge = 1e-10 * float(np.trace(hessian)) + 1e-12
    direction = -np.linalg.solve(hessian + ridge * np.eye(3), gradient)
    direction *= min(1.0, LONGEST_STEP_MM / float(np.max(np.abs(direction))))
    slope = float(gradient @ direction)
    length = 1.0
    while length > 1e-6:
        there = energy(q + length * direction)
        if there <= now + 1e-4 * length * slope + 1e-13 * abs(now):
            break
        length *= 0.5
    return q + length * direction, energy(q + length * direction)


def _pose(q: Floats, load: Load) -> Pose:
    return Pose(float(q[0]), float(q[1] / ARM_MM), float(q[2] / ARM_MM), load)


def _toppling(q: Floats) -> str:
    if abs(q[1]) >= abs(q[2]):
        way = "forward" if q[1] > 0 else "backward"
    else:
        way = "to the right" if q[2] > 0 else "to the left"
    return (
        f"the load's point lies outside what supports it: the body topples {way}; move the sitter or the load"
    )
