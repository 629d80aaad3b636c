"""Let flesh settle on a seat under a load: Newton's method down the energy, the load raised step by step."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from flesh_balance import ARM_MM, Flesh, Forces, Ground, Tangent, forces
from numpy.typing import NDArray
from scipy.sparse.linalg import splu

from seatmesh.errors import NotSolvedError

try:
    from pypardiso import PyPardisoSolver
except ImportError:  # SciPy's own factors do as well, and take longer.
    PyPardisoSolver = None

Floats = NDArray[np.float64]

TOLERANCE = 1e-5
MOST_STEPS = 120
SYMMETRIC_INDEFINITE = -2
"""The library's number of this kind of matrix."""
ALL_PHASES, ALL_BUT_ORDERING = 13, 23
FIRST_MM = 1.0
ROUGH = 1e-2
SEAT_MPA_PER_MM = (0.01, 0.05, 0.2)
"""The seat is soft while the load rises, and hard at the end: the skin sinks in by 0.3 mm at 60 kPa."""
FIRST_SHARE, GROWTH, LEAST_GROWTH = 0.02, 2.0, 1.05
LONGEST_MM, FARTHEST_MM = 5.0, 40.0
"""Longest move of a node in one step, and the longest that Newton's direction may ask for."""
RIDGE = 0.05
FIRST_SHIFT, LARGEST_SHIFT = 0.004, 20.0
"""Stiffness, N/mm, that holds nodes back while steps are too long."""
SHORT_CUT, LONG_CUT, MOST_CUTS = 0.2, 0.45, 6


@dataclass(frozen=True)
class SettledFlesh:
    """Flesh in balance: unknowns (`flesh_balance`), push of the seat at each node of the skin, N, and how it went."""

    unknowns: Floats
    push_n: Floats
    imbalance: float
    factorings: int

    @property
    def heave_mm(self) -> float:
        """How far the body has gone down."""
        return float(self.unknowns[-2])

    @property
    def pitch(self) -> float:
        """How far its front has gone down, radians."""
        return float(self.unknowns[-1] / ARM_MM)


def settle_flesh(
    flesh: Flesh, ground: Ground, half_load_n: float, y_load: float, start: Floats | None = None
) -> SettledFlesh:
    """Return the balance under a load on both halves of twice `half_load_n` at `y_load`.

    Raises
    ------
    NotSolvedError
        Where no step, however short, leads on.
    """
    solver = _Solver(flesh, ground, y_load)
    done = solver.newton(start, half_load_n, TOLERANCE) if start is not None else None
    if done is None:
        done = solver.ramp(half_load_n)
    solver.factors.close()
    now = solver.forces(done)
    assert now is not None
    out = now.out.copy()
    out[-2] -= half_load_n
    return SettledFlesh(done, now.push_n, float(np.linalg.norm(out)) / half_load_n, solver.factorings)


