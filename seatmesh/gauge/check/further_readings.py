"""Which few further readings would decide the next cut."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm

from seatmesh.gauge.check.fair_surface import FairSurface
from seatmesh.gauge.readings.readings import Readings
from seatmesh.surface import Seat

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

MOST = 12
UNDECIDED = 0.1
"""A reading is worth taking where it might turn out either way with at least this chance."""
CARVED_MM = 0.3
TIP_MM = 1.5
SAME_MM = 1.0


@dataclass(frozen=True)
class Further:
    """A reading to take; `point` is its number where it is a crossing of the sheet."""

    x_mm: float
    y_mm: float
    point: int | None
    why: str


def further_readings(
    seat: Seat,
    readings: Readings,
    surface: FairSurface,
    misread: Bools,
    tolerance_mm: float,
    spacing_mm: float,
) -> tuple[Further, ...]:
    """Return up to `MOST` readings: misread ones again, then those that would decide most between cutting and not.

    Candidates are crossings not read and the middles between four. One after the other the place is taken where the
    chance of deciding wrongly, times how unsure the surface is, is greatest; what its reading would make surer is
    taken into account for those after it.
    """
    chosen = [
        Further(float(readings.x_mm[k]), float(readings.y_mm[k]), int(readings.point[k]), "read it again")
        for k in np.flatnonzero(misread)
    ][:MOST]
    x, y, point = _candidates(seat, readings, spacing_mm)
    if not len(x) or len(chosen) == MOST:
        return tuple(chosen)
    take = -surface.at(x, y)
    covariance = surface.covariance_mm2(x, y)
    free = np.ones(len(x), dtype=bool)
    while len(chosen) < MOST:
        deviation = np.sqrt(np.maximum(np.diag(covariance), 1e-12))
        wrong = norm.sf(np.abs(take - tolerance_mm) / deviation)
        worth = np.where(free & (wrong >= UNDECIDED), wrong * deviation, 0.0)
        k = int(np.argmax(worth))
        if worth[k] <= 0.0:
            break
        number = int(point[k]) if point[k] else None
        why = "not read yet" if number else "between crossings"
        chosen.append(Further(float(x[k]), float(y[k]), number, f"{why}: cut or leave is undecided here"))
        free[k] = False
        row = covariance[k]
        covariance = covariance - np.outer(row, row) / (covariance[k, k] + surface.noise_mm**2)
    return tuple(chosen)


def _candidates(seat: Seat, readings: Readings, spacing: float) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """Return crossings not read, and middles between read ones, where the seat is carved."""
    read = readings.read
    middle_x, middle_y = readings.x_mm[read] + 0.5 * spacing, readings.y_mm[read] + 0.5 * spacing
    x = np.concatenate([readings.x_mm[~read], middle_x])
    y = np.concatenate([readings.y_mm[~read], middle_y])
    point = np.concatenate([readings.point[~read], np.zeros(len(middle_x), dtype=np.int64)])
    apart = np.hypot(x[:, None] - readings.x_mm[read], y[:, None] - readings.y_mm[read]).min(axis=1)
    kept = (apart > SAME_MM) & (seat.blank.inside_mm(x, y) > TIP_MM) & (seat.depth_mm(x, y) > CARVED_MM)
    return x[kept], y[kept], point[kept]
