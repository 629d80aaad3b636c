"""Readings of a seat carved by feel, made ready to be copied: less what the rod reads on the blank's top face."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.spatial import KDTree

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.front_roll import front_roll_depth
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.readings.implausible_readings import (
    MOST_OUT_MM,
    datum_of,
    out_on_uncut,
    refuse_implausible,
    slips,
)
from seatmesh.gauge.readings.readings_file import Row, as_read
from seatmesh.units import shown
from seatmesh.wood.blank import Blank

FEWEST = 40
SEEN_MM = 60.0
LEAST_SEEN = 0.8
LEVEL_POINTS = 3
LEVEL_MM = 0.015
STEP_MM = 6.0
SLOPE_POINTS = 4
MOST_SLOPE = 0.035
"""A bar that slopes by more than 2 degrees is seen by eye."""
MOST_USED = 1500
"""More readings than this take minutes, since the time goes by the third power of their number."""


@dataclass(frozen=True)
class ReadingsToCopy:
    """Readings that a copy is made of.

    Attributes
    ----------
    rows
        Those that were read, confirmed ones twice.
    off_mm
        Each one less the reading on the top face and the front roll, shape (n,).
    seen
        Share of the blank ahead of the deck that has a reading nearby.
    notes
        What was made of the datum, and what was left out.
    """

    rows: tuple[Row, ...]
    off_mm: Floats
    seen: float
    notes: tuple[str, ...]


def readings_to_copy(
    rows: Sequence[Row], blank: Blank, gauge: Gauge | None, front_roll_mm: float, where: str
) -> ReadingsToCopy:
    """Return the readings that a copy is made of.

    Raises
    ------
    ValueRefusedError, FileRefusedError
        Too few readings, too much of the hollow not read, no datum, or a reading that cannot be meant, with its line.
    """
    rows = as_read(rows)
    datum, notes = _datum(rows, gauge, where)
    read = np.array([row.reading_mm for row in rows], dtype=float)
    x, y = (np.array([getattr(row, name) for row in rows]) for name in ("x_mm", "y_mm"))
    _refuse_off(rows, blank, x, y, where)
    ahead = blank.ahead_of_deck_mm(x, y) > 0.0
    shift, out = _shift(read - datum, ~ahead, x)
    read, left_out = _without_slips(rows, read, datum + shift)
    refuse_implausible(rows, read, datum, blank.thickness_mm, where, shift, out)
    carved = np.isfinite(read) & ahead
    seen = _seen(blank, x[carved], y[carved])
    if carved.sum() < FEWEST or seen < LEAST_SEEN:
        raise FileRefusedError(
            f"{where}: {int(carved.sum())} readings ahead of the deck line cover {seen:.0%} of it; at least {FEWEST} "
            f"over {LEAST_SEEN:.0%} are needed, the uncut wood around the hollow among them; read on."
        )
    which, thinned = _which(np.isfinite(read) & (blank.gutter_mm(x, y) <= 0.0))
    off = read - datum - front_roll_depth(blank.depth_mm - y, front_roll_mm)
    return ReadingsToCopy(tuple(rows[k] for k in which), off[which], seen, (*notes, *left_out, *thinned))


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
    if np.isfinite(given).any():
        return datum_of(rows, given, where), []
    expected = np.array([row.expected_mm for row in rows], dtype=float)
    least = float(np.nanmin(expected)) if np.isfinite(expected).any() else np.nan
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


def _shift(off_mm: Floats, on_deck: Bools, x_mm: Floats) -> tuple[Floats, float]:
    """Return what the bar plainly adds to each reading by the uncut deck: a shift and a slope; and the shift alone."""
    deck = on_deck & np.isfinite(off_mm)
    slope = 0.0
    if np.unique(x_mm[deck]).size >= SLOPE_POINTS:
        from scipy.stats import siegelslopes  # noqa: PLC0415 - heavy, and of a copy only

        slope = float(siegelslopes(off_mm[deck], x_mm[deck]).slope)
        slope = slope if abs(slope) <= MOST_SLOPE else 0.0
    out = out_on_uncut(off_mm[deck] - slope * x_mm[deck])
    return slope * x_mm + (out if abs(out) <= MOST_OUT_MM else 0.0), out


def _without_slips(rows: Sequence[Row], read: Floats, top: Floats) -> tuple[Floats, list[str]]:
    """Return the readings without single ones that stand a little above the top face, and a note that names each."""
    off = slips(rows, read - top)
    return np.where(off, np.nan, read), [
        f"{rows[k].place_in_file}: point {rows[k].point} reads {read[k]:g} mm, {top[k] - read[k]:.1f} mm above the "
        "blank's top face, where no wood is: it is left out; read it again"
        for k in map(int, np.flatnonzero(off))
    ]


def _which(read: Bools) -> tuple[Ints, list[str]]:
    """Return the readings that are used, and a note where there are more than can be."""
    which = np.flatnonzero(read)
    if len(which) <= MOST_USED:
        return which, []
    some = which[np.unique(np.linspace(0, len(which) - 1, MOST_USED).astype(np.int64))]
    return some, [f"of {len(which)} readings {len(some)} are used, evenly over the file: more take too long"]


def _refuse_off(rows: Sequence[Row], blank: Blank, x: Floats, y: Floats, where: str) -> None:
    off = np.flatnonzero(blank.inside_mm(x, y) < -1.0)
    if len(off):
        row = rows[off[0]]
        raise FileRefusedError(
            f"{where}, {row.place_in_file}: point {row.point} at x {row.x_mm:g}, y {row.y_mm:g} mm lies off the "
            "blank; give the blank that was carved, or correct the place."
        )


def _seen(blank: Blank, x: Floats, y: Floats) -> float:
    if len(x) == 0:
        return 0.0
    columns, rows = np.broadcast_arrays(*blank.grid_mm(STEP_MM, blank.hollow_start_mm))
    wood = (blank.inside_mm(columns, rows) > 0.0) & (blank.ahead_of_deck_mm(columns, rows) > 0.0)
    near, _ = KDTree(np.column_stack([x, y])).query(np.column_stack([columns[wood], rows[wood]]))
    return float(np.mean(near <= SEEN_MM))