class _Solver:
    def __init__(self, flesh: Flesh, ground: Ground, y_load: float) -> None:
        self.flesh, self.ground, self.y_load = flesh, ground, y_load
        self.factorings = 0
        self.push = SEAT_MPA_PER_MM[-1]
        self.factors = Factors()

    def forces(self, u: Floats) -> Forces | None:
        return forces(self.flesh, self.ground, self.y_load, u, self.push)

    def touch_down(self) -> Floats:
        """Return the state in which the unpressed skin just touches the seat."""
        at = self.flesh.mesh.points[self.flesh.skin_nodes]
        height, _, _ = self.ground(at[:, 0], at[:, 1])
        u = np.zeros(self.flesh.count)
        u[-2] = FIRST_MM + float(np.min((at[:, 2] - height)[np.isfinite(height)]))
        return u

    def ramp(self, half_load_n: float) -> Floats:
        """Raise the load from a touch, each step begun by extrapolation along the load's logarithm."""
        load, growth = FIRST_SHARE * half_load_n, GROWTH
        self.push = SEAT_MPA_PER_MM[0]
        now = self.newton(self.touch_down(), load, ROUGH)
        if now is None:
            raise NotSolvedError("no balance at the first touch")
        before, load_before = None, load
        while load < half_load_n:
            aim = min(load * growth, half_load_n)
            guess = now
            if before is not None:
                guess = now + np.log(aim / load) / np.log(load / load_before) * (now - before)
            there = self.newton(guess, aim, ROUGH)
            if there is None:
                growth = 1.0 + 0.5 * (growth - 1.0)
                if growth < LEAST_GROWTH:
                    raise NotSolvedError(f"no balance beyond {load:.0f} N on one half")
                continue
            before, load_before, now, load = now, load, there, aim
            growth = min(GROWTH, 1.0 + 1.4 * (growth - 1.0))
        for self.push in SEAT_MPA_PER_MM[1:]:
            there = self.newton(now, half_load_n, TOLERANCE if self.push == SEAT_MPA_PER_MM[-1] else ROUGH)
            if there is None:
                raise NotSolvedError("no balance on a harder seat")
            now = there
        return now

    def newton(self, u: Floats, half_load_n: float, tolerance: float) -> Floats | None:
        """Return the state of balance under a load: the least of the energy, down which damped steps lead."""
        free = self.flesh.free
        pull = np.zeros(len(free))
        pull[-2] = half_load_n
        state, shift = self.forces(u), 0.0
        for _ in range(MOST_STEPS):
            if state is None:
                return None
            out = state.out - pull
            if np.linalg.norm(out) <= tolerance * half_load_n:
                return u
            step, cut = self.downhill(u, state, pull, shift)
            if cut < SHORT_CUT:
                # A soft direction leads far: hold the nodes back a little.
                shift = max(4.0 * shift, FIRST_SHIFT)
                if shift > LARGEST_SHIFT:
                    return None
            elif cut > LONG_CUT:
                shift = 0.25 * shift if shift > FIRST_SHIFT else 0.0
            if step is not None:
                u, state = step
        return None

    def downhill(
        self, u: Floats, now: Forces, pull: Floats, shift: float
    ) -> tuple[tuple[Floats, Forces] | None, float]:
        """Return a state of less energy or less imbalance along Newton's direction, and how much of it was taken."""
        free, out = self.flesh.free, now.out - pull
        size = float(np.linalg.norm(out))
        change = self.solve(now.tangent(), -out, shift)
        slope, longest = float(out @ change), float(np.abs(change).max())
        if slope > 0.0 or longest > FARTHEST_MM:
            return None, 0.0
        cut = min(1.0, LONGEST_MM / longest)
        for _ in range(MOST_CUTS):
            trial = u.copy()
            trial[free] += cut * change
            after = self.forces(trial)
            if after is not None:
                gain = after.energy - now.energy - cut * float(pull @ change)
                left = float(np.linalg.norm(after.out - pull))
                if gain <= 1e-2 * cut * slope or left < (1.0 - 0.5 * cut) * size:
                    return (trial, after), cut
            cut *= 0.5
        return None, 0.0

    def solve(self, tangent: Tangent, right: Floats, shift: float) -> Floats:
        self.factorings += 1
        upper = tangent.nodes
        # The first entry of each row is the diagonal.
        upper.data[upper.indptr[:-1]] += shift
        found = self.factors.solve(upper, np.column_stack([right[:-2], tangent.seat]))
        # A seat that hardly touches is free to turn: a little stiffness keeps the step finite, and the balance exact.
        left = tangent.corner + (RIDGE + shift) * np.eye(2) - tangent.seat.T @ found[:, 1:]
        seat = np.linalg.solve(left, right[-2:] - tangent.seat.T @ found[:, 0])
        return np.append(found[:, 0] - found[:, 1:] @ seat, seat)


class Factors:
    """Factors of symmetric, indefinite systems of one pattern, given by their upper halves."""

    def __init__(self) -> None:
        self._library = None if PyPardisoSolver is None else PyPardisoSolver(mtype=SYMMETRIC_INDEFINITE)
        self._phase = ALL_PHASES

    def solve(self, upper: sp.csr_matrix, right: Floats) -> Floats:
        """Return the solution; the order of elimination found first serves all that follow."""
        if self._library is None:
            whole = sp.csc_matrix(upper + sp.triu(upper, 1).T)
            little_pivoting = {"permc_spec": "MMD_AT_PLUS_A", "diag_pivot_thresh": 1e-3}
            return np.asarray(splu(whole, options={"SymmetricMode": True}, **little_pivoting).solve(right))
        self._library.set_phase(self._phase)
        self._phase = ALL_BUT_ORDERING
        # The library's public call would order anew each time.
        return np.asarray(self._library._call_pardiso(upper, np.asfortranarray(right)))

    def close(self) -> None:
        """Give the memory back."""
        if self._library is not None:
            self._library.free_memory(everything=True)
