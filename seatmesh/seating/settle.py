"""Let a body that is laid over a blank settle on a seat: gap, load, balance, pressure; no more."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.contact import Load, Pose, unknowns
from seatmesh.seating.figures import KPA_PER_MPA, peak_and_gradient
from seatmesh.seating.grid import Grid
from seatmesh.seating.laid import Balanced, Laid
from seatmesh.seating.sitter import Sitter
from seatmesh.solution import Solution
from seatmesh.surface import Seat
from seatmesh.tissue import TISSUE, TissueLaw

LEG_HOLLOW_TURN = float(np.radians(2.0))
"""How far a fitted seat is turned forward against the pose on the flat. In a hollow the sitter settles to the rear;
without the turn the thighs get hardly any hollow. It costs 1 to 4 % of the peak, less than can be felt (S13)."""
EVEN_MM = 1e-9
"""Depths on both sides that differ by no more are alike."""


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
    pressed
        The body as it was laid, and its balance on those cells alone that touch.
    """

    solution: Solution[Pose]
    sink_mm: Floats
    pressure_kpa: Floats
    cell_mm: tuple[float, float]
    pressed: tuple[Laid, Balanced]

    @property
    def load_shares(self) -> Floats:
        """Share of the load on each of `PARTS`."""
        laid, found = self.pressed
        return np.asarray(laid.load_shares(found)[0])

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
    depth = depth_over(grid, seat)
    return _settled(sitter, on_depth(sitter, depth, load_n, law, start))


@lru_cache(maxsize=16)
def depth_over(grid: Grid, seat: Seat) -> Floats:
    """Return the depth of a seat at the centres of all cells, shape (ny, nx)."""
    depth = seat.depth_mm(grid.x_mm[None, :], grid.y_mm[:, None])
    depth.setflags(write=False)
    return depth


def is_even(depth: Floats) -> bool:
    """Whether depths (ny, nx) are alike on both sides of the centre line."""
    return bool(np.all(np.abs(depth - depth[:, ::-1]) < EVEN_MM))


def on_depth(
    sitter: Sitter,
    depth: Floats,
    load_n: float | None = None,
    law: TissueLaw = TISSUE,
    start: Pose | None = None,
) -> tuple[Laid, Balanced]:
    """Balance a sitter on a surface of some depth at all cells, shape (ny, nx)."""
    half = sitter.even and is_even(depth)
    laid = sitter.laid(half=half)
    q = None if start is None else unknowns(start)[None, :]
    if half and q is not None:
        q[0, 2] = 0.0
    force = None if load_n is None else np.array([load_n], dtype=float)
    return laid, laid.settle(depth.ravel()[laid.cells.at], law, q, force)


def _settled(sitter: Sitter, pressed: tuple[Laid, Balanced]) -> Settled:
    laid, found = pressed
    solution = found.balances.pose(0, load_of(found.load, 0))
    whole = np.zeros(len(laid.cells.at))
    whole[found.touched] = found.pressure_mpa[0] * KPA_PER_MPA
    sink = solution.value.sink_mm(*sitter.cells_mm)
    return Settled(solution, sink, laid.cells.spread(whole), sitter.grid.cell_mm, pressed)


def load_of(loads: Load, number: int) -> Load:
    """Return what one of many bodies carries."""
    return Load(*(float(values[number]) for values in (loads.force_n, loads.x_mm, loads.y_mm)))
