"""The peaks of all sitters as one smooth function of the hollow's unknowns, with its gradient.

The gradient runs through the balance: with overlap u = r'q - skin - depth, pressure p(u) and stiffness k(u) on cells of
area A, balance keeps R p A constant (R the rows r), so a change of depth moves the pose by dq = H^-1 R (k A d depth),
H = R k A R'.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray

from seatmesh.arrays import Floats
from seatmesh.contact import ARM_MM, Pose
from seatmesh.fit.hollow import Guest, HollowFit
from seatmesh.seating.figures import KPA_PER_MPA, averaged
from seatmesh.seating.laid import Balanced, Laid
from seatmesh.seating.settle import load_of, on_depth, settle
from seatmesh.seating.sitter import Sitter, lay_over
from seatmesh.surface import Seat

POSTURES = {"upright": 1.0, "slouched": 0.25}
"""Postures in use and how much each counts."""
SHARPNESS = 25.0
"""How close the smooth maximum comes to the maximum: a place at 90 % of it counts exp(-2.5)."""
EASED_MM = 0.5
"""Within this of the line where the hollow meets the flat, the depth of a cell turns from one into the other smoothly:
a cell of 4 mm lies on both. The seat itself has a crisp line; on the line the two differ by a quarter of this."""


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
            over = depth.reshape(one.sitter.grid.wood.shape)
            laid, found = on_depth(one.sitter, over, start=self.poses[number])
            solution = found.balances.pose(0, load_of(found.load, 0))
            if not solution.converged:
                return float("inf"), slope
            self.poses[number] = solution.value
            peak, by_depth = _smooth_peak(laid, found, one)
            total += one.weight * peak
            slope += one.weight * by_depth
        return total, slope


@dataclass(frozen=True)
class InPosture:
    """One guest in one of the postures in use: the sitter, and the share of a peak over the guest's on the flat."""

    sitter: Sitter
    weight: float


def in_postures(
    guests: Sequence[Guest], seat: Seat, spacing_mm: float | None = None
) -> tuple[InPosture, ...]:
    """Return all guests in the postures in use; weights over peaks on the flat add up to 1.

    `spacing_mm` lays them over a coarser grid than their own.
    """
    weights = sum(guest.weight for guest in guests) * sum(POSTURES.values())
    out = []
    for guest in guests:
        for posture, count in POSTURES.items():
            if spacing_mm is not None:
                sitter = lay_over(guest.sitter.body, seat, posture, spacing_mm=spacing_mm)
            elif posture == guest.sitter.posture:
                sitter = guest.sitter
            else:
                sitter = lay_over(guest.sitter.body, seat, posture)
            out.append(InPosture(sitter, guest.weight * count / weights / guest.flat_kpa))
    return tuple(out)


def peaks_of(seated: Sequence[InPosture], first: Seat) -> Peaks:
    """Return the peaks of all sitters in their postures, over each one's peak on the flat; `first` is a start."""
    settled = [settle(one.sitter, first) for one in seated]
    pressed = tuple(
        Pressed(one.sitter, KPA_PER_MPA * one.weight, on_first.peak_kpa / KPA_PER_MPA)
        for one, on_first in zip(seated, settled, strict=True)
    )
    return Peaks(pressed, [one.solution.value if one.solution.converged else None for one in settled])


def _smooth_peak(laid: Laid, found: Balanced, one: Pressed) -> tuple[float, Floats]:
    """Return the smooth maximum of the pressure over 1 cm2, MPa, and its gradient by the depth of each cell.

    It is the mean of all places, each weighed by exp(sharpness x pressure / usual peak).
    """
    cells, at = laid.cells, found.touched
    pressure, stiffness = np.zeros(len(cells.at)), found.stiffness[0]
    pressure[at] = found.pressure_mpa[0]
    sharpness = SHARPNESS / one.usual_mpa
    mean = averaged(cells.spread(pressure), cells.grid.cell_mm)
    share = np.exp(sharpness * (mean - mean.max()))
    share /= share.sum()
    peak = float((share * mean).sum())
    by_mean = share * (1.0 + sharpness * (mean - peak))
    # Averaging over a square is its own adjoint.
    by_overlap = stiffness * averaged(by_mean, cells.grid.cell_mm).ravel()[cells.at[at]]
    # Of cells that stand for their images too, each alone.
    alone = cells.grid.cell_area_mm2 * cells.grid.wood.ravel()[cells.at[at]]
    both = cells.area_mm2[at]
    y, x = cells.y_mm[at] - found.load.y_mm[0], cells.aside_mm[at] - found.load.x_mm[0]
    reach = np.stack([np.ones_like(y), y / ARM_MM, x / ARM_MM])
    hessian = np.einsum("in,n,jn->ij", reach, stiffness * both, reach)
    # Where both sides are alike the body does not roll.
    hessian[2, 2] += float(cells.even)
    turned = np.linalg.solve(hessian, np.einsum("in,n->i", reach, by_overlap * both / alone))
    slope = np.zeros(len(cells.at))
    slope[at] = stiffness * alone * np.einsum("in,i->n", reach, turned) - by_overlap
    return peak, cells.spread(slope).ravel()


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

    def depth(self, c: Floats) -> tuple[Floats, Floats]:
        """Return the depth of each cell, and how much of a change of the spline there it takes."""
        below = self.basis @ c - self.gutter
        share = np.where(self.hollowed, np.clip(0.5 * (1.0 + below / EASED_MM), 0.0, 1.0), 0.0)
        # Between the two the integral of the share: a parabola.
        carved = np.where(share < 1.0, EASED_MM * share**2, below)
        return self.gutter + carved + self.roll, share
