"""Whether readings can be meant: refused is what is off the blank, another seat's, in another unit, on another line."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.errors import FileRefusedError, MissingKeyError
from seatmesh.gauge.readings.readings_file import Row
from seatmesh.surface import Seat
from seatmesh.units import MM_PER_INCH

ON_THE_EDGE_MM = 1.0
SAME_SEAT_MM = 0.3
"""Expected readings farther from the seat's own belong to another seat; the sheet is written to 0.01 mm."""
MOST_PROUD_MM = 3.0
"""A splinter or a packing piece apart, no wood stands higher than the blank's top face."""
SLIP_MM = 8.0
"""So far above a top face a reading may be a slip of the rod or a bar out of level; farther off, a wrong sign."""
SLIPS_SHARE = 0.02
MOST_OUT_MM = 25.0
"""By how much bar height or rod offset may be out and the readings still be taken for readings of this blank."""
AGREEING_SHARE = 0.6
NAMED_LINES = 6
SHIFT_GAIN_MM = 8.0
SHIFT_SHARE = 0.5
SHIFT_LEAST = 8
SHIFT_CLIP_MM = 4.0
"""Readings stand on the wrong lines where that makes at least so many differences less rough: by this much in all, and
by this share; single differences count no more than the last."""


def datum_of(rows: Sequence[Row], top_face_mm: Floats, where: str = "readings") -> Floats:
    """Return the reading on the top face at each crossing: as the file states it, else the plane through estimates.

    `top_face_mm` are estimates of it, shape (n,), of which the greater part is right; NaN where there is none.
    """
    given = np.array([np.nan if row.datum_mm is None else row.datum_mm for row in rows])
    if np.all(np.isfinite(given)):
        return given
    known = np.isfinite(top_face_mm)
    if not known.any():
        raise MissingKeyError(
            "expected_mm",
            where,
            "at least one line keeps expected_mm or datum_mm, as the gauge sheet has them",
        )
    at = np.column_stack([np.ones(len(rows)), *(np.array([(r.x_mm, r.y_mm) for r in rows]) / 200.0).T])
    plane = np.array([np.median(top_face_mm[known]), 0.0, 0.0])
    if known.sum() >= 6:
        top, here = top_face_mm[known], at[known]
        for _ in range(30):  # least absolute distances, by rounds of least squares
            weight = 1.0 / np.sqrt(np.maximum(np.abs(top - here @ plane), 1e-3))
            plane = np.linalg.lstsq(here * weight[:, None], top * weight, rcond=None)[0]
    return np.where(np.isfinite(given), given, at @ plane)


def refuse_implausible(
    rows: Sequence[Row],
    read: Floats,
    datum: Floats,
    thickness_mm: float,
    where: str,
    shift_mm: Floats | float = 0.0,
    out_mm: float = 0.0,
) -> None:
    """Refuse readings that would stand above the top face or go through the blank, and say what they look like.

    Single ones a little above the top face are let through: they are misread, and questioned by whoever uses them.
    `shift_mm` is what the bar plainly adds to readings (see `plain_shift`), `out_mm` what all uncut wood says is out,
    where that is too much to go by.
    """
    top = datum + shift_mm
    bad = implausible(rows, read, top, thickness_mm)
    if not len(bad):
        return
    k = int(bad[0])
    more = f" ({_lines(rows, bad)} alike)" if len(bad) > 1 else ""
    words = words_of(rows[k], (float(read[k]), float(top[k]), thickness_mm, out_mm), more)
    raise FileRefusedError(f"{where}, {rows[k].place_in_file}: {words}.")


def words_of(row: Row, known_mm: tuple[float, float, float, float], more: str = "") -> str:
    """Say of a reading that no wood can have what can be read there and what it looks like.

    `known_mm` are the reading, what the rod reads on the top face, the thickness, and what all uncut wood is out by.
    """
    value, top, thickness_mm, _ = known_mm
    return (
        f"point {row.point} reads {value:g} mm{more}; on this blank {top - MOST_PROUD_MM:.1f} to "
        f"{top + thickness_mm:.1f} mm can be read there; {_looks(*known_mm)}"
    )


def implausible(rows: Sequence[Row], read: Floats, top: Floats, thickness_mm: float) -> Ints:
    """Return which readings no wood can have, `top` being what the rod reads on the top face, shapes (n,)."""
    depth = read - top
    return np.flatnonzero(((depth < -MOST_PROUD_MM) & ~slips(rows, depth)) | (depth > thickness_mm))


