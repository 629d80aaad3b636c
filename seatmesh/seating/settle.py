"""Let a body that is laid over a blank settle on a seat: gap, load, balance, pressure; no more."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.contact import Layer, Load, Pose, balance
from seatmesh.seating.figures import KPA_PER_MPA, peak_and_gradient
from seatmesh.seating.sitter import Sitter
from seatmesh.solution import Solution
from seatmesh.surface import Seat
from seatmesh.tissue import TISSUE, TissueLaw

LEG_HOLLOW_TURN = float(np.radians(2.0))
"""How far a fitted seat is turned forward against the pose on the flat. In a hollow the sitter settles to the rear;
without the turn the thighs get hardly any hollow. It costs 1 to 4 % of the peak, less than can be felt (S13)."""
PRESSED_THROUGH = 0.80
"""Compression beyond which tissue counts as pressed through. The elements that taught the law end at 0.69 of its own
measure; what lies between is carried on, so that drawn sitters of soft flesh still count."""


@dataclass(frozen=True)
class Settled:
    """A body in balance.

    Attributes
    ----------
    solution
        Its pose, with a verdict.
    sink_mm
        How far each cell of the grid has gone down, shape (n,).
    pressure_kpa
        Shape (ny, nx).
    cell_mm
        Width and depth of a cell.
    """

    solution: Solution[Pose]
    sink_mm: Floats
    pressure_kpa: Floats
    cell_mm: tuple[float, float]

    @property
    def peak_kpa(self) -> float:
        """Largest mean over 1 cm2; infinite without a balance."""
        return (
            peak_and_gradient(self.pressure_kpa, self.cell_mm)[0] if self.solution.converged else float("inf")
        )


def settle(
    sitter: Sitter,
    seat: Seat,
    load_n: float | None = None,
    law: TissueLaw = TISSUE,
    start: Pose | None = None,
) -> Settled:
    """Press a sitter that is laid over the blank onto a seat of that blank; `start` is a pose to begin from."""
    grid = sitter.grid
    x, y = sitter.cells_mm
    gap = sitter.fields.skin + seat.depth_mm(grid.x_mm[None, :], grid.y_mm[:, None]).ravel()
    bed = sitter.bed(law)
    # Where there is no wood a cell has no area, and carries nothing.
    layer = Layer(x, y, gap, grid.cell_area_mm2 * grid.wood.ravel(), bed)
    solution = balance(layer, _load(sitter, load_n), start)
    sink = solution.value.sink_mm(x, y)
    overlap = np.where(layer.area_mm2 > 0, sink - gap, -1.0)
    pressure = bed.response(overlap)[0] * KPA_PER_MPA
    verdict = _verdict(solution, float(bed.compression(overlap).max(initial=0.0)))
    return Settled(replace(solution, verdict=verdict), sink, pressure.reshape(grid.wood.shape), grid.cell_mm)


def _load(sitter: Sitter, load_n: float | None) -> Load:
    own = sitter.load
    force = own.force_n if load_n is None else load_n
    return Load(force, sitter.at_mm[0] + own.x_mm, sitter.at_mm[1] + own.y_mm)


def _verdict(solution: Solution[Pose], most_compression: float) -> str:
    if solution.converged and most_compression > PRESSED_THROUGH:
        return (
            "the load presses the tissue further than the model knows; use a smaller load, a deeper seat or check the "
            "measures"
        )
    return solution.verdict
