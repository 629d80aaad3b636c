"""Sit a body on a seat, and say all that is known of it."""

from __future__ import annotations

import numpy as np

from seatmesh.body.body import Body
from seatmesh.contact import Pose
from seatmesh.errors import ValueRefusedError
from seatmesh.seating.figures_in_words import figures_of
from seatmesh.seating.settle import settle
from seatmesh.seating.sitter import Sitter, lay_over
from seatmesh.seating.sitting import Sitting
from seatmesh.surface import Seat
from seatmesh.tissue import TISSUE, TissueLaw

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
        One of `seatmesh.body.figure.posture.POSTURES`.
    at_mm
        How far to the sitter's right and forward of the usual place.

    Raises
    ------
    UnknownKeyError
        For a posture that is none.
    ValueRefusedError
        For a load that is not a number from above 0 to `MOST_LOAD_N`, or a place that is not finite.

    Examples
    --------
    >>> from seatmesh import estimate_body, flat_seat, sit
    >>> body = estimate_body("male", 1740, 69)
    >>> upright, slouched = sit(body, flat_seat()), sit(body, flat_seat(), posture="slouched")
    >>> upright.converged and slouched.converged
    True
    >>> slouched.figures.tailbone_clearance_mm < upright.figures.tailbone_clearance_mm
    True
    """
    check_load(load_n)
    if not np.all(np.isfinite(at_mm)):
        raise ValueRefusedError("at_mm", at_mm, "two finite lengths", "give mm to the right and forward")
    return press(lay_over(body, seat, posture, at_mm), seat, load_n)


def check_load(load_n: float | None) -> None:
    """Refuse a load that is not a number from above 0 to `MOST_LOAD_N`."""
    if load_n is not None and not (np.isfinite(load_n) and 0 < load_n <= MOST_LOAD_N):
        raise ValueRefusedError(
            "load_n", load_n, f"above 0 and at most {MOST_LOAD_N:g} N", "give the force in newtons"
        )


def press(
    sitter: Sitter,
    seat: Seat,
    load_n: float | None = None,
    law: TissueLaw = TISSUE,
    start: Pose | None = None,
) -> Sitting:
    """Press a sitter that is laid over the blank onto a seat of that blank; `start` is a pose to begin from."""
    settled = settle(sitter, seat, load_n, law, start)
    grid = sitter.grid
    shape = grid.wood.shape
    return Sitting(
        body=sitter.body,
        seat=seat,
        posture=sitter.posture,
        x_mm=grid.x_mm,
        y_mm=grid.y_mm,
        pressure_kpa=settled.pressure_kpa,
        skin_mm=(sitter.skin - settled.sink_mm).reshape(shape),
        bone_mm=(sitter.bone - settled.sink_mm).reshape(shape),
        wood=grid.wood,
        pose=settled.solution.value,
        verdict=settled.solution.verdict,
        figures=figures_of(sitter, seat, settled),
    )
