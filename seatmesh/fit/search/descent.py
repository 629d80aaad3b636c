"""Descent to the least of a smooth function inside simple bounds, in a metric that knows most of its curvature.

The function is a quadratic, whose second derivative is the metric M, and what else there is. A step minimises the model
g'd + d'Bd/2 inside the bounds, g being the slope and B what BFGS makes of M by the slopes seen on the way (limited
memory). Near the least the model promises hardly any fall: that is the residual.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.fit.bounded.active_set import BandFactor
from seatmesh.solution import Solution

Valued = Callable[[Floats], tuple[float, Floats]]

TOLERANCE = 3e-5
"""Largest residual of an answer; the tests say how far seats still move that are run on from there."""
NOISE = 1e-4
"""Where no lower place is found and the residual is as small as this, what is left to fall is below the function's own
noise (a balance ends at a tolerance): that is an answer too."""
MOST_STEPS = 100
MEMORY = 30
"""Pairs of a step and its change of slope that are kept."""
LEAST_FALL = 1e-4
"""Share of the fall promised by the slope that a step has to bring (Armijo's rule)."""
SHORTEST = 1e-4
"""Share of a step below which none is tried: the function has a kink there."""
LEAST_CURVE = 1e-10
MOST_ROUNDS, LET_GO_ROUNDS = 40, 25
"""Rounds spent on finding which bounds hold a step, and those in which one that holds may be let go again."""


@dataclass(frozen=True)
class Curve:
    """The inverse of the model's second derivative: a factored metric, and pairs of step and change of slope."""

    metric: BandFactor
    pairs: tuple[tuple[Floats, Floats], ...] = ()

    def inverse(self, slopes: Floats) -> Floats:
        """Return the inverse times slopes (n,), or times columns of them (n, k), by the two loops of BFGS."""
        left, shares = slopes, []
        for step, change in reversed(self.pairs):
            share = (step @ left) / (step @ change)
            shares.append(share)
            left = left - np.multiply.outer(change, share)
        out = self.metric.solve(left)
        for (step, change), share in zip(self.pairs, reversed(shares), strict=True):
            out = out + np.multiply.outer(step, share - (change @ out) / (step @ change))
        return out

    def learned(self, step: Floats, change: Floats) -> Curve:
        """Return it with one more pair, unless the function does not curve upward there."""
        if step @ change <= LEAST_CURVE * np.sqrt((step @ step) * (change @ change)):
            return self
        return Curve(self.metric, (*self.pairs, (step, change))[-MEMORY:])


@dataclass(frozen=True)
class _Place:
    """A place, with the function's value and slope there."""

    c: Floats
    value: float
    slope: Floats


def descend(
    valued: Valued, start: Floats, metric: BandFactor, lower: Floats, upper: Floats
) -> Solution[Floats]:
    """Return where a positive function is least inside bounds (n,); `valued` returns its value and slope (n,).

    The residual is the root of what the next step promises to take off, over the value; it is dimensionless. Where the
    value is infinite no step ends. Without an answer the best place that was found is handed back.
    """
    curve = Curve(metric)
    c = np.clip(start, lower, upper)
    here = _Place(c, *valued(c))
    held = np.zeros(len(c), dtype=np.int64)
    residual = np.inf
    for count in range(MOST_STEPS):
        if not np.isfinite(here.value):
            return Solution(here.c, "it has no value where it starts", count, np.inf)
        step, held = _step(curve, here.slope, lower - here.c, upper - here.c, held)
        residual = float(np.sqrt(max(-float(here.slope @ step), 0.0) / here.value))
        if residual < TOLERANCE:
            return Solution(here.c, "converged", count, residual)
        there = _lower_place(valued, here, step)
        if there is None and curve.pairs:
            # What was learned on the other side of a kink misleads: begin again with the metric alone.
            curve = Curve(curve.metric)
            continue
        if there is None and residual < NOISE:
            return Solution(here.c, "converged", count, residual)
        if there is None:
            return Solution(here.c, f"no way down was found after {count} steps", count, residual)
        curve = curve.learned(there.c - here.c, there.slope - here.slope)
        here = there
    return Solution(here.c, f"it was still falling after {MOST_STEPS} steps", MOST_STEPS, residual)


def _lower_place(valued: Valued, here: _Place, step: Floats) -> _Place | None:
    """Return the first place along a step, from its end back, that is low enough; None where none is."""
    slope = float(here.slope @ step)
    share = 1.0
    while share >= SHORTEST:
        c = here.c + share * step
        there = _Place(c, *valued(c))
        if there.value <= here.value + LEAST_FALL * share * slope:
            return there
        # Where a parabola through value, slope and this value is least.
        rise = there.value - here.value - share * slope
        least = -0.5 * slope * share / rise if np.isfinite(rise) else 0.5
        share *= float(np.clip(least, 0.1, 0.5))
    return None


def _step(curve: Curve, slope: Floats, lower: Floats, upper: Floats, held: Ints) -> tuple[Floats, Ints]:
    """Return the step to the model's least inside bounds on the step, and which of them hold it.

    `held` has 1 where the upper bound holds, -1 where the lower one does; those guessed are kept while they push back.
    """
    free = curve.inverse(slope)
    columns: dict[int, Floats] = {}
    step = -free
    for count in range(MOST_ROUNDS):
        at = np.flatnonzero(held)
        step, push = -free, np.zeros(len(slope))
        if len(at):
            towards = _columns(curve, at, columns, len(slope))
            bound = np.where(held[at] > 0, upper[at], lower[at])
            push[at] = np.linalg.solve(towards[at], -free[at] - bound)
            step = step - towards @ push[at]
        stay = held * push > 0.0 if count < LET_GO_ROUNDS else held != 0
        newly = np.where(step > upper, 1, np.where(step < lower, -1, 0))
        now = np.where(stay, held, np.where(held == 0, newly, 0))
        if np.array_equal(now, held):
            break
        held = now
    return np.clip(step, lower, upper), held


def _columns(curve: Curve, at: Ints, known: dict[int, Floats], size: int) -> Floats:
    """Return columns of the inverse, shape (size, len(at)); those that are known are not reckoned again."""
    new = [one for one in at.tolist() if one not in known]
    if new:
        unit = np.zeros((size, len(new)))
        unit[new, np.arange(len(new))] = 1.0
        known.update(zip(new, curve.inverse(unit).T, strict=True))
    return np.column_stack([known[one] for one in at.tolist()])


__all__ = ["Curve", "descend"]
