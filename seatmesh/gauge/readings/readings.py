"""Readings laid on a seat: how far the wood is from where it should be, crossing by crossing.

What cannot be meant is refused with its line (`seatmesh.gauge.readings.implausible_readings`);
what is merely missing gives a note.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.errors import ValueRefusedError
from seatmesh.gauge.bar.datum_places import surely_uncut
from seatmesh.gauge.bar.how_bars_sat import SeatedBars, seated_bars
from seatmesh.gauge.bar.placings import Placings, placings_of
from seatmesh.gauge.bar.rod_gauge import UNCUT_MM, Lie
from seatmesh.gauge.readings.implausible_readings import (
    datum_of,
    out_on_uncut,
    plain_shift,
    refuse_implausible,
    refuse_off_blank,
    refuse_other_seat,
    refuse_shifted,
)
from seatmesh.gauge.readings.readings_file import Row, as_read
from seatmesh.surface import Seat

SAME_PLACE_MM = 0.5
PLAINLY = 12.0
"""Gain in log likelihood from which uncut wood says plainly how the bar lay; clean carvings differ by 6 by chance."""
NAMED = 6


@dataclass(frozen=True)
class Readings:
    """Crossings on a seat with what was read there; arrays of shape (n,), one entry for each reading.

    Attributes
    ----------
    point, line, file, x_mm, y_mm
        Number, line and name of the file (empty where there is but one), place.
    echo
        Entries that stand for the second reading of a confirmed one.
    target_mm
        Depth of the seat there.
    datum_mm
        What the rod reads on the blank's top face if the bar sits as stated.
    as_read_mm
        Depth of the wood as read, the bar taken as stated; NaN where nothing was read.
    depth_mm
        Depth of the wood, by how the bar sat; NaN where nothing was read.
    bars
        How the bar sat.
    bar_error_mm
        Standard error of what it adds.
    uncut, told_here
        Where the seat leaves the wood uncut, and where that is sure enough to tell of the bar.
    pair
        Index of the crossing on the other side, -1 without one.
    left_proud_mm
        Bare comparisons, at the left one of a pair; NaN without.
    last_placing
        The greatest number of a placing, or how many there are without numbers.
    notes
        What is missing or assumed, in words.
    """

    point: Ints
    line: Ints
    file: tuple[str, ...]
    x_mm: Floats
    y_mm: Floats
    echo: Bools
    target_mm: Floats
    datum_mm: Floats
    as_read_mm: Floats
    depth_mm: Floats
    bars: SeatedBars
    bar_error_mm: Floats
    uncut: Bools
    told_here: Bools
    pair: Ints
    left_proud_mm: Floats
    last_placing: int
    notes: tuple[str, ...]

    @property
    def read(self) -> Bools:
        """Where something was read."""
        return np.isfinite(self.depth_mm)

    @property
    def to_take_mm(self) -> Floats:
        """Wood still to take, by how the bar sat: negative where the wood is too deep, NaN where nothing was read."""
        return self.target_mm - self.depth_mm


def readings_on(seat: Seat, rows: Sequence[Row], where: str = "readings", lie: Lie | None = None) -> Readings:
    """Lay the rows of a gauge sheet on the seat (or stage) that the sheet was made for.

    `lie` is how the bar lay where rows state no placing; None tells it from the readings, or takes "across".

    Raises
    ------
    FileRefusedError
        A crossing is off the blank, the sheet is another seat's, columns are swapped, a reading is in another unit or
        has another sign, or readings stand a line too early or too late; with the line.
    """
    rows = as_read(rows)
    x, y = (np.array([getattr(row, name) for row in rows]) for name in ("x_mm", "y_mm"))
    refuse_off_blank(seat, rows, x, y, where)
    target = seat.depth_mm(x, y)
    expected = np.array([row.expected_mm for row in rows], dtype=float)
    datum = datum_of(rows, expected - target, where)
    refuse_other_seat(seat, rows, expected, datum, where)
    read = np.array([row.reading_mm for row in rows], dtype=float)
    uncut = target <= UNCUT_MM
    off = read - datum - target
    placings = placings_of(rows, seat.blank.depth_mm, lie, where)
    shift = plain_shift(off, uncut, placings.of)
    out = out_on_uncut(off[uncut & np.isfinite(off)])
    refuse_implausible(rows, read, datum, seat.blank.thickness_mm, where, shift, out)
    _refuse_shifted(rows, read - shift, datum + target, where)
    told_here = surely_uncut(seat, x, y)
    point = np.array([row.point for row in rows])
    bars, notes = _bars(rows, placings, off, told_here, point, seat, lie)
    pair = pairs(x, y)
    return Readings(
        point=point,
        line=np.array([row.line for row in rows]),
        file=tuple(row.file for row in rows),
        x_mm=x,
        y_mm=y,
        echo=np.array([row.echo for row in rows]),
        target_mm=target,
        datum_mm=datum,
        as_read_mm=read - datum,
        depth_mm=read - datum - bars.shift_mm(),
        bars=bars,
        bar_error_mm=np.sqrt(np.maximum(np.diag(bars.covariance_mm2()), 0.0)),
        uncut=uncut,
        told_here=told_here,
        pair=pair,
        left_proud_mm=_comparisons(rows, x, pair, where),
        last_placing=max(placings.count, *(row.placing or 0 for row in rows)),
        notes=(*missing_notes(rows), *notes),
    )


def _bars(
    rows: Sequence[Row],
    placings: Placings,
    off: Floats,
    told: Bools,
    point: Ints,
    seat: Seat,
    lie: Lie | None,
) -> tuple[SeatedBars, tuple[str, ...]]:
    """Return how the bar sat, and what was assumed of how it lay."""
    bars = seated_bars(placings, off, told, point)
    if placings.stated or any(row.placing is not None for row in rows):
        return bars, ()
    other = seated_bars(placings_of(rows, seat.blank.depth_mm, "along"), off, told, point)
    if other.evidence > bars.evidence + PLAINLY:
        return other, (
            "no column placing: uncut wood says that the bar lay along the seat; if it did not, say so (--lie across)",
        )
    return bars, (
        "no column placing: the bar is taken to lie across the seat, set down once for each row; if it lay along, "
        "say so (--lie along)",
    )


def _refuse_shifted(rows: Sequence[Row], read: Floats, expected: Floats, where: str) -> None:
    """Refuse shifted readings of the first file's sheet: its crossings as they stand there for the first time."""
    first: dict[int, int] = {}
    for k, row in enumerate(rows):
        if row.source == 0:
            first.setdefault(row.point, k)
    which = np.array(list(first.values()), dtype=np.int64)
    refuse_shifted([rows[k] for k in which], read[which], expected[which], where)