def _looks(value: float, top: float, thickness_mm: float, out_mm: float) -> str:
    """Say what a reading looks like, and what to do about it."""
    low, high, depth = top - MOST_PROUD_MM, top + thickness_mm, value - top

    def fits(other: float) -> bool:
        return bool(low <= other <= high)

    if value < 0.0:
        hint = "a reading is a distance and never negative: type what the rod shows, not a difference"
    elif fits(value * MM_PER_INCH):
        hint = f"as inches it would be {value * MM_PER_INCH:.1f} mm: if it was read in inches, write {value:g} in"
    elif fits(value / MM_PER_INCH):
        hint = f"{value / MM_PER_INCH:.1f} would fit as mm: was it read in mm and typed as inches?"
    elif fits(value / 10.0) or fits(value * 10.0):
        right = value / 10.0 if fits(value / 10.0) else value * 10.0
        hint = f"{right:g} would fit: is a point misplaced, or was it read in cm?"
    elif abs(out_mm) > MOST_OUT_MM:
        hint = (
            f"on uncut wood readings are {abs(out_mm):.1f} mm too {'great' if out_mm > 0.0 else 'small'} throughout: "
            f"bar height or rod offset is out by that (a rod offset of {0.5 * abs(out_mm):.1f} mm with the wrong sign "
            "does it); write the gauge sheet anew with the right ones"
        )
    elif -SLIP_MM <= depth < 0.0:
        hint = (
            f"the wood would stand {-depth:.1f} mm above the blank's top face: read it again, and look whether the "
            "bar stands out of level there"
        )
    elif depth < 0.0 and fits(2.0 * top - value):
        hint = (
            f"the wood would stand {-depth:.1f} mm above the blank's top face; readings grow with depth: was "
            "depth subtracted, or a difference typed in?"
        )
    else:
        hint = "read it again, or check bar height and rod offset"
    return hint


def slips(rows: Sequence[Row], depth_mm: Floats) -> Bools:
    """Tell which readings, shape (n,), are single ones a little above the top face: misread, and no more than that.

    None are where they are many, where one is confirmed, and where any is more than `SLIP_MM` off.
    """
    proud = np.asarray(depth_mm < -MOST_PROUD_MM)
    few = np.count_nonzero(proud) <= max(1, int(SLIPS_SHARE * np.count_nonzero(np.isfinite(depth_mm))))
    far = bool(np.any(depth_mm[proud] < -SLIP_MM))
    if not few or far or any(rows[int(k)].confirmed for k in np.flatnonzero(proud)):
        return np.zeros_like(proud)
    return proud


def plain_shift(off_mm: Floats, uncut: Bools, placing: Ints) -> Floats:
    """Return what the bar plainly adds to each reading, shape (n,): the middle of what uncut wood of its placing says.

    All have shape (n,): by how much readings exceed what they should be (NaN where not read), whether the seat leaves
    the wood uncut there, and the placing. 0 where uncut wood does not agree, or says more than `MOST_OUT_MM`.
    """
    datum = uncut & np.isfinite(off_mm)
    whole = out_on_uncut(off_mm[datum])
    shift = np.full(len(off_mm), whole if abs(whole) <= MOST_OUT_MM else 0.0)
    for one in np.unique(placing[datum]):
        own = out_on_uncut(off_mm[datum & (placing == one)])
        if 0.0 < abs(own) <= MOST_OUT_MM:
            shift[placing == one] = own
    return shift


def out_on_uncut(off_mm: Floats) -> float:
    """Return the middle of what readings on uncut wood are out by, 0 where they do not agree."""
    if len(off_mm) < 2:
        return 0.0
    middle = float(np.median(off_mm))
    return middle if np.mean(np.abs(off_mm - middle) <= MOST_PROUD_MM) >= AGREEING_SHARE else 0.0


def refuse_off_blank(seat: Seat, rows: Sequence[Row], x: Floats, y: Floats, where: str) -> None:
    """Refuse crossings beyond the outline."""
    off = np.flatnonzero(seat.blank.inside_mm(x, y) < -ON_THE_EDGE_MM)
    if not len(off):
        return
    swapped = np.count_nonzero(seat.blank.inside_mm(y, x) < -ON_THE_EDGE_MM) < 0.5 * len(off)
    hint = (
        "x_mm and y_mm look swapped: x is to the sitter's right from the centre line, y forward from the rear edge"
        if swapped and len(off) > 3
        else "correct the place, or leave the line out"
    )
    row = rows[off[0]]
    more = f" ({_lines(rows, off)} alike)" if len(off) > 1 else ""
    raise FileRefusedError(
        f"{where}, {row.place_in_file}: point {row.point} at x {row.x_mm:g}, y {row.y_mm:g} mm lies off the "
        f"blank{more}; {hint}."
    )


