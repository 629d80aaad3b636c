"""The best hollow for the wood there is: coefficients improved on the pressure itself.

Least is a smooth maximum of the pressure over 1 cm2, of every sitter in every posture in use, over the sitter's peak on
the flat (`smooth_peak`), plus what the closed form minimises (`programme`): likeness to the wished shape, and fairness.
That part is a convex quadratic, and strong enough that the whole has one least, which moves steadily with body and
wishes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.fit.bounded.programme import stray_hessian, stray_slope
from seatmesh.fit.fair.fair_length import least_fair
from seatmesh.fit.fair.fairness import undulations
from seatmesh.fit.hollow import LEAST_COEFFICIENT_MM, Guest, HollowFit, deepest
from seatmesh.fit.search.descent import TOLERANCE, descend
from seatmesh.fit.search.smooth_peak import Peaks, Surface, peaks_of
from seatmesh.seating.settle import settle
from seatmesh.solution import Solution
from seatmesh.spline import BicubicSpline
from seatmesh.surface import Seat

LIKENESS = 0.08
"""What straying from the wished shape by 1 mm all over costs, in peaks over those on the flat."""
FAIRNESS_MM = 18.0
"""Length below which a fair curve is preferred to what the pressure asks for; longer where an undulation is left."""

BY_A_HAIR = (
    "the best hollow was found, but by a hair: beside a joint a turn of slope is called for, or it is an undulation, "
    "and a little more or less of anything decides it; the same sitter weighed again may get a slightly different seat"
)
KEPT = "the fitted hollow is kept as it is, not improved on the pressure:"


def best_hollow(
    fit: HollowFit, guests: Sequence[Guest], depth_mm: float, first: Solution[Seat]
) -> tuple[float, Solution[Seat]]:
    """Return the seat with the least weighted peak that is as fair as the closed form `first`, and its fairness length.

    Where none is both as fair and better, that is `first`, and the verdict says so.
    """
    spline, before = first.value.hollow, weighted_peak(guests, first.value)
    if spline is None:
        return fit.fairness_mm, first
    if not np.isfinite(before):
        return fit.fairness_mm, replace(first, verdict=f"{KEPT} a sitter finds no balance on it")
    fair = least_fair(_Search.of(fit, guests, depth_mm, first.value, spline).ended, FAIRNESS_MM)
    found = fair.solution
    if undulations(found.value) > undulations(first.value):
        return fit.fairness_mm, replace(found, value=first.value, verdict=f"{KEPT} no better one is as fair")
    if weighted_peak(guests, found.value) >= before:
        why = "none that presses less was found" if found.converged else found.verdict
        return fit.fairness_mm, replace(found, value=first.value, verdict=f"{KEPT} {why}")
    if found.converged and not fair.steady:
        found = replace(found, verdict=BY_A_HAIR)
    return fair.length_mm, found


def weighted_peak(guests: Sequence[Guest], seat: Seat) -> float:
    """Return the weighted mean over sitters of peak on the seat over peak on the flat; infinite without balance."""
    weights = sum(guest.weight for guest in guests)
    return (
        sum(guest.weight * settle(guest.sitter, seat).peak_kpa / guest.flat_kpa for guest in guests) / weights
    )


@dataclass
class _Search:
    """The search for the best coefficients, at one fairness length after the other.

    `start`, where the last one ended, is where the next begins, and `steps` counts them all; nothing else changes.
    """

    fit: HollowFit
    depth_mm: float
    first: Seat
    spline: BicubicSpline
    peaks: Peaks
    surface: Surface
    wished: tuple[Floats, Floats]
    start: Floats
    upper: Floats
    steps: int = field(default=0)

    @classmethod
    def of(
        cls, fit: HollowFit, guests: Sequence[Guest], depth_mm: float, first: Seat, spline: BicubicSpline
    ) -> _Search:
        half = (fit.programme.shape[0] + 1) // 2
        upper = np.minimum(fit.bounds.near(spline.coefficients)[:half], depth_mm).ravel()
        return cls(
            fit,
            depth_mm,
            first,
            spline,
            peaks_of(guests, fit, first),
            Surface.over(fit, guests[0].sitter),
            fit.wanted(depth_mm),
            spline.coefficients[:half].ravel(),
            upper,
        )

    def ended(self, fairness_mm: float) -> Solution[Seat]:
        """Return the seat at which a search ends; as deep as wished, inside all bounds."""
        programme, (wanted, weight) = self.fit.programme, self.wished
        # So that straying by 1 mm all over costs what `LIKENESS` says.
        scale = LIKENESS / (float(weight.sum()) * programme.cell_mm2)
        metric = scale * stray_hessian(programme, weight, fairness_mm)
        pull = scale * stray_slope(programme, wanted, weight)
        at_rest = scale * programme.cell_mm2 * float((weight * wanted**2).sum())

        def valued(c: Floats) -> tuple[float, Floats]:
            depth, share = self.surface.depth(c)
            peak, by_depth = self.peaks(depth)
            curved = metric @ c
            strayed = 0.5 * float(curved @ c) + float(pull @ c) + at_rest
            return peak + strayed, self.surface.basis.T @ (by_depth * share) + curved + pull

        lower = np.full_like(self.upper, LEAST_COEFFICIENT_MM)
        found = descend(valued, self.start, metric, lower, self.upper)
        self.start, self.steps = found.value, self.steps + found.iterations
        return Solution(self._seat(found.value), _in_words(found), self.steps, found.residual)

    def _seat(self, c: Floats) -> Seat:
        programme = self.fit.programme
        shaped = replace(self.spline, coefficients=(programme.mirror @ c).reshape(programme.shape))
        scaled = shaped.coefficients * (self.depth_mm / deepest(shaped)[2])
        return replace(self.first, hollow=replace(shaped, coefficients=self.fit.bounds.held(scaled)))


def _in_words(found: Solution[Floats]) -> str:
    if found.converged:
        return found.verdict
    return (
        f"the search for the best hollow stopped before it settled: {found.verdict} (residual {found.residual:.0e}, "
        f"settled is {TOLERANCE:.0e}); the seat keeps its bounds, but a better one may lie near by"
    )
