"""A body laid over the grid of a blank, ready to be pressed on any seat of that blank."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Any

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.body.body import Body
from seatmesh.body.figure.posture import posture_named
from seatmesh.body.figure.seated import Fields, SeatedBody, seat_body
from seatmesh.chair import Chair
from seatmesh.contact import Load
from seatmesh.seating.cells import cells_of
from seatmesh.seating.grid import SPACING_MM, Grid, grid_of
from seatmesh.seating.laid import Laid
from seatmesh.seating.load import SeatLoad, seat_load
from seatmesh.seating.place import seat_place_mm
from seatmesh.surface import Seat
from seatmesh.tissue import Backing
from seatmesh.wood.blank import Blank

BONE = "bone"
"""The name under which a sitter keeps what bones lie over the cells."""


@dataclass(frozen=True)
class Sitter:
    """A body in a posture, laid over the grid of a blank: all of a sitting that the seat's shape does not change.

    Attributes
    ----------
    at_mm
        Where the middle between the sit bones lies, in the frame of the blank.
    held
        What holds the flesh over all cells, where it is not the body's own bones.
    """

    body: Body
    posture: str
    seated: SeatedBody
    grid: Grid
    at_mm: tuple[float, float]
    load: SeatLoad
    held: Backing | None = None

    @cached_property
    def fields(self) -> Fields:
        """Skin, bone and tissue over all cells of the grid, row by row."""
        x, y = self.cells_mm
        return self.seated.fields(x - self.at_mm[0], y - self.at_mm[1])

    @cached_property
    def skin(self) -> Floats:
        """Height of the underside of skin over all cells of the grid, row by row."""
        return self._over_all(self.seated.skin)

    @property
    def bone(self) -> Floats:
        """Height of the underside of bone over all cells, row by row, infinite where there is none above."""
        found: Floats | None = self.kept.get(BONE)
        if found is None:
            found = self._over_all(self.seated.bone)
            found.setflags(write=False)
            self.kept[BONE] = found
        return found

    def _over_all(self, height: Callable[[Floats, Floats], Floats]) -> Floats:
        """Return a height of the body over all cells: where both sides are alike the left is the right one's image."""
        x, y = self.cells_mm
        if not self.even:
            return height(x - self.at_mm[0], y - self.at_mm[1])
        shape = self.grid.wood.shape
        first = shape[1] // 2
        half = (slice(None), slice(first, None))
        right = x.reshape(shape)[half], y.reshape(shape)[half] - self.at_mm[1]
        whole = np.empty(shape)
        whole[half] = height(right[0].ravel(), right[1].ravel()).reshape(right[0].shape)
        whole[:, :first] = whole[:, : -first - 1 : -1]
        return whole.ravel()

    def again(self) -> Sitter:
        """Return the same sitter, with what is known of the body alone, and of the cells that count so far.

        What the copy comes to touch is not taken in here: so a sitter that is kept always answers alike.
        """
        copy = replace(self)
        known = {"skin": self.skin, "cells_mm": self.cells_mm, "kept": self.kept}
        known["_laid"] = {half: replace(laid) for half, laid in self._laid.items()}
        copy.__dict__.update(known)
        return copy

    @cached_property
    def kept(self) -> dict[str, Any]:
        """What others found of the body alone, by name: not found again for a copy."""
        return {}

    @property
    def even(self) -> bool:
        """Whether both sides of the body are alike, and lie alike on both sides of the blank."""
        even_posture = posture_named(self.posture).crossed is None
        return even_posture and self.at_mm[0] == 0.0 and self.load.x_mm == 0.0 and self.held is None

    def laid(self, *, half: bool) -> Laid:
        """Return the body over the cells that hold wood, or over the right half of them."""
        if half not in self._laid:
            at = (np.array([[self.at_mm[0]]]), np.array([[self.at_mm[1]]]))
            own = self.load
            load = Load(
                np.array([own.force_n]),
                np.array([self.at_mm[0] + own.x_mm]),
                np.array([self.at_mm[1] + own.y_mm]),
            )
            cells = cells_of(self.grid, even=half)
            self._laid[half] = Laid(self.seated, cells, at, load, self.skin[None, cells.at], self.held)
        return self._laid[half]

    @cached_property
    def _laid(self) -> dict[bool, Laid]:
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
    if at_mm != (0.0, 0.0):
        # Where chance moves a body no two are alike.
        return _laid_over(body, seat.blank, seat.chair, posture, at_mm, spacing_mm)
    return _kept(body, seat.blank, seat.chair, posture, spacing_mm).again()


@lru_cache(maxsize=24)
def _kept(body: Body, blank: Blank, chair: Chair, posture: str, spacing_mm: float) -> Sitter:
    return _laid_over(body, blank, chair, posture, (0.0, 0.0), spacing_mm)


def _laid_over(
    body: Body, blank: Blank, chair: Chair, posture: str, at_mm: tuple[float, float], spacing_mm: float
) -> Sitter:
    way = posture_named(posture)
    seated = seat_body(body, way)
    grid = grid_of(blank, spacing_mm)
    x, y = seat_place_mm(body, seated, blank)
    at = (x + way.shift_mm + at_mm[0], y + at_mm[1])
    return Sitter(body, posture, seated, grid, at, seat_load(seated, way, chair))
