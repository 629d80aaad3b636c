"""A first seat, carved by feel, becomes a seat from its readings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import KDTree

from seatmesh.chair import Chair
from seatmesh.errors import FileRefusedError, NotAmongError, ValueRefusedError
from seatmesh.front_roll import front_roll_depth
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.check.questioned_readings import without_misread
from seatmesh.gauge.copy.hollow_fit import Extent, hollow_through
from seatmesh.gauge.readings.implausible_readings import refuse_implausible
from seatmesh.gauge.readings.readings import missing_notes
from seatmesh.gauge.readings.readings_file import Row
from seatmesh.spline import BicubicSpline
from seatmesh.surface import Seat
from seatmesh.units import real_number, shown
from seatmesh.wood.blank import Blank

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Sides = Literal["symmetric", "as carved"]
SIDES: tuple[Sides, ...] = ("symmetric", "as carved")

FEWEST = 40
SEEN_MM = 60.0
LEAST_SEEN = 0.8
UNCUT_MM = 0.6
"""Readings as small as this may be scatter on uncut wood: two to three times the usual one."""
LEVEL_POINTS = 3
LEVEL_MM = 0.015
MOST_ROLL_MM = 60.0
STEP_MM = 6.0
UNLIKE_MM = 0.6


@dataclass(frozen=True)
class Copied:
    """A seat from readings, and how far to trust it.

    Attributes
    ----------
    seat
        The seat.
    used, misread
        How many readings it goes through; numbers of those left out.
    residual_rms_mm
        Of the readings about it, those left out apart.
    uneven_mm
        Greatest difference of depth between its sides; 0 of a symmetric one.
    seen
        Share of the blank ahead of the deck that has a reading nearby.
    notes
        What a maker should look at.
    """

    seat: Seat
    used: int
    misread: tuple[int, ...]
    residual_rms_mm: float
    uneven_mm: float
    seen: float
    notes: tuple[str, ...]


def copy_seat(
    rows: Sequence[Row],
    blank: Blank,
    *,
    sides: Sides = "as carved",
    chair: Chair | None = None,
    gauge: Gauge | None = None,
    front_roll_mm: float = 0.0,
    title: str = "copied",
    units: str = "mm",
    where: str = "readings",
) -> Copied:
    """Return the seat that readings were taken on.

    Parameters
    ----------
    rows
        Readings over the whole of the hollow, and on the uncut wood around it, so that its edge is found.
    blank
        What it was carved from; deck, outline and thickness are taken from it.
    sides
        "symmetric" is the mean of the two sides, "as carved" keeps them unlike.
    gauge
        The gauge, where the file does not hold `datum_mm`: a level bar. None takes the reading on uncut wood from the
        file: its column, or else what several expected readings have in common as their least, with a note.
    front_roll_mm
        Radius of the roll at the front edge, which readings on a grid cannot tell.

    Raises
    ------
    ValueRefusedError, FileRefusedError
        Too few readings, too much of the hollow not read, no datum, or a reading that cannot be meant, with its line.
    """
    if sides not in SIDES:
        raise NotAmongError("sides", shown(sides), SIDES)
    if not 0.0 <= real_number("front_roll_mm", front_roll_mm) <= MOST_ROLL_MM:
        raise ValueRefusedError(
            "front_roll_mm", shown(front_roll_mm), f"allowed is 0 to {MOST_ROLL_MM:g} mm", "give its radius"
        )
    datum, notes = _datum(rows, gauge, where)
    read = np.array([np.nan if row.reading_mm is None else row.reading_mm for row in rows])
    refuse_implausible(rows, read, datum, blank.thickness_mm, where)
    x, y = (np.array([getattr(row, name) for row in rows]) for name in ("x_mm", "y_mm"))
    _refuse_off(rows, blank, x, y, where)
    ahead = np.isfinite(read) & (blank.ahead_of_deck_mm(x, y) > 0.0)
    seen = _seen(blank, x[ahead], y[ahead])
    if ahead.sum() < FEWEST or seen < LEAST_SEEN:
        raise FileRefusedError(
            f"{where}: {int(ahead.sum())} readings ahead of the deck line cover {seen:.0%} of it; at least {FEWEST} "
            f"over {LEAST_SEEN:.0%} are needed, the uncut wood around the hollow among them; read on."
        )
    depth = read - datum - front_roll_depth(blank.depth_mm - y, front_roll_mm)
    spline, off, sound = _fitted(blank, x[ahead], y[ahead], depth[ahead], sides)
    seat = Seat(blank, chair or Chair(), spline, front_roll_mm, title, units)
    number = np.array([row.point for row in rows])[ahead]
    rms = float(np.sqrt(np.mean(off[sound] ** 2)))
    if sides == "symmetric" and rms > UNLIKE_MM:
        notes.append(
            f"readings lie {rms:.1f} mm off the symmetric seat, rms: the two sides are unlike; "
            "copy it as carved to keep them"
        )
    return Copied(
        seat=seat,
        used=int(sound.sum()),
        misread=tuple(int(k) for k in number[~sound]),
        residual_rms_mm=rms,
        uneven_mm=_uneven_mm(seat),
        seen=seen,
        notes=(*notes, *missing_notes(rows), *_notes(seat, number[~sound])),
    )


def mirrored_seat(seat: Seat) -> Seat:
    """Return the seat with left and right exchanged; the blank's own one-sided joints are left where they are."""
    if seat.hollow is None:
        return seat
    hollow = replace(seat.hollow, coefficients=seat.hollow.coefficients[::-1].copy())
    changes = tuple(replace(one, x_mm=-one.x_mm) for one in seat.adjustments)
    return replace(seat, hollow=hollow, adjustments=changes, title=f"{seat.title}, mirrored")


