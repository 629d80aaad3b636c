"""Many bodies pressed on one seat: the one place where people meet wood.

Everything else in this room works on the arrays that come back, so whatever presses bodies faster takes its place here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Bools, Floats
from seatmesh.body.body import Body
from seatmesh.people.rim import blank_width_mm, outside_hollow
from seatmesh.seating import figures
from seatmesh.seating.figures_in_words import knee_clearance_of, tailbone_clearance_of
from seatmesh.seating.grid import grid_of
from seatmesh.seating.settle import settle
from seatmesh.seating.sitter import lay_over
from seatmesh.surface import Seat

FIGURES = (
    "load_n", "peak_kpa", "contact_area_cm2", "mean_kpa", "knee_clearance_mm", "tailbone_clearance_mm", "feet_share",
    "hip_margin_mm", "rim_load_share",
)  # fmt: skip
"""What is known of each sitting, as the command `sit` names it; beside that how much broader than the hips the blank is
at the sit bones, and what share of the load lies on wood outside the hollow (0 where there is none)."""


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


def press_people(bodies: Sequence[Body], seat: Seat) -> PressedPeople:
    """Press bodies, upright and at their usual place, on a seat; each figure is that of `seatmesh.sit`."""
    out = np.full((len(bodies), len(FIGURES)), np.nan)
    balanced = np.zeros(len(bodies), dtype=bool)
    outside = outside_hollow(seat, grid_of(seat.blank))
    for i, body in enumerate(bodies):
        balanced[i] = _press(body, seat, outside, out[i])
    return PressedPeople(out, balanced)


def _press(body: Body, seat: Seat, outside: Bools, out: Floats) -> bool:
    sitter = lay_over(body, seat)
    settled = settle(sitter, seat)
    known = {
        "load_n": sitter.load.force_n,
        "knee_clearance_mm": knee_clearance_of(sitter, seat),
        "feet_share": sitter.load.feet_share,
        "hip_margin_mm": blank_width_mm(sitter.grid, sitter.at_mm[1]) - body.value("hip_breadth_sitting_mm"),
    }
    converged = settled.solution.converged
    if converged:
        grid, pressure = sitter.grid, settled.pressure_kpa
        force = pressure * grid.wood
        areas = figures.area_figures(pressure.ravel(), grid.cell_area_mm2 * grid.wood.ravel())
        known |= {
            "peak_kpa": settled.peak_kpa,
            "contact_area_cm2": areas.contact_cm2,
            "mean_kpa": areas.mean_kpa,
            "rim_load_share": float(force[outside].sum() / force.sum()),
            "tailbone_clearance_mm": tailbone_clearance_of(sitter, seat, settled.solution.value),
        }
    for name, value in known.items():
        out[FIGURES.index(name)] = value
    return converged
