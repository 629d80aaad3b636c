"""The table of people: one row each, from draw to figures; what parts keep and Parquet holds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Bools, Floats
from seatmesh.body.survey.draw import DRAWN
from seatmesh.people.drawn import People
from seatmesh.people.own_best import own_best_peak_kpa
from seatmesh.people.press import FIGURES, PressedPeople, press_people
from seatmesh.surface import Seat

COLUMNS: tuple[str, ...] = (
    "number", "woman", "weight", *DRAWN, *FIGURES, "balanced", "own_best_kpa", "peak_over_own_best",
)  # fmt: skip
"""`number` counts from 1; `woman` and `balanced` are 0 or 1; `own_best_kpa` is an estimate, see `own_best`."""


@dataclass(frozen=True)
class PeopleTable:
    """Rows of `COLUMNS`, shape (n, columns)."""

    rows: Floats

    def __len__(self) -> int:
        return len(self.rows)

    def of(self, column: str) -> Floats:
        """Return one column, shape (n,)."""
        return self.rows[:, COLUMNS.index(column)]

    @property
    def women(self) -> Bools:
        """Whether each is a woman."""
        return self.of("woman") > 0.5


def table_of(people: People, seat: Seat, pressed: PressedPeople | None = None) -> PeopleTable:
    """Sit people down on a seat and return their rows; `pressed` where that was done."""
    known = press_people(people, seat) if pressed is None else pressed
    own = own_best_peak_kpa(people.builds.women, people.measures, seat)
    rows = np.column_stack(
        [
            people.first + 1.0 + np.arange(len(people)),
            people.builds.women,
            people.builds.weights,
            people.measures,
            known.figures,
            known.balanced,
            own,
            known.of("peak_kpa") / own,
        ]
    )
    return PeopleTable(rows)
