"""Readings that no wood can have, set aside one by one, so that a slip of the finger keeps no other reading waiting."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seatmesh.gauge.bar.placings import placings_of
from seatmesh.gauge.bar.rod_gauge import UNCUT_MM, Lie
from seatmesh.gauge.readings.implausible_readings import (
    datum_of,
    implausible,
    out_on_uncut,
    plain_shift,
    refuse_off_blank,
    words_of,
)
from seatmesh.gauge.readings.readings_file import Row
from seatmesh.surface import Seat

MOST_SHARE = 0.2
"""Where more than this share of the readings cannot be meant it is no slip of the finger but another gauge or seat:
they are left in, and refused with the words for that. Our own choice."""


@dataclass(frozen=True)
class SetAside:
    """A reading that does not count.

    Attributes
    ----------
    point, line
        Of its row.
    x_mm, y_mm
        Where it was read.
    reading_mm
        What was typed.
    words
        What can be read there, and what the reading looks like.
    """

    point: int
    line: int
    x_mm: float
    y_mm: float
    reading_mm: float
    words: str


def set_aside_implausible(
    seat: Seat, rows: Sequence[Row], where: str = "readings", lie: Lie | None = None
) -> tuple[tuple[Row, ...], tuple[SetAside, ...]]:
    """Return rows whose readings can be meant, and those that were set aside.

    A row that is set aside keeps its place and loses its reading. What can be read is told by the datum of the sheet
    and by uncut wood, as where readings are refused (`seatmesh.gauge.readings.implausible_readings`). Where many cannot
    be meant none is set aside.

    Raises
    ------
    FileRefusedError
        A crossing is off the blank, or nothing tells what the rod reads on the top face.

    Examples
    --------
    >>> from seatmesh import flat_seat
    >>> rows = [Row(n + 2, n + 1, 40.0 * n - 120.0, 20.0, 40.0, 40.0, 40.0) for n in range(6)]
    >>> rows.append(Row(8, 7, 120.0, 20.0, 40.0, 400.0, 40.0))
    >>> kept, aside = set_aside_implausible(flat_seat(), rows)
    >>> [one.reading_mm for one in aside], kept[-1].reading_mm
    ([400.0], None)
    """
    x, y = (np.array([getattr(row, name) for row in rows]) for name in ("x_mm", "y_mm"))
    refuse_off_blank(seat, rows, x, y, where)
    target = seat.depth_mm(x, y)
    expected = np.array([row.expected_mm for row in rows], dtype=float)
    datum = datum_of(rows, expected - target, where)
    read = np.array([row.reading_mm for row in rows], dtype=float)
    placings = placings_of(rows, seat.blank.depth_mm, lie, where)
    out: dict[int, SetAside] = {}
    kept = read.copy()
    # What a bad reading on uncut wood says of the bar is heard no more once it is set aside.
    while True:
        shift = plain_shift(kept - datum - target, target <= UNCUT_MM, placings.of)
        top = datum + shift
        bad = [int(k) for k in implausible(rows, kept, top, seat.blank.thickness_mm)]
        if not bad:
            break
        uncut = (target <= UNCUT_MM) & np.isfinite(kept)
        middle = out_on_uncut((kept - datum - target)[uncut])
        out |= {k: _aside(rows[k], float(top[k]), seat.blank.thickness_mm, middle) for k in bad}
        kept[bad] = np.nan
    if len(out) > max(1.0, MOST_SHARE * np.count_nonzero(np.isfinite(read))):
        return tuple(rows), ()
    left = [replace(row, reading_mm=None, confirmed=False) if k in out else row for k, row in enumerate(rows)]
    return tuple(left), tuple(out[k] for k in sorted(out))


def _aside(row: Row, top: float, thickness_mm: float, out_mm: float) -> SetAside:
    value = float(row.reading_mm or 0.0)
    words = words_of(row, (value, top, thickness_mm, out_mm))
    return SetAside(row.point, row.line, row.x_mm, row.y_mm, value, words)
