"""What readings tell of a carving: point by point, left against right, ripples, what to cut next, is it done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import KDTree

from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.gauge.check.fair_surface import FEWEST, FairSurface
from seatmesh.gauge.check.further_readings import Further, further_readings
from seatmesh.gauge.check.left_right import LeftRight, left_against_right
from seatmesh.gauge.check.next_cuts import CELL_MM, Cut, Field, field_of, next_cuts
from seatmesh.gauge.check.questioned_readings import without_misread
from seatmesh.gauge.check.ripples import Ripple, ripples
from seatmesh.gauge.readings.readings import Readings, readings_on
from seatmesh.gauge.readings.readings_file import Row
from seatmesh.surface import Seat
from seatmesh.units import real_number, shown

Floats = NDArray[np.float64]

TOLERANCE_MM = 0.5
LEAST_TOLERANCE_MM, MOST_TOLERANCE_MM = 0.05, 10.0
TAKE, DONE, TOO_DEEP, MISREAD = "take", "done", "too_deep", "misread"
USUAL_SPACING_MM = 25.0
NEARLY_DONE_MM = 2.0
"""Ripples are looked for where the wood is as near to the seat as this: before that its shape is still the rough's."""
SEEN_MM = 40.0
"""Farther than this from any reading the hollow counts as not read."""
SEEN_SHARE = 0.9
CARVED_MM = 0.3


@dataclass(frozen=True)
class GaugeCheck:
    """What readings tell.

    Attributes
    ----------
    seat
        The seat or stage that they were compared with.
    readings
        All crossings; arrays below have shape (n,) over them.
    tolerance_mm
        How far from the seat counts as done.
    state
        "take", "done", "too_deep" or "misread"; "" where nothing was read.
    fair_to_take_mm
        Wood to take under the fair surface.
    surface
        The fair surface through the sound readings' differences from the seat, positive where deeper.
    field
        The same everywhere.
    seen
        Share of the hollow that has a reading nearby.
    unfinished
        Why it is not finished, in words; empty when it is.
    """

    seat: Seat
    readings: Readings
    tolerance_mm: float
    state: tuple[str, ...]
    fair_to_take_mm: Floats
    surface: FairSurface
    field: Field
    left_right: LeftRight
    ripples: tuple[Ripple, ...]
    cuts: tuple[Cut, ...]
    further: tuple[Further, ...]
    seen: float
    unfinished: tuple[str, ...]

    @property
    def finished(self) -> bool:
        """Whether the carving is within the tolerance everywhere, even, and fair."""
        return not self.unfinished


def check_readings(
    seat: Seat, rows: Sequence[Row], tolerance_mm: float = TOLERANCE_MM, where: str = "readings"
) -> GaugeCheck:
    """Check readings against the seat, or the stage, that their sheet was made for.

    Raises
    ------
    ValueRefusedError
        The tolerance is out of range.
    FileRefusedError
        Nothing was read, or something cannot be meant; see `seatmesh.gauge.readings.readings.readings_on`.
    """
    if not LEAST_TOLERANCE_MM <= real_number("tolerance_mm", tolerance_mm) <= MOST_TOLERANCE_MM:
        raise ValueRefusedError(
            "tolerance_mm",
            shown(tolerance_mm),
            f"allowed is {LEAST_TOLERANCE_MM:g} to {MOST_TOLERANCE_MM:g} mm",
            "give 0.5, or more for a stage",
        )
    readings = readings_on(seat, rows, where)
    read = np.flatnonzero(readings.read)
    if not len(read):
        raise FileRefusedError(f"{where}: no reading is typed in yet; fill in the column reading_mm.")
    x, y, off = readings.x_mm[read], readings.y_mm[read], -readings.to_take_mm[read]
    sound = without_misread(x, y, off)
    surface, misread = sound.surface, np.zeros(len(readings.point), dtype=bool)
    misread[read] = ~sound.sound
    take = -surface.at(readings.x_mm, readings.y_mm)
    state = _states(readings, take, misread, tolerance_mm)
    even = left_against_right(
        readings.point,
        (readings.x_mm, readings.y_mm),
        np.where(misread, np.nan, -readings.to_take_mm),
        readings.pair,
        readings.left_proud_mm,
        surface.noise_mm,
    )
    waves = _ripples(seat, surface)
    spacing = spacing_of(readings.x_mm, readings.y_mm)
    field = field_of(seat, surface, min(spacing_of(x, y), 2.0 * spacing))
    seen = _seen(seat, surface)
    return GaugeCheck(
        seat=seat,
        readings=readings,
        tolerance_mm=tolerance_mm,
        state=state,
        fair_to_take_mm=take,
        surface=surface,
        field=field,
        left_right=even,
        ripples=waves,
        cuts=next_cuts(field, tolerance_mm),
        further=further_readings(seat, readings, surface, misread, tolerance_mm, spacing),
        seen=seen,
        unfinished=_unfinished(state, even, waves, seen, tolerance_mm),
    )


