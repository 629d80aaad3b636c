"""The thinnest floor that looks safe: the blank is planed thinner from below, the hollow kept."""

from __future__ import annotations

from dataclasses import dataclass

from seatmesh.surface import Seat
from seatmesh.wood.boards.layup import Layup
from seatmesh.woodwork.floor.floor_bending import FloorBending, floor_bending

COARSE_MM, COARSE_LAYERS = 28.0, 1
"""Mesh of the search: its factors lie within a few hundredths of the finer mesh's."""
LEAST_FLOOR_MM, MOST_MORE_MM = 5.0, 25.0
WITHIN_MM = 0.5


@dataclass(frozen=True)
class ThinnestFloor:
    """What the search found.

    Attributes
    ----------
    factor
        The factor that was asked for.
    floor_mm
        The least floor, to half a millimetre upward, at which it is reached; None where no floor tried reaches it.
    tried
        Every floor that was tried, with its least factor, from thin to thick.
    """

    factor: float
    floor_mm: float | None
    tried: tuple[tuple[float, float], ...]


def thinnest_floor(seat: Seat, layup: Layup, load_n: float, factor: float) -> ThinnestFloor:
    """Return the thinnest floor whose least factor is `factor`, by halving; raises as `floor_bending`."""
    tried: dict[float, float] = {}

    def least(floor_mm: float) -> float:
        if floor_mm not in tried:
            tried[floor_mm] = _bent(seat, layup, load_n, now - floor_mm).least.factor
        return tried[floor_mm]

    now = _bent(seat, layup, load_n, 0.0).floor_mm
    low, high = LEAST_FLOOR_MM, now + MOST_MORE_MM
    if least(low) >= factor:
        return ThinnestFloor(factor, low, _rows(tried))
    if least(high) < factor:
        return ThinnestFloor(factor, None, _rows(tried))
    while high - low > WITHIN_MM:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if least(middle) >= factor else (middle, high)
    return ThinnestFloor(factor, high, _rows(tried))


def _bent(seat: Seat, layup: Layup, load_n: float, taken_mm: float) -> FloorBending:
    return floor_bending(seat, layup, load_n, taken_mm=taken_mm, spacing_mm=COARSE_MM, layers=COARSE_LAYERS)


def _rows(tried: dict[float, float]) -> tuple[tuple[float, float], ...]:
    return tuple(sorted(tried.items()))
