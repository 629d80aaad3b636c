"""Where section cards stand: chosen by the maker, or by the seat and its sitters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from seatmesh.body.body import Body
from seatmesh.seating.place import places
from seatmesh.sheets.plan.plan_lines import deepest_points
from seatmesh.sheets.sheet_wishes import LEAST_INSIDE_MM, SheetWishes
from seatmesh.surface import Seat

Runs = Literal["across", "along"]
APART_MM = 20.0
"""Two cards nearer to one another say the same."""


@dataclass(frozen=True)
class Station:
    """A plane across the seat at y = `at_mm`, or along it at x = `at_mm`; `letter` is written on card and plan."""

    letter: str
    runs: Runs
    at_mm: float


def stations(seat: Seat, sitters: Sequence[Body], wishes: SheetWishes) -> tuple[Station, ...]:
    """Return the stations: those across by letters from the rear, those along by numbers from the sitter's left."""
    across = wishes.across_mm if wishes.across_mm is not None else _across(seat)
    along = wishes.along_mm if wishes.along_mm is not None else _along(seat, sitters)
    named = [Station(letters(i), "across", y) for i, y in enumerate(sorted(set(across)))]
    return (*named, *(Station(str(i), "along", x) for i, x in enumerate(sorted(set(along)), 1)))


def letters(number: int) -> str:
    """Return A, B, ... Z, AA, AB, ... for 0, 1, ..."""
    more, one = divmod(number, 26)
    return (letters(more - 1) if more else "") + chr(ord("A") + one)


def _across(seat: Seat) -> tuple[float, ...]:
    """Through the deepest line, one behind it, and two ahead of it up to the front roll; whole 5 mm."""
    blank = seat.blank
    points = deepest_points(seat)
    deep = points[0][1] if points else 0.4 * blank.depth_mm
    front = blank.depth_mm - max(seat.front_roll_mm, LEAST_INSIDE_MM) - 10.0
    wished = (0.5 * (blank.deck_mm + deep), deep, deep + 0.4 * (front - deep), deep + 0.75 * (front - deep))
    return _spread(wished, LEAST_INSIDE_MM, blank.depth_mm - LEAST_INSIDE_MM)


def _along(seat: Seat, sitters: Sequence[Body]) -> tuple[float, ...]:
    """On the centre line, through the sit bones and along the middle of the thighs, to the sitter's right."""
    half = 0.5 * seat.blank.width_mm
    bones, thighs = [0.13 * half * 2.0], [0.25 * half * 2.0]
    if sitters:
        found = [one for body in sitters for one in places(body, seat.blank) if one.side == "right"]
        bones = [one.points_mm[0][0] for one in found if one.name == "sit bone"]
        thighs = [float(np.mean([x for x, _ in one.points_mm])) for one in found if "thigh" in one.name]
    return _spread(
        (0.0, float(np.mean(bones)), float(np.mean(thighs))), -half + LEAST_INSIDE_MM, half - LEAST_INSIDE_MM
    )


def _spread(wished: Sequence[float], low: float, high: float) -> tuple[float, ...]:
    """Return places on whole 5 mm, inside the wood, none too near to the one before."""
    out: list[float] = []
    for one in wished:
        at = 5.0 * round(float(np.clip(one, low, high)) / 5.0)
        if all(abs(at - other) >= APART_MM for other in out):
            out.append(at)
    return tuple(out)
