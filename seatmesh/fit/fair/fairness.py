"""Fairness: undulations of a carved surface beyond those that wishes and joints call for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from seatmesh.arrays import Floats
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.drilled import Cells
from seatmesh.wood.joint import greatest_depth

STATION_MM = 20.0
STEP_MM = 2.0
FELT_SLOPE = 0.01
"""Change of slope, to and fro, that a hand notices: a ripple of 0.25 mm crest to trough over 80 mm; common practice
is to take undulations down to less than half a millimetre."""
ACROSS = 4
"""Turns of slope that a hollow has of itself across: two walls, and the two flanks of the ridge between the thighs."""
ALONG = 4
"""And along: the wall at the rear, the rise under the thighs, the fall into the leg hollow and its end at the roll."""
OUTER_ALONG, OUTER_MM = 6, 65.0
"""So near to the blank's sides a station runs along the rim: past its rear corner, and in and out of the flanks that
hips and thighs leave there."""


JOINT = 2
"""And over a rise that wood round a joint calls for: its two flanks."""
HELD_MM = 1.0
"""A surface this near to the depth that a joint allows is held up by it: bounds on coefficients stay that far off."""
FLANK_MM = 48.0
"""How far beyond such a place its flank may run. A strip as stiff as the fit's at its least fairness, lifted at one
place, is back to 0.04 of it so far off: a beam on springs that resists bending and the change of bending."""


@dataclass(frozen=True)
class _Station:
    """A profile along a station, the places near each patch where a joint holds it up, and its own turns."""

    depth: Floats
    near: tuple[NDArray[np.bool_], ...]
    own: int

    def beyond(self, turns: list[int]) -> int:
        """Return how many of some turns are more than its own and those that the patches near it call for."""
        left = turns
        for patch in self.near:
            called = [at for at in left if patch[at]][:JOINT]
            left = [at for at in left if at not in called]
        return max(0, len(left) - self.own)


def undulations(seat: Seat) -> int:
    """Count the turns of slope beyond the hollow's own, along stations across and along, over the whole hollow.

    The hollow's own are `ACROSS` and `ALONG` (near the sides `OUTER_ALONG`). Called for besides are, on each station,
    up to `JOINT` turns near each patch where a joint holds the surface up: within `FLANK_MM` of it. A joint that the
    surface stays clear of calls for none.
    """
    return sum(one.beyond(turns_at(one.depth, STEP_MM)) for one in _stations(seat))


def waviness(seat: Seat) -> float:
    """Return the least change of slope that, were less not felt, would leave no undulation.

    `undulations` are none just where it is at most `FELT_SLOPE`; unlike their number it changes steadily with the
    surface.
    """
    return max(_waviness(one) for one in _stations(seat))


def _waviness(station: _Station) -> float:
    """Take the least rise or fall of slope out of a station, again and again, until no turn is too many."""
    slopes = np.diff(station.depth) / STEP_MM
    places = _extremes(slopes)
    taken = 0.0
    while station.beyond(places[1:-1]) > 0:
        swings = np.abs(np.diff(slopes[places]))
        least = int(np.argmin(swings))
        taken = max(taken, float(swings[least]))
        if least == 0:
            places = places[1:]
        elif least == len(swings) - 1:
            places = places[:-1]
        else:
            places = places[:least] + places[least + 2 :]
    return taken


def _extremes(slopes: Floats) -> list[int]:
    """Return the first sample, those where the slope turns round, and the last."""
    change = np.diff(slopes)
    moved = np.flatnonzero(change)
    turned = np.flatnonzero(np.diff(np.sign(change[moved]))) + 1
    return [0, *moved[turned].tolist(), len(slopes) - 1]


def _stations(seat: Seat) -> Iterator[_Station]:
    """Yield the stations of a seat, its gutter left out: that is called for, and cut with its own tool."""
    blank = replace(seat.blank, gutter_depth_mm=0.0)
    x, y = _samples(blank, seat.front_roll_mm)
    depth = replace(seat, blank=blank).depth_mm(x[None, :], y[:, None])
    near = _near_joints(seat, depth)
    every = int(STATION_MM / STEP_MM)
    for i in range(0, len(y), every):
        yield _Station(depth[i], tuple(one[i] for one in near), ACROSS)
    # From the centre line outward, so that stations lie alike on both sides.
    middle = len(x) // 2
    for k in range(-(middle // every), middle // every + 1):
        j = middle + k * every
        outer = 0.5 * blank.width_mm - abs(float(x[j])) < OUTER_MM
        own = OUTER_ALONG if outer else ALONG
        yield _Station(depth[:, j], tuple(one[:, j] for one in near), own)


def _samples(blank: Blank, roll_mm: float) -> tuple[Floats, Floats]:
    """Return the columns, alike on both sides, and the rows at which a seat is looked at."""
    x = np.arange(0.0, 0.5 * blank.width_mm, STEP_MM)
    return np.concatenate([-x[:0:-1], x]), np.arange(blank.hollow_start_mm, blank.depth_mm - roll_mm, STEP_MM)


def _near_joints(seat: Seat, depth: Floats) -> list[NDArray[np.bool_]]:
    """Return, for each patch where a joint holds the surface up, the samples near it, shape (ny, nx)."""
    if not seat.blank.joints:
        return []
    allowed, hollowed = _left_by_joints(seat.blank, seat.front_roll_mm)
    columns, rows = _samples(seat.blank, seat.front_roll_mm)
    # Where the spline runs on above the wood nothing would be carved anyway.
    spline = depth if seat.hollow is None else seat.hollow(columns[None, :], rows[:, None])
    held = (np.where(depth > 0.0, depth, spline) > allowed - HELD_MM) & hollowed
    labels, count = ndimage.label(held, structure=np.ones((3, 3)))
    patches = (labels == number for number in range(1, count + 1))
    return [ndimage.distance_transform_edt(~patch) * STEP_MM <= FLANK_MM for patch in patches]


@lru_cache(maxsize=16)
def _left_by_joints(blank: Blank, roll_mm: float) -> tuple[Floats, NDArray[np.bool_]]:
    """Return the depth that joints allow at every sample, and which lie ahead of the deck line."""
    columns, rows = np.meshgrid(*_samples(blank, roll_mm))
    left = blank.greatest_depth_mm - blank.underside_rise_mm(columns, rows)
    allowed = greatest_depth(blank.joints, Cells(columns, columns, rows, rows), left, blank.wood())
    return np.maximum(allowed, 0.0), blank.ahead_of_deck_mm(columns, rows) > 0.0


def slope_turns(profile: Floats, step_mm: float, felt: float = FELT_SLOPE) -> int:
    """Count the places where the slope of a profile turns round, that is where its curvature changes sign.

    A turn counts once the slope has come back from it by `felt`; a ripple on a steep wall has no crest, yet the hand
    finds it, and so does this.
    """
    return len(turns_at(profile, step_mm, felt))


def turns_at(profile: Floats, step_mm: float, felt: float = FELT_SLOPE) -> list[int]:
    """Return which samples of a profile those are that `slope_turns` counts: where the slope was at its extreme."""
    slopes = (np.diff(profile) / step_mm).tolist()
    out: list[int] = []
    direction, extreme, at = 0, slopes[0], 0
    lowest, highest = slopes[0], slopes[0]
    for place, value in enumerate(slopes[1:], start=1):
        if direction == 0:
            lowest, highest = min(lowest, value), max(highest, value)
            if value - lowest > felt or highest - value > felt:
                direction, extreme, at = (1 if value - lowest > felt else -1), value, place
        elif (value - extreme) * direction >= 0:
            extreme, at = value, place
        elif abs(value - extreme) > felt:
            out.append(at)
            direction, extreme, at = -direction, value, place
    return out
