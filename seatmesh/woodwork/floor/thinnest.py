"""The thinnest floor that looks safe: the blank is planed thinner from below, the hollow kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from math import floor

from seatmesh.surface import Seat
from seatmesh.wood.boards.layup import Layup
from seatmesh.woodwork.floor.floor_bending import floor_bending, floor_left_mm

COARSE_MM, COARSE_LAYERS = 28.0, 1
"""Mesh of the search. Over five seats of one to three boards, their floors 7 to 27 mm, its factors lay up to 4.3 % off
those of the mesh that a floor is told from, either way: so the end of the search is on that mesh."""
LEAST_FLOOR_MM, MOST_MORE_MM = 5.0, 25.0
STEP_MM = 0.5


@dataclass(frozen=True)
class ThinnestFloor:
    """What the search found.

    Attributes
    ----------
    factor
        The factor that was asked for.
    floor_mm
        The least floor, of whole and half millimetres, at which it is reached; None where no floor tried reaches it.
    reached
        The least factor of that floor, as `seatmesh.woodwork.floor.floor_bending` tells it; None without one.
    tried
        Every floor that was tried, with its least factor, from thin to thick; those far from the answer on a coarser
        mesh.
    """

    factor: float
    floor_mm: float | None
    reached: float | None
    tried: tuple[tuple[float, float], ...]


def thinnest_floor(seat: Seat, layup: Layup, load_n: float, factor: float) -> ThinnestFloor:
    """Return the thinnest floor whose least factor is `factor`; raises as `floor_bending`.

    It is found by halving on a coarse mesh, and then step by step on the mesh of `floor_bending`.
    """
    now = floor_left_mm(seat)

    def rough(step: int) -> float:
        taken = now - step * STEP_MM
        bent = floor_bending(seat, layup, load_n, taken_mm=taken, spacing_mm=COARSE_MM, layers=COARSE_LAYERS)
        return bent.least.factor

    def fine(step: int) -> float:
        return floor_bending(seat, layup, load_n, taken_mm=now - step * STEP_MM).least.factor

    tried: dict[int, float] = {}
    first, last = round(LEAST_FLOOR_MM / STEP_MM), floor((now + MOST_MORE_MM) / STEP_MM)
    start = _halved(_noting(rough, tried), first, last, factor)
    found = _walked(_noting(fine, tried), start, first, last, factor)
    rows = tuple((step * STEP_MM, tried[step]) for step in sorted(tried))
    if found is None:
        return ThinnestFloor(factor, None, None, rows)
    return ThinnestFloor(factor, found * STEP_MM, tried[found], rows)


def _noting(least: Callable[[int], float], tried: dict[int, float]) -> Callable[[int], float]:
    """Return `least` asked once for each step, its answers noted in `tried`: the finer mesh's stand over the coarse."""

    @cache
    def asked(step: int) -> float:
        tried[step] = least(step)
        return tried[step]

    return asked


def _halved(least: Callable[[int], float], first: int, last: int, factor: float) -> int:
    """Return the first step that reaches a factor, the last one where none does."""
    low, high = first, last
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if least(middle) >= factor else (middle + 1, high)
    return high


def _walked(least: Callable[[int], float], start: int, first: int, last: int, factor: float) -> int | None:
    """Return the first step that reaches a factor, near to `start`; None where none up to the last one does."""
    step = start
    while least(step) < factor:
        if step == last:
            return None
        step += 1
    while step > first and least(step - 1) >= factor:
        step -= 1
    return step