def _datum(rows: Sequence[Row], gauge: Gauge | None, where: str) -> tuple[Floats, list[str]]:
    """Return the reading on the blank's top face at each crossing, and what was made of it."""
    given = np.array([np.nan if row.datum_mm is None else row.datum_mm for row in rows])
    if gauge is not None:
        if gauge.rest_heights_mm != (0.0, 0.0):
            raise ValueRefusedError(
                "rest_heights_mm",
                shown(gauge.rest_heights_mm),
                "a level bar",
                "use a gauge sheet that holds datum_mm",
            )
        own = gauge.bar_height_mm + gauge.rod_offset_mm
        return np.full(len(rows), own), []
    if np.all(np.isfinite(given)):
        return given, []
    expected = np.array([row.expected_mm for row in rows])
    least = float(expected.min())
    if np.count_nonzero(expected <= least + LEVEL_MM) < LEVEL_POINTS:
        raise FileRefusedError(
            f"{where}: there is no column datum_mm, and no {LEVEL_POINTS} crossings share the least expected reading, "
            "as those on uncut wood would; give --bar-height-mm and --rod-offset-mm."
        )
    note = (
        f"no column datum_mm: {least:.2f} mm, the least expected reading, is taken as that on uncut wood; if it is "
        "not, give --bar-height-mm and --rod-offset-mm"
    )
    return np.full(len(rows), least), [note]


def _fitted(
    blank: Blank, x: Floats, y: Floats, depth: Floats, sides: Sides
) -> tuple[BicubicSpline, Floats, Bools]:
    """Return the spline, the readings' distances from it, and which are sound.

    Readings that stand far off are found on what a first spline leaves of them, and a second one does without.
    """
    extent = Extent(0.5 * blank.width_mm, blank.hollow_start_mm, blank.depth_mm)
    sound = np.ones(len(x), dtype=bool)
    spline = _sided(extent, x, y, depth, sides)
    off = np.maximum(spline(x, y), 0.0) - np.maximum(depth, 0.0)
    sound = without_misread(x, y, off).sound
    if not sound.all():
        spline = _sided(extent, x[sound], y[sound], depth[sound], sides)
        off = np.maximum(spline(x, y), 0.0) - np.maximum(depth, 0.0)
    return spline, off, sound


def _sided(extent: Extent, x: Floats, y: Floats, depth: Floats, sides: Sides) -> BicubicSpline:
    if sides == "as carved":
        return hollow_through(extent, x, y, depth, depth <= UNCUT_MM)
    both = np.concatenate([x, -x]), np.tile(y, 2), np.tile(depth, 2)
    spline = hollow_through(extent, *both, both[2] <= UNCUT_MM)
    c = spline.coefficients
    return replace(spline, coefficients=0.5 * (c + c[::-1]))


def _refuse_off(rows: Sequence[Row], blank: Blank, x: Floats, y: Floats, where: str) -> None:
    off = np.flatnonzero(blank.inside_mm(x, y) < -1.0)
    if len(off):
        row = rows[off[0]]
        raise FileRefusedError(
            f"{where}, line {row.line}: point {row.point} at x {row.x_mm:g}, y {row.y_mm:g} mm lies off the "
            "blank; give the blank that was carved, or correct the place."
        )


def _seen(blank: Blank, x: Floats, y: Floats) -> float:
    if len(x) == 0:
        return 0.0
    half = 0.5 * blank.width_mm
    columns, rows = np.meshgrid(
        np.arange(-half, half, STEP_MM), np.arange(blank.hollow_start_mm, blank.depth_mm, STEP_MM)
    )
    wood = (blank.inside_mm(columns, rows) > 0.0) & (blank.ahead_of_deck_mm(columns, rows) > 0.0)
    near, _ = KDTree(np.column_stack([x, y])).query(np.column_stack([columns[wood], rows[wood]]))
    return float(np.mean(near <= SEEN_MM))


def _grid(seat: Seat) -> tuple[Floats, Floats]:
    half = 0.5 * seat.blank.width_mm
    x = np.arange(0.0, half, STEP_MM)
    x = np.concatenate([-x[:0:-1], x])
    columns, rows = np.meshgrid(x, np.arange(0.0, seat.blank.depth_mm, STEP_MM))
    return columns, rows


def _uneven_mm(seat: Seat) -> float:
    columns, rows = _grid(seat)
    wood = seat.blank.inside_mm(columns, rows) > 0.0
    depth = seat.depth_mm(columns, rows)
    return float(np.abs(depth - depth[:, ::-1])[wood].max())


def _notes(seat: Seat, misread: NDArray[np.int64]) -> list[str]:
    notes = []
    columns, rows = _grid(seat)
    blank = seat.blank
    wood = blank.inside_mm(columns, rows) > 0.0
    left = np.where(
        wood,
        blank.thickness_mm - blank.underside_rise_mm(columns, rows) - seat.depth_mm(columns, rows),
        np.inf,
    )
    if left.min() < blank.floor_mm:
        notes.append(
            f"at its thinnest {left.min():.1f} mm of wood are left; the blank's floor asks for {blank.floor_mm:g} mm"
        )
    if len(misread):
        named = ", ".join(map(str, misread[:8].tolist())) + ("..." if len(misread) > 8 else "")
        notes.append(f"left out as misread: point{'s' if len(misread) > 1 else ''} {named}; read again")
    return notes
