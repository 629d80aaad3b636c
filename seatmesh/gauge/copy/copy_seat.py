"""A first seat, carved by feel, becomes a seat from its readings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from seatmesh.arrays import Bools, Floats
from seatmesh.chair import Chair
from seatmesh.errors import NotAmongError, ValueRefusedError
from seatmesh.gauge.bar.placings import placings_of
from seatmesh.gauge.bar.rod_gauge import Gauge, Lie
from seatmesh.gauge.copy.copy_error import ROLLED_MM, CopyError, copy_error
from seatmesh.gauge.copy.copy_readings import ReadingsToCopy, readings_to_copy
from seatmesh.gauge.copy.copy_words import bar_notes, refuse_uneven_deck, refuse_untold, unread_notes
from seatmesh.gauge.copy.cut_wood import rolled_over
from seatmesh.gauge.copy.hollow_fit import CopiedHollow, gain_of_along, hollow_and_bars
from seatmesh.gauge.copy.hollow_prior import hollow_prior
from seatmesh.gauge.copy.reading_parts import ReadingParts
from seatmesh.gauge.copy.told_bars import ToldBars, told_bars
from seatmesh.gauge.readings.readings import PLAINLY, missing_notes
from seatmesh.gauge.readings.readings_file import Row
from seatmesh.spline import BicubicSpline
from seatmesh.surface import Seat
from seatmesh.units import real_number, shown
from seatmesh.wood.blank import Blank

Sides = Literal["symmetric", "as carved"]
SIDES: tuple[Sides, ...] = ("symmetric", "as carved")

MOST_ROLL_MM = 60.0
STEP_MM = 6.0
UNLIKE_MM = 0.4
"""A symmetric seat that readings lie off by this beyond their scatter, rms, is the mean of unlike sides."""
RIM_MM = 40.0
"""How near to the outline wood is mostly uncut: a hand's breadth less what the hollow takes of it."""
SAME_PLACE_MM = 0.5
ALIKE_MM = 0.8
"""Two readings of one crossing are much the same within this: three standard deviations of their difference."""


@dataclass(frozen=True)
class Copied:
    """A seat from readings, and how far to trust it.

    Attributes
    ----------
    seat
        The seat.
    used, misread
        How many readings it goes through; numbers of the points of those left out.
    residual_rms_mm
        Of the readings about seat and bars, those left out apart.
    uneven_mm
        Greatest difference of depth between its sides; 0 of a symmetric one.
    seen
        Share of the blank ahead of the deck that has a reading nearby.
    error
        90 % intervals of its depth; None of a flat seat.
    bars
        How the bar sat at each placing.
    notes
        What a maker should look at.

    Examples
    --------
    >>> from seatmesh import Adjustment, Gauge, Row, Seat, copy_seat, gauge_sheet
    >>> seat = Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 10.0),))
    >>> sheet = gauge_sheet(seat, 40.0, Gauge(bar_height_mm=60.0))
    >>> rows = [
    ...     Row(n, one.point, one.x_mm, one.y_mm, None, one.expected_mm, one.datum_mm)
    ...     for n, one in enumerate(sheet.crossings, 2)
    ... ]
    >>> copied = copy_seat(rows, seat.blank, sides="symmetric")
    >>> copied.used == len(rows), copied.misread
    (True, ())
    """

    seat: Seat
    used: int
    misread: tuple[int, ...]
    residual_rms_mm: float
    uneven_mm: float
    seen: float
    error: CopyError | None
    bars: ToldBars
    notes: tuple[str, ...]


