"""Damped Newton steps down the energy of bodies on a layer, each body on its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.contact.posed import ARM_MM, Balances, Layer, Load
from seatmesh.solution import CONVERGED

MOST_STEPS = 80
LONGEST_STEP_MM = 10.0
"""Longest step of heave, and of pitch and roll times `ARM_MM`: keeps far starts from leaping off."""
OVERSHOOT = 0.3
"""A step is short enough where the energy no longer rises along it by more than this share of its first fall."""
MOST_TURN = 0.5
"""Radians of pitch or roll beyond which a body counts as toppling; small rotations mean nothing there."""
SYMMETRIC = np.array([[0, 1, 2], [1, 3, 4], [2, 4, 5]])
"""Where the entries of a symmetric matrix of three stand among its six different ones."""
NOT_ENDED = f"no balance after {MOST_STEPS} steps; check the load and the shapes"
Parts = tuple[Floats, ...]


@dataclass(frozen=True)
class State:
    """Where descents stand.

    Attributes
    ----------
    q, gradient, hessian
        Unknowns (b, 3), slope of the energy (the imbalance) alike, and its curvature (b, 3, 3).
    pressed
        Pressure and stiffness of the bed there, (b, n) each.
    """

    q: Floats
    gradient: Floats
    hessian: Floats
    pressed: Parts = ()

    @property
    def parts(self) -> Parts:
        """All of its arrays, whose rows are bodies."""
        return self.q, self.gradient, self.hessian, *self.pressed

    def of(self, which: Ints | Bools) -> State:
        """Return the state of some of the bodies."""
        return State(
            self.q[which],
            self.gradient[which],
            self.hessian[which],
            tuple(one[which] for one in self.pressed),
        )


class _Energy:
    """The energy of bodies on a layer, to go down from."""

    def __init__(self, layer: Layer, load: Load) -> None:
        self.layer, self.force = layer, load.force_n
        # From sums of 1, y and x to sums of the reach, whose origin is each load's point.
        self.turn = np.zeros((len(load.force_n), 3, 3))
        self.turn[:, [0, 1, 2], [0, 1, 2]] = 1.0
        self.turn[:, 1, 0], self.turn[:, 2, 0] = -load.y_mm / ARM_MM, -load.x_mm / ARM_MM
        self.y = layer.y_mm / ARM_MM
        # Where all forces act on the centre line no roll changes anything.
        self.x = layer.x_mm / ARM_MM if layer.x_mm.any() else None

    def state(self, q: Floats, which: Ints) -> State:
        """Return the state of some bodies (b,) at unknowns (b, 3)."""
        every = len(which) == len(self.force)
        turn = self.turn if every else self.turn[which]
        level = (q[:, None, :] @ turn)[:, 0, :]
        overlap = level[:, 1:2] * self.y
        if self.x is not None:
            overlap += level[:, 2:] * self.x
        overlap += level[:, :1]
        overlap -= self.layer.gap_mm if every else self.layer.gap_mm[which]
        pressure, stiffness = self._response(overlap, which)
        # Sums of a few rows: a call of BLAS, with its threads, would cost more than it saves.
        weights = self.layer.weights
        force = np.einsum("bn,kn->bk", pressure, weights[:3])
        curve = np.einsum("bn,kn->bk", stiffness, weights)[:, SYMMETRIC]
        gradient = (turn @ force[:, :, None])[:, :, 0]
        gradient[:, 0] -= self.force if every else self.force[which]
        return State(q, gradient, turn @ curve @ turn.swapaxes(1, 2), (pressure, stiffness))

    def _response(self, overlap: Floats, which: Ints) -> Parts:
        if len(which) == len(self.force):
            return self.layer.bed.response(overlap)
        whole = np.full(self.layer.gap_mm.shape, -1.0)
        whole[which] = overlap
        return tuple(one[which] for one in self.layer.bed.response(whole))


def descended(layer: Layer, load: Load, q: Floats, sound: Bools, tolerance: float) -> Balances:
    """Go down from unknowns (bodies, 3), those bodies that are `sound`, until the imbalance is below a tolerance."""
    energy = _Energy(layer, load)
    q, count = q.copy(), len(q)
    verdicts = [NOT_ENDED] * count
    iterations, residual = np.where(sound, MOST_STEPS, 0), np.full(count, np.inf)
    pressed = np.zeros((2, *layer.gap_mm.shape))
    which = np.flatnonzero(sound)
    now = energy.state(q[which], which)

    def leave(gone: Bools) -> None:
        q[which[gone]] = now.q[gone]
        for whole, part in zip(pressed, now.pressed, strict=True):
            whole[which[gone]] = part[gone]

    for step in range(MOST_STEPS):
        if not len(which):
            break
        residual[which] = off = np.abs(now.gradient).max(axis=1) / load.force_n[which]
        done = off < tolerance
        over = ~done & (np.abs(now.q[:, 1:]).max(axis=1) > MOST_TURN * ARM_MM)
        ended = done | over
        if ended.any():
            for k in np.flatnonzero(ended):
                verdicts[which[k]] = CONVERGED if done[k] else toppling(_way(now.q[k]))
            iterations[which[ended]] = step
            leave(ended)
            which, now = which[~ended], now.of(~ended)
            if not len(which):
                break
        now = _step(lambda at, some, which=which: energy.state(at, which[some]), now)  # type: ignore[misc]
    leave(np.ones(len(which), dtype=bool))
    return Balances(q, tuple(verdicts), iterations, residual, *pressed)


def _step(state: Callable[[Floats, Ints], State], now: State) -> State:
    """Take a Newton step each, held to `LONGEST_STEP_MM` and halved until it does not overshoot the energy's valley.

    `state` returns the states at unknowns (b, 3) of those bodies, out of all that step, whose places are given.
    """
    ridge = 1e-10 * np.trace(now.hessian, axis1=1, axis2=2) + 1e-12
    direction = -np.linalg.solve(now.hessian + ridge[:, None, None] * np.eye(3), now.gradient[:, :, None])[
        :, :, 0
    ]
    longest = np.abs(direction).max(axis=1)
    if (longest > LONGEST_STEP_MM).any():
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
        for whole, part in zip(there.parts, nearer.parts, strict=True):
            whole[some] = part
    return there


def _way(q: Floats) -> str:
    if abs(q[1]) >= abs(q[2]):
        return "forward" if q[1] > 0 else "backward"
    return "to the right" if q[2] > 0 else "to the left"


def toppling(way: str) -> str:
    """Return the verdict on a body that topples some way."""
    return (
        f"the load's point lies outside what supports it: the body topples {way}; move the sitter or the load"
    )
