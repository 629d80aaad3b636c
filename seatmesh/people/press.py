"""Many people pressed on one seat: the one place where people meet wood.

Everything else in this room works on the arrays that come back. People are pressed in blocks that their numbers alone
decide, since the last digits of a figure may depend on who is reckoned beside whom: so a row is the same to the bit
however people are handed out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Bools, Floats
from seatmesh.body.many_bodies import NEEDED, ManyBodies
from seatmesh.people.drawn import PART_SIZE, People
from seatmesh.seating.sit_many import MANY_SPACING_MM, sit_many
from seatmesh.surface import Seat

FIGURES = (
    "load_n", "peak_kpa", "contact_area_cm2", "mean_kpa", "knee_clearance_mm", "tailbone_clearance_mm", "feet_share",
    "hip_margin_mm", "rim_load_share",
)  # fmt: skip
"""What is known of each sitting, as the command `sit` names it; beside that how much broader than the hips the blank is
at the sit bones, and what share of the load lies on wood outside the hollow (0 where there is none)."""
CELL_MM = MANY_SPACING_MM
"""Cells on which people are pressed. Peaks are 2 % lower than on the 4 mm of `seatmesh.sit`, which is far less than can
be felt; those on a seat of one's own, with which they are compared, are reckoned on the same cells."""


@dataclass(frozen=True)
class PressedPeople:
    """Bodies in balance on a seat.

    Attributes
    ----------
    figures
        Shape (n, len(`FIGURES`)), in that order; not a number where a body found no balance, but for load, knee-backs,
        feet and hips, which need none.
    balanced
        Shape (n,): whether each found a balance that the model knows.
    """

    figures: Floats
    balanced: Bools

    def of(self, name: str) -> Floats:
        """Return one figure of all bodies, shape (n,)."""
        return self.figures[:, FIGURES.index(name)]


def press_people(people: People, seat: Seat) -> PressedPeople:
    """Press people, upright and at their usual place, on a seat; each figure is that of `seatmesh.sit` on `CELL_MM`."""
    bodies = ManyBodies.usual({name: people.column(name) for name in NEEDED})
    figures, balanced = [np.empty((0, len(FIGURES)))], [np.empty(0, dtype=bool)]
    for first in range(0, len(people), PART_SIZE):
        block = np.arange(first, min(first + PART_SIZE, len(people)))
        many = sit_many(bodies.some(block), seat, spacing_mm=CELL_MM, threads=1)
        figures.append(np.stack([getattr(many, name) for name in FIGURES], axis=1))
        balanced.append(many.converged)
    return PressedPeople(np.concatenate(figures), np.concatenate(balanced))
