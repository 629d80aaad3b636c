"""A body laid over the grid of a blank, ready to be pressed on any seat of that blank."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.body.body import Body
from seatmesh.body.figure.posture import posture_named
from seatmesh.body.figure.seated import Fields, SeatedBody, seat_body
from seatmesh.seating.grid import SPACING_MM, Grid, grid_of
from seatmesh.seating.load import SeatLoad, seat_load
from seatmesh.seating.place import seat_place_mm
from seatmesh.surface import Seat
from seatmesh.tissue import TissueBed, TissueLaw


@dataclass(frozen=True)
class Sitter:
    """A body in a posture, laid over the grid of a blank: all of a sitting that the seat's shape does not change.

    Attributes
    ----------
    at_mm
        Where the middle between the sit bones lies, in the frame of the blank.
    fields
        Skin, bone and tissue over all cells of the grid, row by row.
    """

    body: Body
    posture: str
    seated: SeatedBody
    grid: Grid
    at_mm: tuple[float, float]
    fields: Fields
    load: SeatLoad

    def bed(self, law: TissueLaw) -> TissueBed:
        """Return the tissue over all cells by a law: what no seat changes of it is worked out once."""
        if law not in self._beds:
            self._beds[law] = TissueBed(law, self.fields.backing)
        return self._beds[law]

    @cached_property
    def _beds(self) -> dict[TissueLaw, TissueBed]:
        return {}

    @cached_property
    def cells_mm(self) -> tuple[Floats, Floats]:
        """Centres of all cells, row by row, in the frame of the blank."""
        x, y = np.meshgrid(self.grid.x_mm, self.grid.y_mm)
        return x.ravel(), y.ravel()


def lay_over(
    body: Body,
    seat: Seat,
    posture: str = "upright",
    at_mm: tuple[float, float] = (0.0, 0.0),
    spacing_mm: float = SPACING_MM,
) -> Sitter:
    """Lay a body over a seat's blank; `at_mm` moves it to the right and forward from its usual place.

    `spacing_mm` is the largest size of a cell of the grid.
    """
    way = posture_named(posture)
    seated = seat_body(body, way)
    grid = grid_of(seat.blank, spacing_mm)
    x, y = seat_place_mm(body, seated, seat.blank)
    at = (x + way.shift_mm + at_mm[0], y + at_mm[1])
    columns, rows = np.meshgrid(grid.x_mm - at[0], grid.y_mm - at[1])
    fields = seated.fields(columns.ravel(), rows.ravel())
    return Sitter(body, posture, seated, grid, at, fields, seat_load(seated, way, seat.chair))
