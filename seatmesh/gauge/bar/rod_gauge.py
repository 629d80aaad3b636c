"""The rod gauge: a straight bar on two points of wood, and a rod in it that tells how far down the wood is.

At a crossing that lies the share t of the way from the first rest to the second,

    reading = bar height + rod offset + h + depth,      h = (1 - t) h_first + t h_second

with `depth` of the wood below the blank's top face (positive down) and h the height of the line between the two rests
above that face (positive up, 0 on uncut wood). The bar height is how far the bar's datum stands above its feet; the
rod offset is what the rod shows with its tip level with the datum: positive where it shows too much. The rod is taken
as square to the top face; square to a bar that slopes 1 in 20 it would read 0.13 % less. Plain geometry.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import NotAmongError, ValueRefusedError
from seatmesh.surface import Seat
from seatmesh.units import real_number, shown

Lie = Literal["across", "along"]
LIES: tuple[Lie, ...] = ("across", "along")

MOST_LENGTH_MM = 1000.0
STEEPEST = 0.05
"""Slope of the bar up to which a rod square to it reads as one square to the top face."""
EDGE_MM = 4.0
"""How far inside the outline a foot of the bar stands unless its place is stated: edges bruise (common practice)."""
UNCUT_MM = 0.02
"""Depth up to which wood counts as uncut."""
SEARCH_MM = 1.0


@dataclass(frozen=True)
class Gauge:
    """A rod gauge, as it lies on the seat.

    Attributes
    ----------
    bar_height_mm, rod_offset_mm
        How far the bar's datum stands above its feet; what the rod shows with its tip at the datum.
    lie
        "across": over a row of crossings, the first rest on the sitter's left; "along": over a column, the first rest
        at the rear.
    rests_mm
        Where the two rests stand on every row or column: x of left and right, or y of rear and front. None looks for
        uncut wood as far out as there is.
    rest_heights_mm
        How high the wood (or a packing piece) under each rest stands above the blank's top face; negative below.

    Raises
    ------
    ValueRefusedError
        A length is no number or out of range, rests are not in order, or the bar would slope too much.

    Examples
    --------
    >>> from seatmesh import Gauge, flat_seat, gauge_sheet
    >>> sheet = gauge_sheet(flat_seat(), 50.0, Gauge(bar_height_mm=60.0, rod_offset_mm=5.0))
    >>> {crossing.expected_mm for crossing in sheet.crossings}
    {65.0}
    """

    bar_height_mm: float
    rod_offset_mm: float = 0.0
    lie: Lie = "across"
    rests_mm: tuple[float, float] | None = None
    rest_heights_mm: tuple[float, float] = (0.0, 0.0)

    def __post_init__(self) -> None:
        _length("bar_height_mm", self.bar_height_mm, 0.0)
        _length("rod_offset_mm", self.rod_offset_mm, -MOST_LENGTH_MM)
        if self.lie not in LIES:
            raise NotAmongError("lie", shown(self.lie), ("across", "along"))
        for height in self.rest_heights_mm:
            _length("rest_heights_mm", height, -100.0, 100.0)
        if self.rests_mm is not None:
            for rest in self.rests_mm:
                _length("rests_mm", rest, -MOST_LENGTH_MM)
            if not self.rests_mm[1] - self.rests_mm[0] >= 50.0:
                raise ValueRefusedError(
                    "rests_mm",
                    shown(self.rests_mm),
                    "the second rest is at least 50 mm beyond the first",
                    "give left before right, or rear before front",
                )

    def datum_mm(self, along_mm: Floats, first_mm: Floats, second_mm: Floats) -> Floats:
        """Return what the rod reads on the blank's top face (depth 0) at places along the bar.

        `along_mm` is x of a bar across and y of one along, `first_mm` and `second_mm` where its rests stand; they
        broadcast. The depth is added to this.
        """
        share = (along_mm - first_mm) / (second_mm - first_mm)
        low, high = self.rest_heights_mm
        return np.asarray(self.bar_height_mm + self.rod_offset_mm + (1.0 - share) * low + share * high)

    def refuse_slope(self, span_mm: float) -> None:
        """Refuse heights that would tilt the bar more than `STEEPEST` over a span."""
        low, high = self.rest_heights_mm
        if abs(high - low) > STEEPEST * span_mm:
            raise ValueRefusedError(
                "rest_heights_mm",
                shown(self.rest_heights_mm),
                f"over {span_mm:.0f} mm they may differ by {STEEPEST * span_mm:.1f} mm at most",
                "pack up the lower rest",
            )


def uncut_rests(seat: Seat, lie: Lie, at_mm: float) -> tuple[float, float] | None:
    """Return the outermost two places of uncut wood under a bar, one in either half; None where there are none.

    The bar lies across at y = `at_mm` or along at x = `at_mm`. Uncut is what the seat leaves at depth 0.
    """
    half, blank = 0.5 * seat.blank.width_mm, seat.blank
    along = (
        np.arange(-np.floor(half), np.floor(half) + SEARCH_MM, SEARCH_MM)
        if lie == "across"
        else np.arange(0.0, np.floor(blank.depth_mm) + SEARCH_MM, SEARCH_MM)
    )
    x, y = (along, np.full_like(along, at_mm)) if lie == "across" else (np.full_like(along, at_mm), along)
    stands = (blank.inside_mm(x, y) >= EDGE_MM) & (seat.depth_mm(x, y) <= UNCUT_MM)
    middle = 0.0 if lie == "across" else 0.5 * blank.depth_mm
    first, second = along[stands & (along < middle)], along[stands & (along > middle)]
    return (float(first[0]), float(second[-1])) if len(first) and len(second) else None


def _length(name: str, given: object, least: float, most: float = MOST_LENGTH_MM) -> None:
    value = real_number(name, given)
    if not least <= value <= most:
        raise ValueRefusedError(name, shown(given), f"allowed is {least:g} to {most:g} mm", "give it in mm")
