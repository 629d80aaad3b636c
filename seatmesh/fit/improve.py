"""Improve a hollow on the pressure itself: deeper, round by round, where it presses more than the mean."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RegularGridInterpolator

from seatmesh.fit.fairness import undulations
from seatmesh.fit.hollow import Guest, HollowFit
from seatmesh.seating.figures import averaged
from seatmesh.seating.grid import grid_of
from seatmesh.seating.settle import Settled, settle
from seatmesh.solution import Solution
from seatmesh.surface import Seat

Floats = NDArray[np.float64]

ROUNDS = 5
GIVE_MM_PER_KPA = 0.25
"""How much deeper the target goes for each kPa above the mean; about a quarter of what tissue gives there."""


def improved(
    fit: HollowFit, guests: Sequence[Guest], depth_mm: float, first: Solution[Seat]
) -> Solution[Seat]:
    """Return the seat with the least weighted peak that `ROUNDS` of correction found, never worse than `first`.

    A round counts only where it is as fair as `first` and balances for every sitter.
    """
    best, least = first, weighted_peak(guests, first.value)
    most_undulations = undulations(first.value)
    further: Floats | float = 0.0
    seat = first.value
    for _ in range(ROUNDS):
        further = further + _correction(fit, guests, seat)
        tried = fit.shaped(depth_mm, further)
        seat = tried.value
        peak = weighted_peak(guests, seat)
        if peak < least and undulations(seat) <= most_undulations:
            best, least = tried, peak
    return best


def weighted_peak(guests: Sequence[Guest], seat: Seat) -> float:
    """Return the weighted mean over sitters of peak on the seat over peak on the flat; infinite without balance."""
    weights = sum(guest.weight for guest in guests)
    return (
        sum(guest.weight * settle(guest.sitter, seat).peak_kpa / _flat_peak(guest) for guest in guests)
        / weights
    )


def _flat_peak(guest: Guest) -> float:
    return float(guest.on_flat.figures["peak_kpa"])


def _correction(fit: HollowFit, guests: Sequence[Guest], seat: Seat) -> Floats:
    programme = fit.programme
    columns, rows = np.meshgrid(programme.x_mm, programme.y_mm)
    total = np.zeros(columns.shape)
    weights = sum(guest.weight for guest in guests)
    grid = grid_of(seat.blank)
    for guest in guests:
        excess = _excess_kpa(settle(guest.sitter, seat))
        at = RegularGridInterpolator((grid.y_mm, grid.x_mm), excess, bounds_error=False, fill_value=0.0)
        total += guest.weight / weights * at(np.stack([rows, columns], axis=-1))
    return np.asarray(GIVE_MM_PER_KPA * total)


def _excess_kpa(settled: Settled) -> Floats:
    """Return how far the pressure over 1 cm2 stands above its mean over the contact.

    Where it stands below, nothing is raised: that would put undulations into the leg hollows.
    """
    smooth = averaged(settled.pressure_kpa, settled.cell_mm)
    touched = smooth > 0
    return np.asarray(np.maximum(smooth - smooth[touched].mean(), 0.0))
