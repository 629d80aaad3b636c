"""What a change of the seat does to a sitter's pressure."""

from __future__ import annotations

from seatmesh.body.body import Body
from seatmesh.seating.figures import FELT_SHARE
from seatmesh.seating.settle import settle
from seatmesh.seating.sitter import lay_over
from seatmesh.surface import Seat


def pressure_effect(body: Body, before: Seat, after: Seat) -> dict[str, float | str]:
    """Return the peak over 1 cm2 on both seats, kPa, and the change in shares of the first.

    Less than `FELT_SHARE` is not felt (S13).
    """
    sitter = lay_over(body, before)
    was, now = settle(sitter, before), settle(sitter, after)
    change = now.peak_kpa / was.peak_kpa - 1.0
    return {
        "body": body.name,
        "before_kpa": round(was.peak_kpa, 2),
        "after_kpa": round(now.peak_kpa, 2),
        "change": round(change, 4),
        "words": f"{body.name}: peak {was.peak_kpa:.1f} kPa before, {now.peak_kpa:.1f} kPa after"
        + (", which cannot be felt" if abs(change) < FELT_SHARE else f" ({change:+.0%})"),
    }
