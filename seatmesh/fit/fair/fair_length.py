"""The least length of fairness at which a seat has no undulation: found on a measure that changes steadily.

Lengths out of a short list would make the seat jump where a little more body mass asks for the next one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from seatmesh.fit.fair.fairness import FELT_SLOPE, waviness
from seatmesh.solution import Solution
from seatmesh.surface import Seat

Made = Callable[[float], Solution[Seat]]

MOST_MM = 48.0
"""No greater length is tried; from 40 mm on hardly anything of the body's shape is left."""
GROWTH = 1.1
"""Factor between the lengths in which the right one is looked for."""
EXACT_MM = 0.05
"""How far the length may be from the least; the demo's seats move by less than 0.01 mm with that."""
JUMP = 0.2 * FELT_SLOPE
"""A measure that changes by more within `EXACT_MM` jumps; steady ones change by a tenth of it."""
OFF_ENDS = 0.05
"""Share of the interval that a guess stays off its ends, lest one of them creeps."""


@dataclass(frozen=True)
class _Tried:
    """What was made with a length, and by how much it is wavier than can be felt."""

    length_mm: float
    solution: Solution[Seat]
    over: float


@dataclass(frozen=True)
class FairLength:
    """A length of fairness, and what is made with it.

    Attributes
    ----------
    steady
        Whether the measure passes steadily through what can be felt. Beside a joint it may jump instead, where a turn
        of slope comes so near that the joint calls for it; then a little more or less of anything moves the length.
    """

    length_mm: float
    solution: Solution[Seat]
    steady: bool


def least_fair(made: Made, least_mm: float) -> FairLength:
    """Return the least length from `least_mm` to `MOST_MM` at which what is made is fair, else the most.

    Where it already is at the least length, nothing else is made.
    """
    low = high = _tried(made, least_mm)
    while high.over > 0.0 and high.length_mm < MOST_MM:
        low, high = high, _tried(made, min(GROWTH * high.length_mm, MOST_MM))
    stays = 0
    while high.over <= 0.0 and high.length_mm - low.length_mm > EXACT_MM:
        now = _tried(made, _guess(low, high, stays))
        if now.over > 0.0:
            low, stays = now, max(stays, 0) + 1
        else:
            high, stays = now, min(stays, 0) - 1
    return FairLength(high.length_mm, high.solution, low is high or low.over - high.over < JUMP)


def _guess(low: _Tried, high: _Tried, stays: int) -> float:
    """Return a length between one that is too short and one that is not, the right one or a little more.

    `stays` counts how often in turn the upper end (or the lower one: negative) has stayed: what it says counts half as
    much each time but the first (the Illinois rule).
    """
    room = high.length_mm - low.length_mm
    above, below = low.over * 0.5 ** max(-stays - 1, 0), high.over * 0.5 ** max(stays - 1, 0)
    right = low.length_mm + room * above / (above - below)
    if high.length_mm - right < EXACT_MM:
        # The upper end is it, if one just below is not fair; where that was fair too, the measure jumps somewhere.
        just_below = high.length_mm - 0.9 * EXACT_MM if stays > -2 else low.length_mm
        return max(just_below, low.length_mm + 0.5 * room)
    return min(max(right + 0.5 * EXACT_MM, low.length_mm + OFF_ENDS * room), high.length_mm - OFF_ENDS * room)


def _tried(made: Made, length_mm: float) -> _Tried:
    solution = made(length_mm)
    return _Tried(length_mm, solution, waviness(solution.value) - FELT_SLOPE)
