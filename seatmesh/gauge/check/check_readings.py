"""What readings tell of a carving: point by point, left against right, ripples, what to cut next, is it done."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass

import numpy as np
from scipy.spatial import KDTree

from seatmesh.arrays import Bools, Floats
from seatmesh.errors import FileRefusedError, InputError, ValueRefusedError
from seatmesh.gauge.bar.crossings import COARSEST_MM, FINEST_MM, crossings
from seatmesh.gauge.bar.rod_gauge import Gauge, Lie
from seatmesh.gauge.check.fair.fair_surface import FEWEST, FairSurface
from seatmesh.gauge.check.fair.ripples import Ripple, ripples
from seatmesh.gauge.check.further.further_readings import Further, further_readings
from seatmesh.gauge.check.further.next_cuts import CELL_MM, Cut, Field, field_of, next_cuts
from seatmesh.gauge.check.judged_readings import judged, left_against_right_of, spacing_of
from seatmesh.gauge.check.left_right import LeftRight
from seatmesh.gauge.check.verdict import (
    LIKELY,
    MISREAD,
    QUESTIONED,
    SURE,
    TAKE,
    TOO_DEEP,
    WITHIN,
)
from seatmesh.gauge.readings.readings import Readings, readings_on
from seatmesh.gauge.readings.readings_file import Row
from seatmesh.surface import Seat
from seatmesh.units import real_number, shown

TOLERANCE_MM = 0.5
LEAST_TOLERANCE_MM, MOST_TOLERANCE_MM = 0.05, 10.0
NEARLY_DONE_MM = 2.0
"""Ripples are looked for where the wood is as near to the seat as this: before that its shape is still the rough's."""
SEEN_SPACINGS = 0.75
"""So many spacings from any reading the hollow counts as not read; middles between crossings are 0.71 off."""
SEEN_SHARE = 0.9
REACHED = 0.01
CARVED_MM = 0.3


@dataclass(frozen=True)
class GaugeCheck:
    """What readings tell.

    Attributes
    ----------
    seat
        The seat or stage that they were compared with.
    readings
        All readings; arrays below have shape (n,) over them.
    tolerance_mm
        How far from the seat counts as done.
    state, why
        "take", "done", "too_deep", "misread" or "questioned"; "" where nothing was read. What to do about a
        questioned one.
    fair_to_take_mm, error_mm
        Wood to take by all that is known of a crossing, and its standard error.
    confirmed
        Readings that another one of the same crossing confirms.
    scatter_mm
        Scatter of the readings.
    surface
        The fair surface through the sound readings' differences from the seat, positive where deeper.
    field
        The same everywhere.
    seen
        Share of the hollow that has a reading nearby.
    unread_mm
        Middle (x, y) of what was not read; None where all was.
    gap_mm
        Width of the widest hole that fits between four crossings of the grid.
    unfinished
        Why it is not finished, in words; empty when it is.

    Examples
    --------
    >>> from seatmesh import Adjustment, Gauge, Row, Seat, check_readings, gauge_sheet
    >>> seat = Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 10.0),))
    >>> sheet = gauge_sheet(seat, 40.0, Gauge(bar_height_mm=60.0))
    >>> rows = [
    ...     Row(n, one.point, one.x_mm, one.y_mm, one.expected_mm, one.expected_mm, one.datum_mm)
    ...     for n, one in enumerate(sheet.crossings, 2)
    ... ]
    >>> check = check_readings(seat, rows)
    >>> check.finished, set(check.state)
    (True, {'done'})
    """

    seat: Seat
    readings: Readings
    tolerance_mm: float
    state: tuple[str, ...]
    why: tuple[str, ...]
    fair_to_take_mm: Floats
    error_mm: Floats
    confirmed: Bools
    scatter_mm: float
    surface: FairSurface
    field: Field
    left_right: LeftRight
    ripples: tuple[Ripple, ...]
    cuts: tuple[Cut, ...]
    further: tuple[Further, ...]
    seen: float
    unread_mm: tuple[float, float] | None
    gap_mm: float
    unfinished: tuple[str, ...]

    @property
    def finished(self) -> bool:
        """Whether the carving is within the tolerance everywhere, even, and fair."""
        return not self.unfinished


