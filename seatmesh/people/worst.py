"""The worst-off tenth: those with the highest peaks, and how they press on average."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.body.body import Body, Measure, Sex
from seatmesh.body.survey.draw import DRAWN
from seatmesh.people.table import PeopleTable
from seatmesh.seating.grid import grid_of
from seatmesh.seating.settle import settle
from seatmesh.seating.sitter import lay_over
from seatmesh.surface import Seat

WORST_SHARE = 0.1
MOST_PRESSED = 40
"""People of the worst tenth whose mean is taken: the first of them, as they were drawn."""


@dataclass(frozen=True)
class WorstMap:
    """Mean pressure of the worst-off people, kPa, shape (ny, nx), and how many of them were pressed."""

    x_mm: Floats
    y_mm: Floats
    pressure_kpa: Floats | None
    people: int
    above_kpa: float


def worst_map(seat: Seat, tables: Iterable[PeopleTable], above_kpa: float | None) -> WorstMap:
    """Press the first `MOST_PRESSED` people whose peak is above a pressure, and return their weighted mean."""
    grid = grid_of(seat.blank)
    total, weight, people = np.zeros(grid.wood.shape), 0.0, 0
    for table in tables:
        if above_kpa is None or people >= MOST_PRESSED:
            break
        for i in np.flatnonzero(table.of("peak_kpa") >= above_kpa)[: MOST_PRESSED - people]:
            total += table.of("weight")[i] * settle(lay_over(body_of(table, int(i)), seat), seat).pressure_kpa
            weight, people = weight + float(table.of("weight")[i]), people + 1
    mean = total / weight if weight > 0.0 else None
    return WorstMap(grid.x_mm, grid.y_mm, mean, people, above_kpa or 0.0)


def body_of(table: PeopleTable, i: int) -> Body:
    """Return a person of a table as a body whose measures are exact."""
    sex: Sex = "female" if table.women[i] else "male"
    number = int(table.of("number")[i])
    return Body(
        f"person {number}", sex, {name: Measure(float(table.of(name)[i]), 0.0, "given") for name in DRAWN}
    )