def spacing_of(x_mm: Floats, y_mm: Floats) -> float:
    """Return the usual distance from a place to the nearest other one."""
    if len(x_mm) < 2:
        return USUAL_SPACING_MM
    places = np.column_stack([x_mm, y_mm])
    return float(np.median(np.asarray(KDTree(places).query(places, k=2)[0])[:, 1]))


def _states(
    readings: Readings, take: Floats, misread: NDArray[np.bool_], tolerance: float
) -> tuple[str, ...]:
    """Return the state of each crossing, by the fair surface: one reading alone is no surer than its scatter."""
    state = np.where(take > tolerance, TAKE, np.where(take < -tolerance, TOO_DEEP, DONE))
    state = np.where(misread, MISREAD, state)
    return tuple(np.where(readings.read, state, "").tolist())


def _ripples(seat: Seat, surface: FairSurface) -> tuple[Ripple, ...]:
    places = surface.places
    if len(places.x_mm) < FEWEST:
        return ()
    near = np.abs(surface.at(places.x_mm, places.y_mm)) <= NEARLY_DONE_MM
    carved = near & (seat.depth_mm(places.x_mm, places.y_mm) > 0.0)
    return ripples(places, surface.values_mm, carved, surface.noise_mm, surface.fair_ratio)


def _seen(seat: Seat, surface: FairSurface) -> float:
    """Return the share of the hollow that has a sound reading nearby."""
    half = 0.5 * seat.blank.width_mm
    x, y = np.meshgrid(np.arange(-half, half, CELL_MM), np.arange(0.0, seat.blank.depth_mm, CELL_MM))
    hollow = (seat.depth_mm(x, y) > CARVED_MM) & (seat.blank.inside_mm(x, y) > 0.0)
    if not hollow.any():
        return 1.0
    tree = KDTree(np.column_stack([surface.places.x_mm, surface.places.y_mm]))
    return float(np.mean(tree.query(np.column_stack([x[hollow], y[hollow]]))[0] <= SEEN_MM))


def _unfinished(
    state: Sequence[str], even: LeftRight, waves: Sequence[Ripple], seen: float, tolerance: float
) -> tuple[str, ...]:
    why = []
    for name, words in ((TAKE, "still too high"), (TOO_DEEP, "too deep"), (MISREAD, "misread")):
        if count := sum(one == name for one in state):
            why.append(f"{count} point{'s' if count > 1 else ''} {words}")
    if even.differs and even.left_minus_right_mm is not None and abs(even.left_minus_right_mm) > tolerance:
        why.append(f"left and right differ by {abs(even.left_minus_right_mm):.1f} mm")
    if waves:
        why.append(f"{len(waves)} ripple{'s' if len(waves) > 1 else ''} that a hand would feel")
    if seen < SEEN_SHARE:
        why.append(f"only {seen:.0%} of the hollow has been read")
    return tuple(why)
