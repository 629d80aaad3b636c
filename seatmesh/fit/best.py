"""The best hollow for the wood there is: coefficients improved on the pressure itself.

Least is a smooth maximum of the pressure over 1 cm2, of every sitter in every posture in use, over the sitter's peak on
the flat, plus what the change takes from the closed form's fairness and likeness to the body. Its gradient runs through
the balance: with overlap u = r'q - skin - depth, pressure p(u) and stiffness k(u) on cells of area A, balance keeps
R p A constant (R the rows r), so a change of depth moves the pose by dq = H^-1 R (k A d depth), H = R k A R'.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray
from scipy.optimize import Bounds, minimize

from seatmesh.contact import Layer, Load, Pose, balance
from seatmesh.fit.fairness import undulations
from seatmesh.fit.hollow import LEAST_COEFFICIENT_MM, Guest, HollowFit, deepest
from seatmesh.fit.programme import stray_hessian
from seatmesh.seating.figures import KPA_PER_MPA, averaged
from seatmesh.seating.settle import settle
from seatmesh.seating.sitter import Sitter, lay_over
from seatmesh.solution import Solution
from seatmesh.surface import Seat
from seatmesh.tissue import TISSUE, TissueBed

Floats = NDArray[np.float64]

POSTURES = {"upright": 1.0, "slouched": 0.25}
"""Postures in use and how much each counts."""
SHARPNESS = 25.0
"""How close the smooth maximum comes to the maximum: a place at 90 % of it counts exp(-2.5)."""
LIKENESS = (0.12, 0.25, 0.5)
"""Weights of fairness and likeness to the closed form, tried in turn until the result is fair."""
MOST_STEPS = 40


@dataclass(frozen=True)
class Pressed:
    """One sitter in one posture on the grid, how much the peak there counts, and about how high it is."""

    sitter: Sitter
    weight: float
    usual_mpa: float


@dataclass
class Peaks:
    """The weighted smooth peaks as a function of the depth of every cell, with their gradient.

    Poses found are kept as starts for the next shape; nothing else changes.
    """

    pressed: tuple[Pressed, ...]
    poses: list[Pose | None]

    def __call__(self, depth: Floats) -> tuple[float, Floats]:
        """Return value and gradient for depths (n,); infinite where a sitter finds no balance."""
        total, slope = 0.0, np.zeros_like(depth)
        for number, one in enumerate(self.pressed):
            solution, layer = _balanced(one.sitter, depth, self.poses[number])
            if not solution.converged:
                return float("inf"), slope
            self.poses[number] = solution.value
            peak, by_depth = _smooth_peak(layer, solution.value, one)
            total += one.weight * peak
            slope += one.weight * by_depth
        return total, slope


def _balanced(sitter: Sitter, depth: Floats, start: Pose | None) -> tuple[Solution[Pose], Layer]:
    x, y = sitter.cells_mm
    area = sitter.grid.cell_area_mm2 * sitter.grid.wood.ravel()
    layer = Layer(x, y, sitter.fields.skin + depth, area, TissueBed(TISSUE, sitter.fields.backing))
    load = Load(sitter.load.force_n, sitter.at_mm[0] + sitter.load.x_mm, sitter.at_mm[1] + sitter.load.y_mm)
    return balance(layer, load, start), layer


def _smooth_peak(layer: Layer, pose: Pose, one: Pressed) -> tuple[float, Floats]:
    """Return the smooth maximum of the pressure over 1 cm2, MPa, and its gradient by the depth of each cell.

    It is the mean of all places, each weighed by exp(sharpness x pressure / usual peak).
    """
    pressure, stiffness = layer.bed.response(pose.sink_mm(layer.x_mm, layer.y_mm) - layer.gap_mm)
    wood = layer.area_mm2 > 0
    pressure, stiffness = pressure * wood, stiffness * wood
    shape, cell = one.sitter.grid.wood.shape, one.sitter.grid.cell_mm
    sharpness = SHARPNESS / one.usual_mpa
    mean = averaged(pressure.reshape(shape), cell)
    share = np.exp(sharpness * (mean - mean.max()))
    share /= share.sum()
    peak = float((share * mean).sum())
    by_mean = share * (1.0 + sharpness * (mean - peak))
    # Averaging over a square is its own adjoint.
    by_overlap = stiffness * averaged(by_mean, cell).ravel()
    reach = layer.reach(pose.load)
    carried = stiffness * layer.area_mm2
    hessian = np.einsum("in,n,jn->ij", reach, carried, reach)
    turned = np.linalg.solve(hessian, np.einsum("in,n->i", reach, by_overlap))
    return peak, carried * np.einsum("in,i->n", reach, turned) - by_overlap


def best_hollow(
    fit: HollowFit, guests: Sequence[Guest], depth_mm: float, first: Solution[Seat]
) -> Solution[Seat]:
    """Return the seat with the least weighted peak that is as fair as the closed form `first` and never worse."""
    least = weighted_peak(guests, first.value)
    fair = undulations(first.value)
    for likeness in LIKENESS:
        tried = _descended(fit, guests, depth_mm, first, likeness)
        if undulations(tried.value) <= fair and weighted_peak(guests, tried.value) < least:
            return tried
    return first


def weighted_peak(guests: Sequence[Guest], seat: Seat) -> float:
    """Return the weighted mean over sitters of peak on the seat over peak on the flat; infinite without balance."""
    weights = sum(guest.weight for guest in guests)
    return (
        sum(guest.weight * settle(guest.sitter, seat).peak_kpa / _flat_kpa(guest) for guest in guests)
        / weights
    )


def _flat_kpa(guest: Guest) -> float:
    return float(guest.on_flat.figures["peak_kpa"])


def _descended(
    fit: HollowFit, guests: Sequence[Guest], depth_mm: float, first: Solution[Seat], likeness: float
) -> Solution[Seat]:
    spline = first.value.hollow
    if spline is None:
        return first
    programme = fit.programme
    half = (programme.shape[0] + 1) // 2
    start = spline.coefficients[:half].ravel()
    surface = Surface.over(fit, guests[0].sitter)
    peaks = _peaks(guests, fit, first.value)
    _, weight = fit.wanted(depth_mm)
    # Divided so that straying by 1 mm all over costs `likeness`.
    stray = stray_hessian(programme, weight, fit.fairness_mm) * (
        likeness / (weight.sum() * programme.cell_mm2)
    )

    def objective(c: Floats) -> tuple[float, Floats]:
        depth, active = surface.depth(c)
        value, by_depth = peaks(depth)
        strayed = stray @ (c - start)
        return value + 0.5 * float(strayed @ (c - start)), surface.basis.T @ (by_depth * active) + strayed

    upper = np.minimum(fit.bounds.near(spline.coefficients)[:half], depth_mm).ravel()
    lower = np.full_like(upper, LEAST_COEFFICIENT_MM)
    found = minimize(
        objective,
        np.clip(start, lower, upper),
        jac=True,
        method="L-BFGS-B",
        bounds=Bounds(lower, upper),
        options={"maxiter": MOST_STEPS, "ftol": 1e-5},
    )
    coefficients = (programme.mirror @ np.clip(found.x, lower, upper)).reshape(programme.shape)
    shaped = replace(spline, coefficients=coefficients)
    reached = deepest(shaped)[2]
    scaled = fit.bounds.held(shaped.coefficients * (depth_mm / reached))
    seat = replace(first.value, hollow=replace(shaped, coefficients=scaled))
    return Solution(seat, first.verdict, int(found.nit), first.residual)


def _peaks(guests: Sequence[Guest], fit: HollowFit, first: Seat) -> Peaks:
    weights = sum(guest.weight for guest in guests) * sum(POSTURES.values())
    pressed = []
    for guest in guests:
        usual = settle(guest.sitter, first).peak_kpa / KPA_PER_MPA
        for posture, count in POSTURES.items():
            own = posture == guest.sitter.posture
            sitter = guest.sitter if own else lay_over(guest.sitter.body, fit.seat, posture)
            weight = KPA_PER_MPA * guest.weight * count / weights / _flat_kpa(guest)
            pressed.append(Pressed(sitter, weight, usual))
    return Peaks(tuple(pressed), [None] * len(pressed))


@dataclass(frozen=True)
class Surface:
    """The depth of every cell of the grid as a function of the symmetric unknowns."""

    basis: sp.csr_array
    hollowed: NDArray[np.bool_]
    gutter: Floats
    roll: Floats

    @classmethod
    def over(cls, fit: HollowFit, sitter: Sitter) -> Surface:
        """Lay the spline's basis over the grid of a sitter."""
        grid, programme = sitter.grid, fit.programme
        along = np.clip(grid.y_mm, programme.knots_y[0], programme.knots_y[-1])
        basis = programme.values_at(grid.x_mm, along)
        blank = fit.seat.blank
        flat = replace(fit.seat, hollow=None)
        bare = flat.depth_mm(grid.x_mm[None, :], grid.y_mm[:, None]).ravel()
        gutter = blank.gutter_mm(*sitter.cells_mm)
        return cls(basis, blank.ahead_of_deck_mm(*sitter.cells_mm) > 0.0, gutter, bare - gutter)

    def depth(self, c: Floats) -> tuple[Floats, NDArray[np.bool_]]:
        """Return the depth of each cell, and where it follows the spline."""
        spline = self.basis @ c
        active = self.hollowed & (spline > self.gutter)
        return np.where(active, spline, self.gutter) + self.roll, active