def pairs(x: Floats, y: Floats) -> Ints:
    """Return the index of each place's mirror image, -1 for none (and on the centre line)."""
    apart = np.hypot(x[:, None] + x[None, :], y[:, None] - y[None, :])
    nearest = np.argmin(apart, axis=1)
    found = (apart[np.arange(len(x)), nearest] <= SAME_PLACE_MM) & (np.abs(x) > SAME_PLACE_MM)
    return np.where(found, nearest, -1).astype(np.int64)


def missing_notes(rows: Sequence[Row]) -> tuple[str, ...]:
    """Return notes on crossings whose lines are missing, told by gaps in the numbers and by mirrored points.

    A program's list holds what was read, and no line of it can get lost.
    """
    rows = [row for row in rows if row.counted == "line"]
    numbers = [row.point for row in rows]
    have, notes = set(numbers), []
    gone: set[int] = set()
    for before, after in pairwise(row for row in rows if not row.echo):
        missing = set(range(before.point + 1, after.point)) - have
        if before.file == after.file and missing and len(missing) <= len(rows):
            gone |= missing
            words = ", ".join(map(str, sorted(missing)[:NAMED])) + ("..." if len(missing) > NAMED else "")
            notes.append(
                f"between lines {before.line} and {after.line} point{'s' if len(missing) > 1 else ''} {words} "
                "missing: taken as not read; put the line back if it was read"
            )
    for row in rows:
        if row.mirror is not None and row.mirror not in have | gone and not row.echo:
            notes.append(f"line {row.line}: its mirrored point {row.mirror} has no line: taken as not read")
    return tuple(notes)


def _comparisons(rows: Sequence[Row], x: Floats, pair: Ints, where: str) -> Floats:
    proud = np.full(len(rows), np.nan)
    for k, row in enumerate(rows):
        if row.left_proud_mm is None or row.echo:
            continue
        if pair[k] < 0:
            raise ValueRefusedError(
                f"{where}, {row.place_in_file}, left_proud_mm",
                f"{row.left_proud_mm:g}",
                "a comparison needs a crossing on either side, and this one has no mirror image here",
                "type it in at one of a mirrored pair",
            )
        left = k if x[k] < 0 else int(pair[k])
        if np.isfinite(proud[left]) and proud[left] != row.left_proud_mm:
            raise ValueRefusedError(
                f"{where}, {row.place_in_file}, left_proud_mm",
                f"{row.left_proud_mm:g}",
                f"point {rows[int(pair[k])].point} of the same pair says {proud[left]:g}",
                "keep one of the two",
            )
        proud[left] = row.left_proud_mm
    return proud