def refuse_other_seat(seat: Seat, rows: Sequence[Row], expected: Floats, datum: Floats, where: str) -> None:
    """Refuse expected readings that are not this seat's."""
    x, y = (np.array([getattr(row, name) for row in rows]) for name in ("x_mm", "y_mm"))
    target = seat.depth_mm(x, y)
    off = np.abs(expected - datum - target)
    bad = np.flatnonzero(off > SAME_SEAT_MM)  # NaN, what is not stated, is not
    if not len(bad):
        return
    row = rows[bad[0]]
    own = datum[bad[0]] + target[bad[0]]
    if len(bad) <= 0.2 * np.isfinite(expected).sum():
        hint = "take the line from the gauge sheet anew"
    else:
        hint = _what_else(seat, rows, expected, datum, target)
    more = f" ({_lines(rows, bad)} alike)" if len(bad) > 1 else ""
    raise FileRefusedError(
        f"{where}, {row.place_in_file}: point {row.point} has expected_mm {row.expected_mm or 0.0:g}, on this seat "
        f"the gauge should read {own:.2f} mm there{more}; {hint}."
    )


def _what_else(seat: Seat, rows: Sequence[Row], expected: Floats, datum: Floats, target: Floats) -> str:
    """Say what a sheet looks like whose expected readings are not the seat's."""
    read = np.array([np.nan if row.reading_mm is None else row.reading_mm for row in rows])
    as_read = np.abs(read - datum - target)[np.isfinite(read)]
    if len(as_read) > 3 and np.mean(as_read < SAME_SEAT_MM / 10.0) > 0.8:
        return "expected_mm and reading_mm look swapped: give each column its own name back"
    x, y = (np.array([getattr(row, name) for row in rows]) for name in ("x_mm", "y_mm"))
    exchanged = np.abs(expected - datum - seat.depth_mm(y, x))
    if np.mean(exchanged[np.isfinite(exchanged)] < SAME_SEAT_MM) > 0.8:
        return "x_mm and y_mm look swapped: give each column its own name back"
    deep = (target > 1.0) & np.isfinite(expected)
    if deep.any():
        shares = (expected - datum)[deep] / target[deep]
        share = float(np.median(shares))
        if 0.05 < share < 0.99 and np.quantile(np.abs(shares - share), 0.8) < 0.03:
            return (
                f"it fits {share:.0%} of the depth: if the sheet is of that stage, give --stage {share:.2g}"
            )
    return "is it another seat's sheet, or are columns mixed up? write the gauge sheet anew"


def refuse_shifted(rows: Sequence[Row], read: Floats, expected: Floats, where: str) -> None:
    """Refuse readings that from some line on fit the crossing before or after far better than their own.

    Compared is how rough the differences from expected are, between lines two apart: neighbours on one side.
    """
    known = np.flatnonzero(np.isfinite(read))
    if len(known) < SHIFT_LEAST + 2 or np.any(np.diff(known) != 1):
        return
    first, last = known[0], known[-1] + 1
    best = (0.0, 0, 0)
    own = _rough(read[first:last] - expected[first:last])
    for step in (1, -1):
        there = np.clip(np.arange(first, last) + step, 0, len(rows) - 1)
        other = _rough(read[first:last] - expected[there])
        gains = np.cumsum((own - other)[::-1])[::-1]
        for k in range(2, len(gains) - SHIFT_LEAST):
            enough = gains[k] > max(SHIFT_GAIN_MM, SHIFT_SHARE * float(own[k:].sum()))
            if enough and gains[k] > best[0]:
                best = (float(gains[k]), first + k, step)
    if best[2]:
        row, word = rows[best[1]], "after" if best[2] > 0 else "before"
        what = (
            "a reading was left out" if best[2] > 0 else "a reading was typed in twice, or a line is missing"
        )
        raise FileRefusedError(
            f"{where}, about line {row.line}: from there on the readings fit the crossing {word} theirs far better; "
            f"it looks as if {what} near that line; put each reading on its own line."
        )


def _rough(off: Floats) -> Floats:
    out = np.zeros(len(off))
    out[2:] = np.minimum(np.abs(off[2:] - off[:-2]), SHIFT_CLIP_MM)
    return out


def _lines(rows: Sequence[Row], which: Ints) -> str:
    named = ", ".join(str(rows[k].line) for k in which[:NAMED_LINES])
    more = f" and {len(which) - NAMED_LINES} more" if len(which) > NAMED_LINES else ""
    return f"lines {named}{more}"
