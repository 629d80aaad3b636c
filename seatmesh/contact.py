"""A rigid body pressed through a soft bed onto a rigid surface: arrays and a pressure law, no more.

Unknown are heave, pitch and roll (small rotations). The overlap of body and surface at a grid cell is

    u = heave + pitch (y - y_load) + roll (x - x_load) - gap,

and the bed turns it into a pressure where it is positive. With a bed that pushes back harder the larger u, the balance
of force and both moments is the minimum of a convex energy, which damped Newton steps find. Many bodies are balanced at
once, each on its own: arrays have an axis of bodies then, and one body is many of which there is one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Protocol

import numpy as np

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.solution import CONVERGED, Solution

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
SYMMETRIC = np.array([[0, 1, 2], [1, 3, 4], [2, 4, 5]])
"""Where the entries of a symmetric matrix of three stand among its six different ones."""


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
    """

    q: Floats
    verdicts: tuple[str, ...]
    iterations: Ints
    residual: Floats

    def pose(self, number: int, load: Load) -> Solution[Pose]:
        """Return that of one body, whose load it is."""
        return Solution(
            _pose(self.q[number], load),
            self.verdicts[number],
            int(self.iterations[number]),
            float(self.residual[number]),
        )


@dataclass(frozen=True)
class _State:
    """Where descents stand: unknowns (b, 3), slope of the energy (imbalance) alike, its curvature (b, 3, 3)."""

    q: Floats
    gradient: Floats
    hessian: Floats


def balance(layer: Layer, load: Load, start: Pose | None = None) -> Solution[Pose]:
    """Find the pose in which the bed's pressure carries the load and its two moments.

    `start` is where to begin, for instance the pose found for a surface nearby. The residual is the larger of the
    imbalance of force over the load and of the moments over load times `ARM_MM`.
    """
    one = replace(layer, gap_mm=layer.gap_mm[None, :])
    loads = Load(*(np.array([value], dtype=float) for value in (load.force_n, load.x_mm, load.y_mm)))
    q = None if start is None else unknowns(start)[None, :]
    return balance_all(one, loads, q).pose(0, load)


def unknowns(pose: Pose) -> Floats:
    """Return heave, and pitch and roll times `ARM_MM`, shape (3,)."""
    return np.array([pose.heave_mm, pose.pitch * ARM_MM, pose.roll * ARM_MM])


def balance_all(
    layer: Layer, load: Load, start: Floats | None = None, tolerance: float = TOLERANCE
) -> Balances:
    """Balance many bodies, each on its own: `gap_mm` of the layer has shape (bodies, n), the load's values (bodies,).

    The bed answers overlaps of that shape. `start` has shape (bodies, 3); a row that is not a number begins from
    scratch.
    """
    q = np.zeros((len(layer.gap_mm), 3))
    refused = _refused(layer, load)
    sound = np.array([one is None for one in refused])
    begun = np.zeros_like(q, dtype=bool) if start is None else np.isfinite(start)
    if start is not None:
        q = np.where(begun, start, q)
    bare = sound & ~begun.all(axis=1)
    if bare.any():
        q[bare] = 0.0
        q[bare, 0] = _level_heave(layer, load, bare)[bare]
    q[~sound] = 0.0
    found = _descend(layer, load, q, sound, tolerance)
    verdicts = tuple(refused[k] or found.verdicts[k] for k in range(len(q)))
    return replace(found, verdicts=verdicts, residual=np.where(sound, found.residual, np.inf))


def _refused(layer: Layer, load: Load) -> list[str | None]:
    """Return why a body is not balanced at all, one for each; None for those that may be."""
    anywhere = bool(np.any(layer.area_mm2 > 0))
    out: list[str | None] = []
    for force, x, y in zip(load.force_n, load.x_mm, load.y_mm, strict=True):
        if not np.isfinite(force) or force <= 0:
            out.append("there is no load; give one above 0 N")
        elif not anywhere:
            out.append("the body misses the seat; move one over the other")
        else:
            way = _beyond(layer, float(x), float(y))
            out.append(None if way is None else _toppling(way))
    return out


def _beyond(layer: Layer, x: float, y: float) -> str | None:
    """Return which way a body topples whose load lies beyond all cells: no pressure on them can balance it."""
    if y > layer.y_mm.max():
        return "forward"
    if y < layer.y_mm.min():
        return "backward"
    if x > layer.x_mm.max():
        return "to the right"
    return "to the left" if x < layer.x_mm.min() else None


def _level_heave(layer: Layer, load: Load, wanted: Bools) -> Floats:
    """Return roughly, and rather too much than too little, the heave at which bodies held level carry the force."""
    heave: Floats = np.min(layer.gap_mm, axis=1, where=layer.area_mm2 > 0, initial=np.inf)
    left = wanted.copy()
    step = FIRST_STEP_MM
    while step < 1e4 and left.any():
        heave[left] += step
        overlap = np.where(left[:, None], heave[:, None] - layer.gap_mm, -1.0)
        carried = np.einsum("bn,n->b", layer.bed.response(overlap)[0], layer.area_mm2)
        left &= carried < load.force_n
        step *= 1.5
    return heave


