"""Where a sitting presses hottest: places that stand out from what lies round them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import label, maximum, maximum_filter

from seatmesh.arrays import Bools, Floats
from seatmesh.seating.figures import CM2_PER_MM2, FELT_SHARE, averaged
from seatmesh.seating.sitting import Sitting

USUAL_MEAN_KPA = 7.5
"""Mean under young men on a bare flat seat (S3): what presses no harder than that is no hot spot."""
ABOVE_MEAN = 1.3
"""Nor is what presses less than this over the sitting's own mean."""
SAME_SPOT_MM = 20.0
"""A peak that wanders by no more than this is the same spot."""
APART_MM = 25.0
"""Two peaks nearer than this are one spot: about two widths of what a peak is averaged over."""
AREA_LEVELS = (0.75, 0.8, 0.85, 1.0 - FELT_SHARE)
"""A spot is where it presses at least the first of these shares of its peak that parts it from a hotter one."""
SHIFTS = 8
AROUND = np.ones((3, 3), dtype=bool)


@dataclass(frozen=True)
class Spot:
    """A place that presses hot: its middle in the frame of the blank, its peak over 1 cm2 and its area."""

    x_mm: float
    y_mm: float
    peak_kpa: float
    area_cm2: float


@dataclass(frozen=True)
class Felt:
    """A pressure map as a sitter feels it: each cell, shape (ny, nx), the mean over 1 cm2 round it, kPa."""

    x_mm: Floats
    y_mm: Floats
    kpa: Floats

    @property
    def cell_mm(self) -> tuple[float, float]:
        """Width and depth of a cell."""
        return float(self.x_mm[1] - self.x_mm[0]), float(self.y_mm[1] - self.y_mm[0])

    def within(self, x_mm: float, y_mm: float, radius_mm: float = SAME_SPOT_MM) -> Bools:
        """Tell which cells have their centre within a radius of a place."""
        away = np.hypot(self.x_mm[None, :] - x_mm, self.y_mm[:, None] - y_mm)
        return np.asarray(away <= radius_mm)

    def peak_at(self, spot: Spot) -> float:
        """Return the greatest pressure within `SAME_SPOT_MM` of a spot."""
        return float(self.kpa[self.within(spot.x_mm, spot.y_mm)].max())

    def whole(self, spot: Spot) -> Bools:
        """Tell which cells belong to a spot as it is felt: its neighbourhood, and all round it that presses alike."""
        near = self.within(spot.x_mm, spot.y_mm)
        row, column = np.unravel_index(int(np.argmax(np.where(near, self.kpa, -1.0))), self.kpa.shape)
        return near | _region(self.kpa, int(row), int(column), 1.0 - FELT_SHARE)

    def maxima(self) -> Bools:
        """Tell which cells no neighbour exceeds."""
        return np.asarray((self.kpa == maximum_filter(self.kpa, footprint=AROUND)) & (self.kpa > 0.0))


def felt(sitting: Sitting) -> Felt:
    """Return a sitting's pressure as it is felt."""
    x, y = sitting.x_mm, sitting.y_mm
    return Felt(x, y, averaged(sitting.pressure_kpa, (float(x[1] - x[0]), float(y[1] - y[0]))))


def spots_of(sitting: Sitting) -> tuple[Spot, ...]:
    """Return the spots of a sitting, the hottest first; none where there is no balance.

    A spot is a greatest value of the pressure over 1 cm2 that is hot (`USUAL_MEAN_KPA`, `ABOVE_MEAN`) and from which
    the pressure falls on every way to a hotter place by at least what can be felt (S13). Its area is the connected one
    round it that presses at least three quarters of its peak (`AREA_LEVELS`). Both of a mirrored pair are listed.
    """
    if not sitting.converged:
        return ()
    seen = felt(sitting)
    hot = max(USUAL_MEAN_KPA, ABOVE_MEAN * float(sitting.figures.mean_kpa))
    cells = np.argwhere(seen.maxima() & (seen.kpa >= hot)).tolist()
    spots: list[Spot] = []
    for row, column in sorted(cells, key=lambda cell: -seen.kpa[cell[0], cell[1]]):
        x, y = float(seen.x_mm[column]), float(seen.y_mm[row])
        clear = all(np.hypot(x - spot.x_mm, y - spot.y_mm) >= APART_MM for spot in spots)
        if clear and _stands_out(seen.kpa, row, column):
            spots.append(_spot(seen, row, column))
    # Mirrored twins differ by rounding alone: the left one comes first.
    return tuple(sorted(spots, key=lambda spot: (-round(spot.peak_kpa, 3), spot.x_mm)))


def _stands_out(kpa: Floats, row: int, column: int) -> bool:
    return _is_top(kpa, _region(kpa, row, column, 1.0 - FELT_SHARE), row, column)


def _is_top(kpa: Floats, region: Bools, row: int, column: int) -> bool:
    """Tell whether nothing in a region is hotter than a cell of it, rounding apart."""
    return bool(kpa[region].max() <= kpa[row, column] * (1.0 + 1e-6))


def _region(kpa: Floats, row: int, column: int, share: float) -> Bools:
    """Return the connected cells round one that have at least a share of its pressure."""
    regions, _ = label(kpa >= share * kpa[row, column], AROUND)
    return np.asarray(regions == regions[row, column])


def _spot(seen: Felt, row: int, column: int) -> Spot:
    kpa = seen.kpa
    regions = [_region(kpa, row, column, share) for share in AREA_LEVELS]
    whole = next((one for one in regions if _is_top(kpa, one, row, column)), regions[-1])
    x, y = _middle(seen, row, column)
    across, along = seen.cell_mm
    return Spot(x, y, float(kpa[row, column]), float(np.count_nonzero(whole)) * across * along * CM2_PER_MM2)


def _middle(seen: Felt, row: int, column: int) -> tuple[float, float]:
    """Return the middle of the hottest cells round a peak, found by shifting to the middle of those near.

    It may fall between two columns, or between two peaks that are one spot; slopes of hotter spots do not draw it.
    """
    peak = float(seen.kpa[row, column])
    level = (1.0 - 0.5 * FELT_SHARE) * peak
    regions, count = label(seen.kpa >= level, AROUND)
    tops = np.concatenate([[np.inf], maximum(seen.kpa, regions, np.arange(1, count + 1))])
    hottest = np.where(tops[regions] <= peak * (1.0 + 1e-6), seen.kpa - level, 0.0)
    x, y = float(seen.x_mm[column]), float(seen.y_mm[row])
    for _ in range(SHIFTS):
        weight = np.where(seen.within(x, y, APART_MM), hottest, 0.0)
        x = float((weight * seen.x_mm[None, :]).sum() / weight.sum()) + 0.0
        y = float((weight * seen.y_mm[:, None]).sum() / weight.sum())
    return x, y