def copy_seat(
    rows: Sequence[Row],
    blank: Blank,
    *,
    sides: Sides = "as carved",
    chair: Chair | None = None,
    gauge: Gauge | None = None,
    lie: Lie | None = None,
    front_roll_mm: float = 0.0,
    title: str = "copied",
    units: str = "mm",
    where: str = "readings",
) -> Copied:
    """Return the seat that readings were taken on.

    Depth counts from the uncut wood: the deck, which the blank tells, and the rim, which the readings tell. How the bar
    sat at each placing is told by it, with an error that the intervals of depth hold.

    Parameters
    ----------
    rows
        Readings over the whole of the hollow, and on the uncut wood around it.
    blank
        What it was carved from; deck, outline and thickness are taken from it.
    sides
        "symmetric" is the mean of the two sides, "as carved" keeps them unlike.
    gauge
        The gauge, where the file does not hold `datum_mm`: a level bar. None takes the reading on uncut wood from the
        file: its column, or else what several expected readings have in common as their least, with a note.
    lie
        How the bar lay where rows state no placing; None takes what makes the readings likelier.
    front_roll_mm
        Radius of the roll at the front edge, which readings on a grid cannot tell.

    Raises
    ------
    ValueRefusedError, FileRefusedError
        Too few readings, too much of the hollow not read, no datum, no uncut wood that tells the depth, or a reading
        that cannot be meant, with its line.

    Examples
    --------
    >>> from seatmesh import Adjustment, Gauge, Row, Seat, copy_seat, gauge_sheet
    >>> seat = Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 10.0),))
    >>> sheet = gauge_sheet(seat, 40.0, Gauge(bar_height_mm=60.0))
    >>> rows = [
    ...     Row(n, one.point, one.x_mm, one.y_mm, None, one.expected_mm, one.datum_mm)
    ...     for n, one in enumerate(sheet.crossings, 2)
    ... ]
    >>> copied = copy_seat(rows, seat.blank, sides="symmetric")
    >>> round(float(copied.seat.depth_mm(0.0, 200.0)), 1)
    10.0
    """
    _refuse_words(sides, front_roll_mm)
    ready = readings_to_copy(rows, blank, gauge, front_roll_mm, where)
    fit, assumed = _fitted(ready, blank, lie, front_roll_mm, where)
    share = 0.5 if sides == "symmetric" else 0.0
    spline = fit.spline()
    if sides == "symmetric":
        spline = replace(spline, coefficients=0.5 * (spline.coefficients + spline.coefficients[::-1]))
    seat = Seat(blank, chair or Chair(), spline, front_roll_mm, title, units)
    error, bars = copy_error(seat, fit, share, _rolled_mm(fit, spline)), told_bars(fit)
    refuse_uneven_deck(fit, where)
    refuse_untold(error, fit, where)
    rms = _rms(fit, spline)
    rolled = rolled_over(fit.parts)
    left_out = fit.questioned & ~rolled
    misread = sorted({row.point for row, out in zip(ready.rows, left_out, strict=True) if out})
    notes = [*ready.notes, *assumed]
    if rolled.any():
        notes.append(
            f"{int(rolled.sum())} readings along the front edge are left out: they read deeper at both ends too, as on "
            "a rolled edge; state its radius by --front-roll-mm"
        )
    if sides == "symmetric" and rms**2 > fit.variances.scatter_mm**2 + UNLIKE_MM**2:
        notes.append(
            f"readings lie {rms:.1f} mm off the symmetric seat, rms: the two sides are unlike; "
            "copy it as carved to keep them"
        )
    return Copied(
        seat=seat,
        used=len(fit.used),
        misread=tuple(misread),
        residual_rms_mm=rms,
        uneven_mm=_uneven_mm(seat),
        seen=ready.seen,
        error=error,
        bars=bars,
        notes=(
            *notes,
            *missing_notes(rows),
            *bar_notes(bars, units),
            *unread_notes(error, units),
            *_notes(seat, misread),
        ),
    )


def mirrored_seat(seat: Seat) -> Seat:
    """Return the seat with left and right exchanged; the blank's own one-sided joints are left where they are."""
    if seat.hollow is None:
        return seat
    hollow = replace(seat.hollow, coefficients=seat.hollow.coefficients[::-1].copy())
    changes = tuple(replace(one, x_mm=-one.x_mm) for one in seat.adjustments)
    return replace(seat, hollow=hollow, adjustments=changes, title=f"{seat.title}, mirrored")


def _refuse_words(sides: str, front_roll_mm: float) -> None:
    if sides not in SIDES:
        raise NotAmongError("sides", shown(sides), SIDES)
    if not 0.0 <= real_number("front_roll_mm", front_roll_mm) <= MOST_ROLL_MM:
        raise ValueRefusedError(
            "front_roll_mm", shown(front_roll_mm), f"allowed is 0 to {MOST_ROLL_MM:g} mm", "give its radius"
        )


