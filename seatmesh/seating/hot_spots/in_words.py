"""Hot spots: where a sitter is pressed hard, why, and what to carve against it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.adjustment import Adjustment
from seatmesh.seating.figures import FELT_SHARE
from seatmesh.seating.hot_spots.advice import action_for
from seatmesh.seating.hot_spots.causes import cause_of
from seatmesh.seating.hot_spots.spots import Spot, spots_of
from seatmesh.seating.sitter import Sitter
from seatmesh.seating.sitting import Sitting
from seatmesh.surface import Seat

TWIN_MM = 8.0
"""How far from the mirror image of a spot its twin may lie: two cells of the grid."""


@dataclass(frozen=True)
class HotSpot:
    """A spot that presses hot, why, and what to do about it.

    Attributes
    ----------
    x_mm, y_mm
        Its middle, in the frame of the blank.
    peak_kpa
        Greatest mean over a square of 10 x 10 mm.
    area_cm2
        Connected area round the peak that presses at least three quarters of it.
    cause
        One of `seatmesh.seating.hot_spots.causes.CAUSES`.
    adjustment
        What to carve; None where nothing that was tried helps.
    lowered_kpa
        The peak that this leaves at the spot, pressed again.
    """

    x_mm: float
    y_mm: float
    peak_kpa: float
    area_cm2: float
    cause: str
    adjustment: Adjustment | None = None
    lowered_kpa: float | None = None


def find_hot_spots(sitter: Sitter, seat: Seat, sitting: Sitting) -> tuple[HotSpot, ...]:
    """Return the hot spots of a sitter pressed on a seat, the hottest first, each with its cause and advice.

    `sitting` is what `press(sitter, seat, ...)` returned; without balance it has no spots.
    """
    spots = spots_of(sitting)
    found: dict[Spot, HotSpot] = {}
    for spot in spots:
        if spot in found:
            continue
        twins = (spot, *(other for other in spots if other is not spot and _are_twins(spot, other)))[:2]
        others = [other for other in spots if other not in twins]
        action = action_for(twins, others, sitter, seat, sitting)
        for number, one in enumerate(twins):
            cause = cause_of(one, sitter, seat, sitting)
            found[one] = HotSpot(one.x_mm, one.y_mm, one.peak_kpa, one.area_cm2, cause)
            if action is not None:
                found[one] = HotSpot(
                    one.x_mm,
                    one.y_mm,
                    one.peak_kpa,
                    one.area_cm2,
                    cause,
                    action.adjustment,
                    action.peaks_kpa[number],
                )
    return tuple(found[spot] for spot in spots)


def _are_twins(spot: Spot, other: Spot) -> bool:
    """Tell whether two spots mirror each other at the centre line, and press alike as far as can be felt."""
    mirrored = float(np.hypot(spot.x_mm + other.x_mm, spot.y_mm - other.y_mm)) <= TWIN_MM
    alike = abs(spot.peak_kpa - other.peak_kpa) <= FELT_SHARE * max(spot.peak_kpa, other.peak_kpa)
    return mirrored and alike
