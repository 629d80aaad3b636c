"""Stages on the way to a seat: fair surfaces for a first seat that is carved and sat in by turns."""

from __future__ import annotations

from dataclasses import replace

from seatmesh.errors import ValueRefusedError
from seatmesh.surface import Seat

USUAL = (0.5, 0.8, 1.0)


def stage(seat: Seat, share: float) -> Seat:
    """Return the seat carved to a share of its depth everywhere, front roll last.

    A share of a fair surface is fair, and where the finished seat keeps its floor so does every stage.

    Raises
    ------
    ValueRefusedError
        For a share that is not above 0 and at most 1.

    Examples
    --------
    >>> from seatmesh import Adjustment, Seat, stage
    >>> seat = Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 10.0),))
    >>> float(stage(seat, 0.5).depth_mm(0.0, 200.0))
    5.0
    """
    if not 0.0 < share <= 1.0:
        raise ValueRefusedError(
            "stage", f"{share:g}", "above 0 and at most 1", "give 0.5 for half of the depth"
        )
    if share == 1.0:
        return seat
    hollow = seat.hollow
    if hollow is not None:
        hollow = replace(hollow, coefficients=hollow.coefficients * share)
    changes = tuple(replace(one, amount_mm=one.amount_mm * share) for one in seat.adjustments)
    title = f"{seat.title}, {share:.0%}"
    return replace(seat, hollow=hollow, adjustments=changes, front_roll_mm=0.0, title=title)


def stages(seat: Seat, shares: tuple[float, ...] = USUAL) -> tuple[Seat, ...]:
    """Return the seat at each of several stages."""
    return tuple(stage(seat, share) for share in shares)
