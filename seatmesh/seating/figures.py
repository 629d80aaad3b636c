"""Figures of a pressure map: areas, means, peaks and shares."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from scipy.ndimage import convolve1d

from seatmesh.arrays import Bools, Floats, Ints

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
    """Return, for each cell of maps (..., ny, nx), the mean over a square of `SENSOR_MM` centred on it."""
    across, along = (_window(size) for size in cell_mm)
    rows = convolve1d(pressure, along, axis=-2, mode="constant")
    return np.asarray(convolve1d(rows, across, axis=-1, mode="constant"))


def _window(cell: float) -> Floats:
    """Return by how much of `SENSOR_MM` each cell of a row is covered, centred on one."""
    reach = int(np.ceil(0.5 * (SENSOR_MM / cell - 1.0)))
    centres = np.arange(-reach, reach + 1) * cell
    half = 0.5 * SENSOR_MM
    covered = np.minimum(centres + cell / 2, half) - np.maximum(centres - cell / 2, -half)
    return np.asarray(np.maximum(covered, 0.0) / SENSOR_MM)


def peak_and_gradient(pressure_kpa: Floats, cell_mm: tuple[float, float]) -> tuple[float, float]:
    """Return the largest mean over `SENSOR_MM` squares, kPa, and its steepest change, kPa per cm."""
    peaks, gradients = peaks_and_gradients(pressure_kpa, cell_mm)
    return float(peaks), float(gradients)


def peaks_and_gradients(pressure_kpa: Floats, cell_mm: tuple[float, float]) -> tuple[Floats, Floats]:
    """Return the same of each of many maps (bodies, ny, nx), shapes (bodies,)."""
    smooth = averaged(pressure_kpa, cell_mm)
    across, along = cell_mm
    by_y, by_x = np.gradient(smooth, along, across, axis=(-2, -1))
    steepest = np.sqrt((by_x * by_x + by_y * by_y).max(axis=(-2, -1)))
    return smooth.max(axis=(-2, -1)), steepest * 10.0


class Areas(NamedTuple):
    """How far the contact reaches, and the mean pressure above `IN_CONTACT_KPA`; of many bodies arrays (bodies,)."""

    contact_cm2: Any
    counted_cm2: Any
    mean_kpa: Any


def area_figures(pressure_kpa: Floats, area_mm2: Floats) -> Areas:
    """Return contact area, area and mean above `IN_CONTACT_KPA`.

    `pressure_kpa` (n,) or (bodies, n), `area_mm2` (n,) or alike.
    """
    counted = pressure_kpa > IN_CONTACT_KPA
    area = (area_mm2 * counted).sum(axis=-1)
    force = (pressure_kpa * area_mm2 * counted).sum(axis=-1)
    return Areas(
        contact_cm2=(area_mm2 * (pressure_kpa > 0)).sum(axis=-1) * CM2_PER_MM2,
        counted_cm2=area * CM2_PER_MM2,
        mean_kpa=np.where(area > 0.0, force / np.maximum(area, 1e-12), 0.0),
    )


def hottest_share(pressure_kpa: Floats, area_mm2: Floats, load_n: Any) -> Any:
    """Return the load on the hottest 8 % of the area above `IN_CONTACT_KPA`, over the load; see `area_figures`."""
    counted = np.where(pressure_kpa > IN_CONTACT_KPA, pressure_kpa, 0.0)
    order = np.argsort(-counted, axis=-1, kind="stable")
    pressures = np.take_along_axis(counted, order, axis=-1)
    areas = np.take_along_axis(np.broadcast_to(area_mm2, counted.shape), order, axis=-1) * (pressures > 0.0)
    together = np.cumsum(areas, axis=-1)
    taken = np.clip(HOTTEST * together[..., -1:] - (together - areas), 0.0, areas)
    return (taken * pressures).sum(axis=-1) / KPA_PER_MPA / load_n


def load_shares(force_n: Floats, part: Ints, count: int, *, mirrored: Bools | None = None) -> Floats:
    """Return the share of the force on cells (..., n) that each of `count` parts carries, shape (..., count).

    Of cells that are `mirrored` (n,) half of the force is the other side's. Parts 0 and 1, and 2 and 3, are sides of
    one.
    """
    halves = force_n if mirrored is None else np.where(mirrored, 0.5 * force_n, force_n)
    sums = [(halves * (part == number)).sum(axis=-1) for number in range(count)]
    if mirrored is not None:
        other = np.where(mirrored, halves, 0.0)
        own = [(other * (part == number)).sum(axis=-1) for number in range(count)]
        image = [own[1], own[0], own[3], own[2], *own[4:]]
        sums = [one + more for one, more in zip(sums, image, strict=True)]
    shares = np.stack(sums, axis=-1)
    return np.asarray(shares / shares.sum(axis=-1, keepdims=True))
