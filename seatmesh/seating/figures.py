"""Figures of a pressure map: areas, means, peaks and shares."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.ndimage import convolve1d

from seatmesh.arrays import Floats, Ints

IN_CONTACT_KPA = 0.67
"""Pressure from which mat studies count a place as in contact (S8)."""
SENSOR_MM = 10.0
"""Side of the square over which a peak is averaged; a peak means nothing without it (S7)."""
HOTTEST = 0.08
"""Share of the area whose load is stated (S2)."""
FELT_SHARE = 0.10
"""Pressures that differ by less than this share cannot be felt apart (S13: Goossens, Teeuw, Snijders 2005)."""
KPA_PER_MPA = 1000.0
CM2_PER_MM2 = 0.01


def averaged(pressure: Floats, cell_mm: tuple[float, float]) -> Floats:
    """Return, for each cell of a map (ny, nx), the mean over a square of `SENSOR_MM` centred on it."""
    across, along = (_window(size) for size in cell_mm)
    rows = convolve1d(pressure, along, axis=0, mode="constant")
    return np.asarray(convolve1d(rows, across, axis=1, mode="constant"))


def _window(cell: float) -> Floats:
    """Return by how much of `SENSOR_MM` each cell of a row is covered, centred on one."""
    reach = int(np.ceil(0.5 * (SENSOR_MM / cell - 1.0)))
    centres = np.arange(-reach, reach + 1) * cell
    half = 0.5 * SENSOR_MM
    covered = np.minimum(centres + cell / 2, half) - np.maximum(centres - cell / 2, -half)
    return np.asarray(np.maximum(covered, 0.0) / SENSOR_MM)


def peak_and_gradient(pressure_kpa: Floats, cell_mm: tuple[float, float]) -> tuple[float, float]:
    """Return the largest mean over `SENSOR_MM` squares, kPa, and its steepest change, kPa per cm."""
    smooth = averaged(pressure_kpa, cell_mm)
    across, along = cell_mm
    by_y, by_x = np.gradient(smooth, along, across)
    return float(smooth.max()), float(np.hypot(by_x, by_y).max() * 10.0)


class Areas(NamedTuple):
    """How far the contact reaches, and the mean pressure above `IN_CONTACT_KPA`."""

    contact_cm2: float
    counted_cm2: float
    mean_kpa: float


def area_figures(pressure_kpa: Floats, area_mm2: Floats) -> Areas:
    """Return contact area, area and mean above `IN_CONTACT_KPA`; arrays of one shape."""
    counted = pressure_kpa > IN_CONTACT_KPA
    area = float(area_mm2[counted].sum())
    force = float((pressure_kpa * area_mm2)[counted].sum())
    return Areas(
        contact_cm2=float(area_mm2[pressure_kpa > 0].sum()) * CM2_PER_MM2,
        counted_cm2=area * CM2_PER_MM2,
        mean_kpa=force / area if area > 0 else 0.0,
    )


def hottest_share(pressure_kpa: Floats, area_mm2: Floats, load_n: float) -> float:
    """Return the load on the hottest 8 % of the area above `IN_CONTACT_KPA`, over the load."""
    counted = pressure_kpa > IN_CONTACT_KPA
    order = np.argsort(-pressure_kpa[counted], kind="stable")
    areas, pressures = area_mm2[counted][order], pressure_kpa[counted][order]
    before = np.concatenate([[0.0], np.cumsum(areas)[:-1]])
    taken = np.clip(HOTTEST * areas.sum() - before, 0.0, areas)
    return float(taken @ pressures) / KPA_PER_MPA / load_n


def load_shares(force_n: Floats, part: Ints, names: tuple[str, ...]) -> dict[str, float]:
    """Return each part's share of the force on cells (n,)."""
    sums = np.bincount(part, weights=force_n, minlength=len(names))
    return {name: float(value) for name, value in zip(names, sums / sums.sum(), strict=True)}