def check_readings(
    seat: Seat,
    rows: Sequence[Row],
    tolerance_mm: float = TOLERANCE_MM,
    where: str = "readings",
    lie: Lie | None = None,
) -> GaugeCheck:
    """Check readings against the seat, or the stage, that their sheet was made for.

    `lie` is how the bar lay where the rows state no placing: see `seatmesh.gauge.readings.readings.readings_on`.

    Raises
    ------
    ValueRefusedError
        The tolerance is out of range.
    FileRefusedError
        Nothing was read, or something cannot be meant; see `seatmesh.gauge.readings.readings.readings_on`.

    Examples
    --------
    >>> from seatmesh import Adjustment, Gauge, Row, Seat, check_readings, gauge_sheet
    >>> seat = Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 10.0),))
    >>> sheet = gauge_sheet(seat, 40.0, Gauge(bar_height_mm=60.0))
    >>> def read(one):  # the wood stands up to 1 mm proud of the seat
    ...     return max(one.datum_mm, one.expected_mm - 1.0)
    >>> rows = [
    ...     Row(n, one.point, one.x_mm, one.y_mm, one.expected_mm, read(one), one.datum_mm)
    ...     for n, one in enumerate(sheet.crossings, 2)
    ... ]
    >>> check = check_readings(seat, rows)
    >>> check.finished, "take" in check.state, len(check.cuts) > 0
    (False, True, True)
    """
    if not LEAST_TOLERANCE_MM <= real_number("tolerance_mm", tolerance_mm) <= MOST_TOLERANCE_MM:
        raise ValueRefusedError(
            "tolerance_mm",
            shown(tolerance_mm),
            f"allowed is {LEAST_TOLERANCE_MM:g} to {MOST_TOLERANCE_MM:g} mm",
            "give 0.5, or more for a stage",
        )
    readings = readings_on(seat, rows, where, lie)
    if not readings.read.any():
        raise FileRefusedError(f"{where}: no reading is typed in yet; fill in the column reading_mm.")
    found = judged(seat, readings, tolerance_mm)
    surface, said = found.surface, found.verdict
    even = left_against_right_of(readings, found)
    waves = _ripples(seat, surface)
    spacing = spacing_of(readings.x_mm, readings.y_mm)
    near = min(spacing_of(readings.x_mm[readings.read], readings.y_mm[readings.read]), 2.0 * spacing)
    take_there = np.array([word == TAKE for word in said.state])
    most = np.maximum(np.minimum(said.to_take_mm, readings.to_take_mm) - WITHIN * said.error_mm, 0.0)
    use = readings.read & np.array([word != MISREAD for word in said.state])
    at = (readings.x_mm[use], readings.y_mm[use])
    field = field_of(seat, surface, near, at, take_there[use], most[use], (LIKELY, SURE))
    seen, unread = _seen(seat, at, spacing)
    return GaugeCheck(
        seat=seat,
        readings=readings,
        tolerance_mm=tolerance_mm,
        state=said.state,
        why=said.why,
        fair_to_take_mm=said.to_take_mm,
        error_mm=said.error_mm,
        confirmed=found.again.confirmed,
        scatter_mm=found.noise_mm,
        surface=surface,
        field=field,
        left_right=even,
        ripples=waves,
        cuts=next_cuts(field, tolerance_mm),
        further=further_readings(seat, readings, surface, said, tolerance_mm, spacing),
        seen=seen,
        unread_mm=unread,
        gap_mm=float(np.sqrt(2.0)) * near,
        unfinished=_unfinished(readings, said.state, even, waves, tolerance_mm)
        + _unread(seat, readings, seen, spacing),
    )


