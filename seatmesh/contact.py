"""A rigid body pressed through a soft bed onto a rigid surface: arrays and a pressure law, no more.

Unknown are heave, pitch and roll (small rotations). The overlap of body and surface at a grid cell is

    u = heave + pitch (y - y_load) + roll (x - x_load) - gap,

and the bed turns it into a pressure where it is positive. With a bed that pushes back harder the larger u, the balance
of force and both moments is the minimum of a convex energy, which damped Newton steps find.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.solution import Solution

TOLERANCE = 1e-9
"""Largest imbalance of a balanced body, over the load (moments: over the load times `ARM_MM`)."""
MOST_STEPS = 80
LONGEST_STEP_MM = 10.0
"""Longest step of heave, and of pitch and roll times `ARM_MM`: keeps far starts from leaping off."""
FIRST_STEP_MM = 6.0
"""First step down from where a body touches, in search of a place to start."""
OVERSHOOT = 0.3
"""A step is short enough where the energy no longer rises along it by more than this share of its first fall."""
ARM_MM = 100.0
"""Length that makes angles and moments comparable with lengths and forces."""
MOST_TURN = 0.5
"""Radians of pitch or roll beyond which a body counts as toppling; small rotations mean nothing there."""


class Bed(Protocol):
    """What lies between body and surface, cell by cell."""

    def response(self, overlap: Floats, /) -> tuple[Floats, Floats]:
        """Return pressure (MPa) and its derivative (MPa/mm) for overlaps (n,) in mm; 0 where not positive."""
        ...


@dataclass(frozen=True)
class Load:
    """A force in N straight down at a point in mm."""

    force_n: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True)
class Layer:
    """Cells of a grid on which body and surface may meet; arrays of one shape (n,).

    Attributes
    ----------
    x_mm, y_mm
        Centres of the cells.
    gap_mm
        Height of the body above the surface with heave, pitch and roll zero.
    area_mm2
        Area of each cell; 0 where there is no surface.
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


@dataclass(frozen=True)
class _State:
    """Where the descent stands: unknowns, slope of the energy (imbalance), and its curvature."""

    q: Floats
    gradient: Floats
    hessian: Floats


def balance(layer: Layer, load: Load, start: Pose | None = None) -> Solution[Pose]:
    """Find the pose in which the bed's pressure carries the load and its two moments.

    `start` is where to begin, for instance the pose found for a surface nearby. The residual is the larger of the
    imbalance of force over the load and of the moments over load times `ARM_MM`.
    """
    if not np.isfinite(load.force_n) or load.force_n <= 0:
        return Solution(Pose(0.0, 0.0, 0.0, load), "there is no load; give one above 0 N", 0, np.inf)
    if not np.any(layer.area_mm2 > 0):
        return Solution(
            Pose(0.0, 0.0, 0.0, load), "the body misses the seat; move one over the other", 0, np.inf
        )
    beyond = _beyond(layer, load)
    if beyond is not None:
        return Solution(Pose(0.0, 0.0, 0.0, load), _toppling(beyond), 0, np.inf)
    if start is not None:
        q = np.array([start.heave_mm, start.pitch * ARM_MM, start.roll * ARM_MM])
    else:
        q = np.array([_level_heave(layer, load), 0.0, 0.0])
    return _descend(layer, load, q)


def _beyond(layer: Layer, load: Load) -> str | None:
    """Return which way a body topples whose load lies beyond all cells: no pressure on them can balance it."""
    if load.y_mm > layer.y_mm.max():
        return "forward"
    if load.y_mm < layer.y_mm.min():
        return "backward"
    if load.x_mm > layer.x_mm.max():
        return "to the right"
    return "to the left" if load.x_mm < layer.x_mm.min() else None


def _level_heave(layer: Layer, load: Load) -> float:
    """Return roughly, and rather too much than too little, the heave at which a body held level carries the force."""
    heave = float(np.min(layer.gap_mm, where=layer.area_mm2 > 0, initial=np.inf))
    step = FIRST_STEP_MM
    while step < 1e4:
        heave += step
        if float((layer.bed.response(heave - layer.gap_mm)[0] * layer.area_mm2).sum()) >= load.force_n:
            break
        step *= 1.5
    return heave


def _descend(layer: Layer, load: Load, q: Floats) -> Solution[Pose]:
    reach = layer.reach(load)
    wanted = np.array([load.force_n, 0.0, 0.0])

    def state(q: Floats) -> _State:
        pressure, stiffness = layer.bed.response(q[0] + q[1] * reach[1] + q[2] * reach[2] - layer.gap_mm)
        # Sums of three rows: a call of BLAS, with its threads, would cost more than it saves.
        gradient = np.einsum("in,n->i", reach, pressure * layer.area_mm2) - wanted
        return _State(q, gradient, np.einsum("in,n,jn->ij", reach, stiffness * layer.area_mm2, reach))

    now = state(q)
    residual = np.inf
    for step in range(MOST_STEPS):
        residual = float(np.max(np.abs(now.gradient))) / load.force_n
        if residual < TOLERANCE:
            return Solution(_pose(now.q, load), "converged", step, residual)
        if max(abs(now.q[1]), abs(now.q[2])) > MOST_TURN * ARM_MM:
            return Solution(_pose(now.q, load), _toppling(_way(now.q)), step, residual)
        now = _step(state, now)
    verdict = f"no balance after {MOST_STEPS} steps; check the load and the shapes"
    return Solution(_pose(now.q, load), verdict, MOST_STEPS, residual)


def _step(state: Callable[[Floats], _State], now: _State) -> _State:
    """Take one Newton step, held to `LONGEST_STEP_MM` and halved until it does not overshoot the energy's valley."""
    ridge = 1e-10 * float(np.trace(now.hessian)) + 1e-12
    direction = -np.linalg.solve(now.hessian + ridge * np.eye(3), now.gradient)
    direction *= min(1.0, LONGEST_STEP_MM / float(np.max(np.abs(direction))))
    fall = -float(now.gradient @ direction)
    length = 1.0
    there = state(now.q + direction)
    while float(there.gradient @ direction) > OVERSHOOT * fall and length > 1e-6:
        length *= 0.5
        there = state(now.q + length * direction)
    return there


def _pose(q: Floats, load: Load) -> Pose:
    return Pose(float(q[0]), float(q[1] / ARM_MM), float(q[2] / ARM_MM), load)


def _way(q: Floats) -> str:
    if abs(q[1]) >= abs(q[2]):
        return "forward" if q[1] > 0 else "backward"
    return "to the right" if q[2] > 0 else "to the left"


def _toppling(way: str) -> str:
    return (
        f"the load's point lies outside what supports it: the body topples {way}; move the sitter or the load"
    )