def _fitted(
    ready: ReadingsToCopy, blank: Blank, lie: Lie | None, front_roll_mm: float, where: str
) -> tuple[CopiedHollow, list[str]]:
    """Return hollow and bars; where nothing states how the bar lay, for the likelier lie, with a note."""
    rows, off = ready.rows, ready.off_mm
    x, y = (np.array([getattr(row, name) for row in rows]) for name in ("x_mm", "y_mm"))
    prior = hollow_prior(0.5 * blank.width_mm, blank.hollow_start_mm, blank.depth_mm)
    ahead, rim = blank.ahead_of_deck_mm(x, y) > 0.0, blank.inside_mm(x, y) < RIM_MM
    rolls = (blank.depth_mm - y < ROLLED_MM) & (not front_roll_mm)

    def parts_of(one: Lie | None) -> ReadingParts:
        placings = placings_of(rows, blank.depth_mm, one, where)
        return ReadingParts(
            x, y, off, placings, ahead, rim, rolls, prior, np.zeros(placings.count, dtype=bool)
        )

    best, notes = parts_of(lie), []
    if not best.placings.stated and all(row.placing is None for row in rows):
        along = parts_of("along")
        best = along if gain_of_along(best, along) > PLAINLY else best
        lay, other = ("along", "across") if best is along else ("across", "along")
        notes = [
            f"no column placing: the bar is taken to lie {lay} the seat, set down once for each "
            f"{'column' if best is along else 'row'}; if it lay {other}, give --lie {other}"
        ]
    return hollow_and_bars(best, _confirmed(rows, x, y, off)), notes


def _confirmed(rows: Sequence[Row], x: Floats, y: Floats, off: Floats) -> Bools:
    """Return which readings are confirmed: so stated, or read again at the same place and much the same."""
    apart = np.hypot(np.subtract.outer(x, x), np.subtract.outer(y, y))
    alike = (apart <= SAME_PLACE_MM) & (np.abs(np.subtract.outer(off, off)) <= ALIKE_MM)
    np.fill_diagonal(alike, False)
    return np.asarray(alike.any(axis=1) | np.array([row.confirmed for row in rows], dtype=bool))


def _rolled_mm(fit: CopiedHollow, spline: BicubicSpline) -> float:
    """Return how much deeper the rolled front edge was read than the hollow is there; 0 without one."""
    rolled = rolled_over(fit.parts)
    if not rolled.any():
        return 0.0
    parts = fit.parts
    deeper = parts.off_mm - np.maximum(spline(parts.x_mm, parts.y_mm), 0.0)
    return float(np.maximum(deeper[rolled], 0.0).max())


def _rms(fit: CopiedHollow, spline: BicubicSpline) -> float:
    parts, used = fit.parts, fit.used
    depth = np.where(parts.ahead, np.maximum(spline(parts.x_mm, parts.y_mm), 0.0), 0.0)
    left = parts.off_mm - fit.bars_mm() - depth
    return float(np.sqrt(np.mean(left[used] ** 2)))


def _uneven_mm(seat: Seat) -> float:
    columns, rows = seat.blank.grid_mm(STEP_MM)
    wood = seat.blank.inside_mm(columns, rows) > 0.0
    depth = seat.depth_mm(columns, rows)
    return float(np.abs(depth - depth[:, ::-1])[wood].max())


def _notes(seat: Seat, misread: Sequence[int]) -> list[str]:
    notes = []
    columns, rows = seat.blank.grid_mm(STEP_MM)
    blank = seat.blank
    wood = blank.inside_mm(columns, rows) > 0.0
    left = np.where(wood, seat.wood_left_mm(columns, rows), np.inf)
    if left.min() < blank.floor_mm:
        notes.append(
            f"at its thinnest {left.min():.1f} mm of wood are left; the blank's floor asks for {blank.floor_mm:g} mm"
        )
    if len(misread):
        named = ", ".join(map(str, misread[:8])) + ("..." if len(misread) > 8 else "")
        notes.append(
            f"left out, since nothing around bears {'them' if len(misread) > 1 else 'it'} out: "
            f"point{'s' if len(misread) > 1 else ''} {named}; read again with the bar set down anew, and put what you "
            "read in a further row of the same point: what is read twice is wood"
        )
    return notes
