"""Sit a body on a seat: the gap between them, the load, the balance, and what it shows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from seatmesh.body.body import Body
from seatmesh.contact import Layer, Load, Pose, balance
from seatmesh.errors import ValueRefusedError
from seatmesh.seating.describe import figures_of
from seatmesh.seating.figures import KPA_PER_MPA
from seatmesh.seating.sitter import Sitter, lay_over
from seatmesh.seating.sitting import Sitting
from seatmesh.solution import Solution
from seatmesh.surface import Seat
from seatmesh.tissue import TISSUE, TissueBed, TissueLaw

Floats = NDArray[np.float64]

FARTHEST_GAP_MM = 120.0
"""Cells farther than this from touching are left out of the balance: no pose short of toppling brings them in."""
PRESSED_THROUGH = 0.70
"""Compression beyond which tissue counts as pressed through; the finite elements behind the law end there."""
MOST_LOAD_N = 5000.0


def sit(
    body: Body,
    seat: Seat,
    *,
    load_n: float | None = None,
    posture: str = "upright",
    at_mm: tuple[float, float] = (0.0, 0.0),
) -> Sitting:
    """Sit a body on a seat and return pose, pressure and figures.

    Parameters
    ----------
    load_n
        Force to press with, N; None takes what the segments' masses, feet and rake give.
    posture
        One of `seatmesh.body.posture.POSTURES`.
    at_mm
        How far to the sitter's right and forward of the usual place.

    Raises
    ------
    UnknownKeyError
        For a posture that is none.
    ValueRefusedError
        For a load that is not a number from above 0 to `MOST_LOAD_N`, or a place that is not finite.
    """
    if load_n is not None and not (np.isfinite(load_n) and 0 < load_n <= MOST_LOAD_N):
        raise ValueRefusedError(
            "load_n", load_n, f"above 0 and at most {MOST_LOAD_N:g} N", "give the force in newtons"
        )
    if not np.all(np.isfinite(at_mm)):
        raise ValueRefusedError("at_mm", at_mm, "two finite lengths", "give mm to the right and forward")
    return press(lay_over(body, seat, posture, at_mm), seat, load_n)


def press(
    sitter: Sitter,
    seat: Seat,
    load_n: float | None = None,
    law: TissueLaw = TISSUE,
    start: Pose | None = None,
) -> Sitting:
    """Press a sitter that is laid over the blank onto a seat of that blank; `start` is a pose to begin from."""
    grid, fields = sitter.grid, sitter.fields
    x, y = sitter.cells_mm
    area = grid.cell_area_mm2 * grid.wood.ravel()
    gap = fields.skin + seat.depth_mm(grid.x_mm[None, :], grid.y_mm[:, None]).ravel()
    near = (area > 0) & (gap < gap[area > 0].min(initial=np.inf) + FARTHEST_GAP_MM)
    layer = Layer(x[near], y[near], gap[near], area[near], TissueBed(law, fields.backing.part(near)))
    solution = balance(layer, _load(sitter, load_n), start)
    sink = solution.value.sink_mm(x, y)
    bed = TissueBed(law, fields.backing)
    pressure = np.where(area > 0, bed.response(sink - gap)[0], 0.0)
    most = float(np.max(bed.compression(sink - gap), where=area > 0, initial=0.0))
    verdict = _verdict(solution, most)
    shape = grid.wood.shape
    return Sitting(
        body=sitter.body,
        seat=seat,
        posture=sitter.posture,
        x_mm=grid.x_mm,
        y_mm=grid.y_mm,
        pressure_kpa=(pressure * KPA_PER_MPA).reshape(shape),
        skin_mm=(fields.skin - sink).reshape(shape),
        bone_mm=(fields.bone - sink).reshape(shape),
        wood=grid.wood,
        pose=solution.value,
        verdict=verdict,
        figures=figures_of(sitter, seat, pressure * area, replace(solution, verdict=verdict)),
    )


def _load(sitter: Sitter, load_n: float | None) -> Load:
    own = sitter.load
    force = own.force_n if load_n is None else load_n
    return Load(force, sitter.at_mm[0] + own.x_mm, sitter.at_mm[1] + own.y_mm)


def _verdict(solution: Solution[Pose], most_compression: float) -> str:
    if solution.converged and most_compression > PRESSED_THROUGH:
        return (
            f"the load presses the tissue to {1.0 - most_compression:.0%} of its thickness, past what the model "
            "knows; use a smaller load or a deeper seat"
        )
    return solution.verdict