def _ripples(seat: Seat, surface: FairSurface) -> tuple[Ripple, ...]:
    places = surface.places
    if len(places.x_mm) < FEWEST:
        return ()
    near = np.abs(surface.at(places.x_mm, places.y_mm)) <= NEARLY_DONE_MM
    carved = near & (seat.depth_mm(places.x_mm, places.y_mm) > 0.0)
    return ripples(places, surface.values_mm, carved, surface.noise_mm, surface.fair_ratio, surface.shared)


def _seen(
    seat: Seat, at_mm: tuple[Floats, Floats], spacing_mm: float
) -> tuple[float, tuple[float, float] | None]:
    """Return the share of the hollow that has a reading nearby, and where most of the rest lies; None without any."""
    x, y = np.broadcast_arrays(*seat.blank.grid_mm(CELL_MM))
    hollow = (seat.depth_mm(x, y) > CARVED_MM) & (seat.blank.inside_mm(x, y) > 0.0)
    if not hollow.any():
        return 1.0, None
    apart = np.zeros(hollow.shape)
    apart[hollow] = KDTree(np.column_stack(at_mm)).query(np.column_stack([x[hollow], y[hollow]]))[0]
    unread = hollow & (apart > SEEN_SPACINGS * spacing_mm)
    if not unread.any():
        return 1.0, None
    # The front roll is lower than any hollow, and is no hollow: it is named only where nothing else is unread.
    behind = unread & (y <= seat.roll_start_mm)
    named = behind if behind.any() else unread
    deepest = np.unravel_index(int(np.argmax(np.where(named, seat.depth_mm(x, y), -1.0))), hollow.shape)
    return 1.0 - float(unread.sum() / hollow.sum()), (float(x[deepest]), float(y[deepest]))


def _could_be_seen(seat: Seat, readings: Readings, spacing_mm: float) -> float:
    """Return the share of the hollow that a whole sheet of such a grid would have a reading nearby of."""
    across = float(np.mean(readings.bars.placings.across)) >= 0.5
    at = (readings.x_mm, readings.y_mm)
    with suppress(InputError):
        spacing = float(np.clip(spacing_mm, FINEST_MM, COARSEST_MM))
        found, _ = crossings(seat, spacing, Gauge(60.0, 0.0, lie="across" if across else "along"))
        at = (np.array([one.x_mm for one in found]), np.array([one.y_mm for one in found]))
    return _seen(seat, at, spacing_mm)[0]


def _unread(seat: Seat, readings: Readings, seen: float, spacing_mm: float) -> tuple[str, ...]:
    """Say that too little of the hollow was read, where more of it can be.

    Where the bar cannot reach, no further reading would ever finish the seat: that is told, and left to the hand.
    """
    if seen >= SEEN_SHARE or seen >= _could_be_seen(seat, readings, spacing_mm) - REACHED:
        return ()
    return (f"only {seen:.0%} of the hollow has been read",)


def _unfinished(
    readings: Readings,
    state: Sequence[str],
    even: LeftRight,
    waves: Sequence[Ripple],
    tolerance: float,
) -> tuple[str, ...]:
    why = []
    for name, words in ((TAKE, "still too high"), (TOO_DEEP, "too deep"), (QUESTIONED, "questioned")):
        points = {int(p) for p, one in zip(readings.point, state, strict=True) if one == name}
        if count := len(points):
            why.append(f"{count} point{'s' if count > 1 else ''} {words}")
    if even.differs and even.left_minus_right_mm is not None and abs(even.left_minus_right_mm) > tolerance:
        why.append(f"left and right differ by {abs(even.left_minus_right_mm):.1f} mm")
    if waves:
        why.append(f"{len(waves)} ripple{'s' if len(waves) > 1 else ''} that a hand would feel")
    return tuple(why)
