"""Press a section by Newton's method, the bone led by its approach or by a load, in steps as long as they hold."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray
from ogden import Ogden
from press_assembly import Ground, assemble, flat_ground
from press_discrete import Discrete
from scipy.sparse.linalg import splu

from seatmesh.errors import NotSolvedError
from seatmesh.solution import Solution

Floats = NDArray[np.float64]

TOLERANCE = 1e-7
"""Out of balance over the load at which a state counts as balanced."""
MOST_STEPS = 25
SHORTEST_CUT = 1.0 / 64
GROWTH = 2.0
"""Longest load step, as the new load over the old."""
LEAST_GROWTH = 1.03


@dataclass(frozen=True)
class Pressed:
    """A state of balance.

    Attributes
    ----------
    approach_mm
        How far the bone has come down since the skin first touched the seat.
    load_n
        What the seat carries; for a slice N per mm of length, both halves.
    unknowns
        Displacements and pressures, shape (count,).
    """

    approach_mm: float
    load_n: float
    unknowns: Floats


def press_to_approach(
    d: Discrete,
    material: Ogden,
    approach_mm: float,
    ground: Ground = flat_ground,
    start: Floats | None = None,
) -> Solution[Pressed]:
    """Return the state where the bone has come down by `approach_mm`."""
    free = np.setdiff1d(np.arange(d.count), np.concatenate([d.bone, d.fixed]))
    kept = _selection(d.count, free)
    u = _all_down(d, approach_mm) if start is None else start.copy()
    u[d.bone] = -approach_mm
    return _newton(d, material, ground, u, kept, None)


def press_to_load(
    d: Discrete, material: Ogden, load_n: float, ground: Ground, start: Floats
) -> Solution[Pressed]:
    """Return the state of balance under `load_n`, the approach being one more unknown."""
    free = np.setdiff1d(np.arange(d.count), np.concatenate([d.bone, d.fixed]))
    down = sp.csc_matrix((-np.ones(len(d.bone)), (d.bone, np.zeros_like(d.bone))), shape=(d.count, 1))
    kept = sp.csc_matrix(sp.hstack([_selection(d.count, free), down]))
    return _newton(d, material, ground, start.copy(), kept, load_n)


def press_through(
    d: Discrete,
    material: Ogden,
    loads_n: Sequence[float],
    ground: Ground = flat_ground,
    first_mm: float = 3.0,
) -> Iterator[Pressed]:
    """Yield the state under each load, ascending; end early where no shorter step helps.

    Tissue flows out from under a sharp bone when it is soft and thin: such a load is not reached, and not made up.
    """
    before, now, growth = None, _first_touch(d, material, first_mm, ground), GROWTH
    for target in loads_n:
        while abs(now.load_n / target - 1.0) > 1e-9:
            aim = min(target, now.load_n * growth) if now.load_n < target else target
            step = press_to_load(d, material, aim, ground, _ahead(before, now, aim))
            if not step.converged:
                growth = 1.0 + 0.5 * (growth - 1.0)
                if growth < LEAST_GROWTH:
                    return
                continue
            before, now = now, step.value
            growth = min(GROWTH, 1.0 + 1.4 * (growth - 1.0))
        yield now


def _first_touch(d: Discrete, material: Ogden, first_mm: float, ground: Ground) -> Pressed:
    for part in (1.0, 0.5, 0.25, 0.125):
        first = press_to_approach(d, material, part * first_mm, ground)
        if first.converged:
            return first.value
    raise NotSolvedError(f"first touch at {part * first_mm} mm: {first.verdict}")


def _ahead(before: Pressed | None, now: Pressed, load_n: float) -> Floats:
    """Extrapolate along the logarithm of the load."""
    if before is None:
        return now.unknowns
    ratio = np.log(load_n / now.load_n) / np.log(now.load_n / before.load_n)
    return np.asarray(now.unknowns + min(ratio, 1.0) * (now.unknowns - before.unknowns))


def _all_down(d: Discrete, by_mm: float) -> Floats:
    """Return the section moved down whole, into the seat: a start that distorts no tissue."""
    u = np.zeros(d.count)
    u[np.unique(d.dofs_u[:, 1::2])] = -by_mm
    return u


def _selection(count: int, free: NDArray[np.int64]) -> sp.csc_matrix:
    return sp.csc_matrix((np.ones(len(free)), (free, np.arange(len(free)))), shape=(count, len(free)))


def _newton(
    d: Discrete, material: Ogden, ground: Ground, u: Floats, kept: sp.csc_matrix, load_n: float | None
) -> Solution[Pressed]:
    pull = np.zeros(kept.shape[1])
    if load_n is not None:
        pull[-1] = load_n
    residual, tangent, force = assemble(d, material, ground, u)
    size = float("inf")
    for steps in range(MOST_STEPS):
        if not np.isfinite(force):
            return _ended(d, u, force, "the start turns tissue inside out; take a shorter step", steps, size)
        out = kept.T @ residual - pull
        scale = max(abs(force), load_n or 0.0, 1e-6 * material.mu_kpa)
        size = float(np.linalg.norm(out)) / scale
        if size <= TOLERANCE:
            return _ended(d, u, force, "converged", steps, size)
        change = kept @ _solve(sp.csc_matrix(kept.T @ tangent @ kept), -out)
        cut = 1.0
        while cut >= SHORTEST_CUT:
            trial = u + cut * change
            residual, tangent, force = assemble(d, material, ground, trial)
            shrunk = np.linalg.norm(kept.T @ residual - pull) < (1.0 - 0.1 * cut) * size * scale
            if np.isfinite(force) and (shrunk or cut <= 0.25):
                break
            cut *= 0.5
        u = trial
    return _ended(d, u, force, f"no balance after {MOST_STEPS} steps; take a shorter step", MOST_STEPS, size)


def _ended(d: Discrete, u: Floats, force: float, verdict: str, steps: int, size: float) -> Solution[Pressed]:
    return Solution(Pressed(-float(u[d.bone[0]]), force, u), verdict, steps, size)


def _solve(matrix: sp.csc_matrix, right: Floats) -> Floats:
    """Factor the symmetric, indefinite matrix with little pivoting, or fully where that loses digits."""
    quick = splu(
        matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=1e-3, options={"SymmetricMode": True}
    ).solve(right)
    if np.linalg.norm(matrix @ quick - right) <= 1e-6 * np.linalg.norm(right):
        return np.asarray(quick)
    return np.asarray(splu(matrix).solve(right))