class _Descent:
    """The energy of bodies on a layer: what a state of them costs to go down from."""

    def __init__(self, layer: Layer, load: Load) -> None:
        self.layer, self.force = layer, load.force_n
        count = len(load.force_n)
        # From sums of 1, y and x to sums of the reach, whose origin is each load's point.
        self.turn = np.zeros((count, 3, 3))
        self.turn[:, 0, 0] = self.turn[:, 1, 1] = self.turn[:, 2, 2] = 1.0
        self.turn[:, 1, 0], self.turn[:, 2, 0] = -load.y_mm / ARM_MM, -load.x_mm / ARM_MM
        self.y, self.x = layer.y_mm / ARM_MM, layer.x_mm / ARM_MM

    def of(self, which: Ints) -> Callable[[Floats, Ints], _State]:
        """Return the states of some out of those bodies."""
        return lambda q, some: self.state(q, which[some])

    def state(self, q: Floats, which: Ints) -> _State:
        """Return the state of some bodies (b,) at unknowns (b, 3)."""
        turn = self.turn[which]
        level, by_y, by_x = np.einsum("bi,bij->jb", q, turn)[:, :, None]
        overlap = by_y * self.y
        overlap += by_x * self.x
        overlap += level
        overlap -= self.layer.gap_mm[which] if len(which) < len(self.force) else self.layer.gap_mm
        if len(which) < len(self.force):
            whole = np.full(self.layer.gap_mm.shape, -1.0)
            whole[which] = overlap
            pressure, stiffness = (one[which] for one in self.layer.bed.response(whole))
        else:
            pressure, stiffness = self.layer.bed.response(overlap)
        # Sums of a few rows: a call of BLAS, with its threads, would cost more than it saves.
        weights = self.layer.weights
        force = np.einsum("bn,kn->bk", pressure, weights[:3])
        curve = np.einsum("bn,kn->bk", stiffness, weights)[:, SYMMETRIC]
        gradient = np.einsum("bij,bj->bi", turn, force)
        gradient[:, 0] -= self.force[which]
        return _State(q, gradient, turn @ curve @ turn.swapaxes(1, 2))


def _descend(layer: Layer, load: Load, q: Floats, sound: Bools, tolerance: float) -> Balances:
    descent = _Descent(layer, load)
    q, count = q.copy(), len(q)
    verdicts = [f"no balance after {MOST_STEPS} steps; check the load and the shapes"] * count
    iterations, residual = np.full(count, MOST_STEPS), np.full(count, np.inf)
    iterations[~sound] = 0
    which = np.flatnonzero(sound)
    now = descent.state(q[which], which) if len(which) else _State(q[which], q[which], q[which])
    for step in range(MOST_STEPS):
        if not len(which):
            break
        residual[which] = np.max(np.abs(now.gradient), axis=1) / load.force_n[which]
        done = residual[which] < tolerance
        over = ~done & (np.max(np.abs(now.q[:, 1:]), axis=1) > MOST_TURN * ARM_MM)
        for k in np.flatnonzero(done | over):
            verdicts[which[k]] = CONVERGED if done[k] else _toppling(_way(now.q[k]))
        ended = done | over
        iterations[which[ended]], q[which] = step, now.q
        if ended.any():
            which, now = which[~ended], _State(now.q[~ended], now.gradient[~ended], now.hessian[~ended])
        if len(which):
            now = _step(descent.of(which), now)
    q[which] = now.q
    return Balances(q, tuple(verdicts), iterations, residual)


def _step(state: Callable[[Floats, Ints], _State], now: _State) -> _State:
    """Take a Newton step each, held to `LONGEST_STEP_MM` and halved until it does not overshoot the energy's valley.

    `state` returns the states at unknowns (b, 3) of those bodies, out of all that step, whose places are given.
    """
    ridge = 1e-10 * np.trace(now.hessian, axis1=1, axis2=2) + 1e-12
    direction = -np.linalg.solve(now.hessian + ridge[:, None, None] * np.eye(3), now.gradient[:, :, None])[
        :, :, 0
    ]
    longest = np.max(np.abs(direction), axis=1)
    direction *= np.minimum(1.0, LONGEST_STEP_MM / np.maximum(longest, 1e-300))[:, None]
    fall = -np.einsum("bi,bi->b", now.gradient, direction)
    some, length = np.arange(len(fall)), 1.0
    there = state(now.q + direction, some)
    while length > 1e-6:
        rise = np.einsum("bi,bi->b", there.gradient[some], direction[some])
        some = some[rise > OVERSHOOT * fall[some]]
        if not len(some):
            break
        length *= 0.5
        nearer = state(now.q[some] + length * direction[some], some)
        for whole, part in zip(
            (there.q, there.gradient, there.hessian),
            (nearer.q, nearer.gradient, nearer.hessian),
            strict=True,
        ):
            whole[some] = part
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
