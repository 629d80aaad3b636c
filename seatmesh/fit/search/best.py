"""The best hollow for the wood there is: coefficients improved on the pressure itself.

Least is a smooth maximum of the pressure over 1 cm2, of every sitter in every posture in use, over the sitter's peak on
the flat (`smooth_peak`), plus what it costs to bend the closed form (`HollowFit.shaped`) into another shape: a convex
quadratic in the change. A change that is short, or that takes the bowl's roundness, its rim or its pommel away, costs
much; so the hollow stays the closed form's kind, and the whole has one least, which moves steadily with body and
wishes. Where form is given up for the least pressure a change costs less, and the wished depth is a bound.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import scipy.sparse as sp

from seatmesh.arrays import Floats
from seatmesh.fit.bounded.active_set import BandFactor
from seatmesh.fit.bounded.programme import stray_hessian
from seatmesh.fit.fair.fair_length import least_fair
from seatmesh.fit.fair.fairness import undulations
from seatmesh.fit.hollow import LEAST_COEFFICIENT_MM, Guest, HollowFit, deepest
from seatmesh.fit.search.descent import TOLERANCE, descend
from seatmesh.fit.search.smooth_peak import InPosture, Peaks, Surface, in_postures, peaks_of
from seatmesh.seating.settle import settle
from seatmesh.solution import Solution
from seatmesh.spline import BicubicSpline
from seatmesh.surface import Seat

LIKENESS = 0.02
"""What a change of the closed form by 1 mm all over costs, in peaks over those on the flat."""
FAIRNESS_MM = 19.0
"""Length below which a change is kept fair; longer where an undulation is left."""
BOWL = 4.0
"""What each mm^2 costs by which a change alters the second differences of coefficients across a round bowl."""
FORM_HOLDS = 10.0
"""How much stronger the form is held in the search than in the closed form, against the likeness."""

BY_A_HAIR = (
    "the best hollow was found, but by a hair: beside a joint a turn of slope is called for, or it is an undulation, "
    "and a little more or less of anything decides it; the same sitter weighed again may get a slightly different seat"
)
KEPT = "the fitted hollow is kept as it is, not improved on the pressure:"


def best_hollow(
    fit: HollowFit,
    guests: Sequence[Guest],
    depth_mm: float,
    first: Solution[Seat],
) -> tuple[float, Solution[Seat]]:
    """Return the seat with the least weighted peak that is as fair as the closed form `first`, and its fairness length.

    Where none is both as fair and better, that is `first`, and the verdict says so.
    """
    spline, before = first.value.hollow, weighted_peak(guests, first.value)
    if spline is None:
        return fit.fairness_mm, first
    if not np.isfinite(before):
        return fit.fairness_mm, replace(first, verdict=f"{KEPT} a sitter finds no balance on it")
    search = _Search.of(fit, in_postures(guests, fit.seat), depth_mm, first.value, spline)
    fair = least_fair(search.ended, FAIRNESS_MM)
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
    total = 0.0
    for guest in guests:
        settled = settle(guest.sitter, seat, start=guest.on_flat.pose)
        total += guest.weight * settled.peak_kpa / guest.flat_kpa
    return total / sum(guest.weight for guest in guests)


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
    alike: Floats
    held: sp.csr_array
    closed: Floats
    start: Floats
    lower: Floats
    upper: Floats
    steps: int = field(default=0)

    @classmethod
    def of(
        cls,
        fit: HollowFit,
        seated: Sequence[InPosture],
        depth_mm: float,
        first: Seat,
        spline: BicubicSpline,
    ) -> _Search:
        half = (fit.programme.shape[0] + 1) // 2
        closed = spline.coefficients[:half].ravel()
        upper = fit.bounds.near(spline.coefficients)[:half].ravel()
        lower = np.full_like(closed, LEAST_COEFFICIENT_MM)
        held = sp.csr_array((closed.size, closed.size))
        wanted = fit.wished(depth_mm)
        form = fit.form(wanted, depth_mm)
        if form is None:
            alike = wanted.weight
            upper = np.minimum(upper, depth_mm)
        else:
            alike = np.ones_like(wanted.weight)
            # What the closed form could not keep need not be kept now.
            lower = np.minimum(form.least[:half].ravel(), closed)
            bowl = BOWL * fit.wishes.roundness * (form.springs.limited.T @ form.springs.limited)
            held = sp.csr_array(2.0 * bowl + FORM_HOLDS * _scale(fit, alike) * form.springs.energy())
        return cls(
            fit,
            depth_mm,
            first,
            spline,
            peaks_of(seated, first),
            Surface.over(fit, seated[0].sitter),
            alike,
            held,
            closed,
            closed,
            lower,
            np.maximum(upper, closed),
        )

    def ended(self, fairness_mm: float) -> Solution[Seat]:
        """Return the seat at which a search ends; as deep as wished, inside all bounds."""
        fit = self.fit
        strays = _scale(fit, self.alike) * stray_hessian(fit.programme, self.alike, fairness_mm)
        metric = sp.csr_array(strays + self.held)
        factor = BandFactor(metric, fit.programme.across_first)

        def valued(c: Floats) -> tuple[float, Floats]:
            depth, share = self.surface.depth(c)
            peak, by_depth = self.peaks(depth)
            change = c - self.closed
            curved = metric @ change
            return peak + 0.5 * float(curved @ change), self.surface.basis.T @ (by_depth * share) + curved

        found = descend(valued, self.start, factor, self.lower, self.upper)
        self.start, self.steps = found.value, self.steps + found.iterations
        return Solution(self._seat(found.value), _in_words(found), self.steps, found.residual)

    def _seat(self, c: Floats) -> Seat:
        programme = self.fit.programme
        shaped = replace(self.spline, coefficients=(programme.mirror @ c).reshape(programme.shape))
        scaled = shaped.coefficients * (self.depth_mm / deepest(shaped)[2])
        return replace(self.first, hollow=replace(shaped, coefficients=self.fit.bounds.held(scaled)))


def _scale(fit: HollowFit, alike: Floats) -> float:
    """Return the factor by which straying by 1 mm all over costs what `LIKENESS` says."""
    return LIKENESS / (float(alike.sum()) * fit.programme.cell_mm2)


def _in_words(found: Solution[Floats]) -> str:
    if found.converged:
        return found.verdict
    return (
        f"the search for the best hollow stopped before it settled: {found.verdict} (residual {found.residual:.0e}, "
        f"settled is {TOLERANCE:.0e}); the seat keeps its bounds, but a better one may lie near by"
    )
