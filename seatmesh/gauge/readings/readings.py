"""Readings laid on a seat: how far the wood is from where it should be, crossing by crossing.

What cannot be meant is refused with its line (`seatmesh.gauge.readings.implausible_readings`);
what is merely missing gives a note.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from seatmesh.errors import ValueRefusedError
from seatmesh.gauge.readings.implausible_readings import (
    datum_of,
    refuse_implausible,
    refuse_off_blank,
    refuse_other_seat,
    refuse_shifted,
)
from seatmesh.gauge.readings.readings_file import Row
from seatmesh.surface import Seat

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SAME_PLACE_MM = 0.5
NAMED = 6


@dataclass(frozen=True)
class Readings:
    """Crossings on a seat with what was read there; arrays of shape (n,).

    Attributes
    ----------
    point, line, x_mm, y_mm
        Number, line of the file, place.
    target_mm
        Depth of the seat there.
    depth_mm
        Depth of the wood there; NaN where nothing was read.
    pair
        Index of the crossing on the other side, -1 without one.
    left_proud_mm
        Bare comparisons, at the left one of a pair; NaN without.
    notes
        What is missing, in words.
    """

    point: Ints
    line: Ints
    x_mm: Floats
    y_mm: Floats
    target_mm: Floats
    depth_mm: Floats
    pair: Ints
    left_proud_mm: Floats
    notes: tuple[str, ...]

    @property
    def read(self) -> NDArray[np.bool_]:
        """Where something was read."""
        return np.isfinite(self.depth_mm)

    @property
    def to_take_mm(self) -> Floats:
        """Wood still to take, as the gauge says it: negative where the wood is too deep, NaN where nothing was read."""
        return self.target_mm - self.depth_mm


def readings_on(seat: Seat, rows: Sequence[Row], where: str = "readings") -> Readings:
    """Lay the rows of a gauge sheet on the seat (or stage) that the sheet was made for.

    Raises
    ------
    FileRefusedError
        A crossing is off the blank, the sheet is another seat's, columns are swapped, a reading is in another unit or
        has another sign, or readings stand a line too early or too late; with the line.
    """
    x, y = (np.array([getattr(row, name) for row in rows]) for name in ("x_mm", "y_mm"))
    refuse_off_blank(seat, rows, x, y, where)
    target = seat.depth_mm(x, y)
    expected = np.array([row.expected_mm for row in rows])
    datum = datum_of(rows, expected - target)
    refuse_other_seat(seat, rows, expected, datum, where)
    read = np.array([np.nan if row.reading_mm is None else row.reading_mm for row in rows])
    refuse_implausible(rows, read, datum, seat.blank.thickness_mm, where)
    refuse_shifted(rows, read, expected, where)
    pair = pairs(x, y)
    return Readings(
        point=np.array([row.point for row in rows]),
        line=np.array([row.line for row in rows]),
        x_mm=x,
        y_mm=y,
        target_mm=target,
        depth_mm=read - datum,
        pair=pair,
        left_proud_mm=_comparisons(rows, x, pair, where),
        notes=missing_notes(rows),
    )


def pairs(x: Floats, y: Floats) -> Ints:
    """Return the index of each place's mirror image, -1 for none (and on the centre line)."""
    apart = np.hypot(x[:, None] + x[None, :], y[:, None] - y[None, :])
    nearest = np.argmin(apart, axis=1)
    found = (apart[np.arange(len(x)), nearest] <= SAME_PLACE_MM) & (np.abs(x) > SAME_PLACE_MM)
    return np.where(found, nearest, -1).astype(np.int64)


def missing_notes(rows: Sequence[Row]) -> tuple[str, ...]:
    """Return notes on crossings whose lines are missing, told by gaps in the numbers and by mirrored points."""
    numbers = [row.point for row in rows]
    have, notes = set(numbers), []
    gone: set[int] = set()
    for before, after in pairwise(rows):
        missing = set(range(before.point + 1, after.point)) - have
        if missing and len(missing) <= len(rows):
            gone |= missing
            words = ", ".join(map(str, sorted(missing)[:NAMED])) + ("..." if len(missing) > NAMED else "")
            notes.append(
                f"between lines {before.line} and {after.line} point{'s' if len(missing) > 1 else ''} {words} "
                "missing: taken as not read; put the line back if it was read"
            )
    for row in rows:
        if row.mirror is not None and row.mirror not in have | gone:
            notes.append(f"line {row.line}: its mirrored point {row.mirror} has no line: taken as not read")
    return tuple(notes)


def _comparisons(rows: Sequence[Row], x: Floats, pair: Ints, where: str) -> Floats:
    proud = np.full(len(rows), np.nan)
    for k, row in enumerate(rows):
        if row.left_proud_mm is None:
            continue
        if pair[k] < 0:
            raise ValueRefusedError(
                f"{where}, line {row.line}, left_proud_mm",
                f"{row.left_proud_mm:g}",
                "a comparison needs a crossing on either side, and this one has no mirror image here",
                "type it in at one of a mirrored pair",
            )
        left = k if x[k] < 0 else int(pair[k])
        if np.isfinite(proud[left]) and proud[left] != row.left_proud_mm:
            raise ValueRefusedError(
                f"{where}, line {row.line}, left_proud_mm",
                f"{row.left_proud_mm:g}",
                f"point {rows[int(pair[k])].point} of the same pair says {proud[left]:g}",
                "keep one of the two",
            )
        proud[left] = row.left_proud_mm
    return proud
