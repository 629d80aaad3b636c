"""The crossings of a gauge sheet: a grid on the blank, numbered, each with its mirror image and its bar's rests."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.gauge.bar.datum_places import TIP_MM, datum_places, surely_uncut
from seatmesh.gauge.bar.rod_gauge import Gauge, uncut_rests
from seatmesh.surface import Seat
from seatmesh.units import real_number, shown

FINEST_MM, COARSEST_MM = 5.0, 150.0
MIDDLE = 0.15
"""Uncut wood so near the centre line, in widths, tells whether a bar across hangs."""
GUTTER_EDGE_MM = 2.0
"""A rod stands up to so far beside its crossing: nearer to a gutter it may drop in."""
OFF_OUTLINE, IN_GUTTER, NO_REST, BEYOND_REST = (
    "off the outline or on its edge",
    "in the gutter or on its edge",
    "no uncut wood for the bar to rest on at both ends",
    "beyond the bar's rests",
)
WHAT_TO_DO = {
    OFF_OUTLINE: "",
    IN_GUTTER: "",
    NO_REST: "; lay the bar the other way, or on packing pieces whose places and heights you state",
    BEYOND_REST: "; state rests farther out to read there",
}


@dataclass(frozen=True)
class Crossing:
    """One place to read at.

    Attributes
    ----------
    point
        Its number on the sheet, from 1.
    x_mm, y_mm
        In the frame of the blank.
    mirror
        Number of the crossing on the other side; None on the centre line or where that one is left out.
    datum_mm
        What the rod reads on the blank's top face there.
    expected_mm
        What it reads on the seat.
    placing
        Number of the setting of the bar that it is read from: row by row from the rear, or column by column from the
        sitter's left.
    uncut
        Whether it is on wood that stays uncut, and so tells how the bar sits.
    """

    point: int
    x_mm: float
    y_mm: float
    mirror: int | None
    datum_mm: float
    expected_mm: float
    placing: int
    uncut: bool


@dataclass(frozen=True)
class LeftOut:
    """A crossing that is left out, and why."""

    x_mm: float
    y_mm: float
    why: str


def crossings(
    seat: Seat, spacing_mm: float, gauge: Gauge
) -> tuple[tuple[Crossing, ...], tuple[LeftOut, ...]]:
    """Return the crossings of a grid over a seat, and those left out.

    The grid starts on centre line and rear edge. To it are added places on uncut wood, so that each line of it has two
    at either end that tell how the bar sits, and a row over the deck where no row of the grid tells whether the bar
    hangs. Numbers run from the rear edge forward and in each row from the centre line outward, the sitter's left before
    right, so that mirrored pairs follow one another.

    Raises
    ------
    ValueRefusedError
        For a spacing out of range, a bar that slopes too much, or a grid of which nothing is left.
    """
    if not FINEST_MM <= real_number("spacing_mm", spacing_mm) <= COARSEST_MM:
        raise ValueRefusedError(
            "spacing_mm",
            shown(spacing_mm),
            f"allowed is {FINEST_MM:g} to {COARSEST_MM:g} mm",
            "give the distance between crossings, such as 25",
        )
    x, y = _grid(seat, spacing_mm)
    why, datum = _datum(seat, gauge, x, y)
    kept = np.array([not word for word in why])
    left_out = tuple(LeftOut(float(a), float(b), word) for a, b, word in zip(x, y, why, strict=True) if word)
    if not kept.any():
        reason = Counter(one.why for one in left_out if one.why not in (OFF_OUTLINE, IN_GUTTER)).most_common(
            1
        )
        word = reason[0][0] if reason else OFF_OUTLINE
        raise ValueRefusedError(
            "gauge",
            f"a grid of {spacing_mm:g} mm",
            f"every crossing is left out: {word}",
            "choose another grid, or state where the bar rests and how high",
        )
    x, y, datum = _with_datum(seat, gauge, x[kept], y[kept], datum[kept])
    placing = _placings(gauge, x, y)
    number = {(float(a), float(b)): k for k, (a, b) in enumerate(zip(x, y, strict=True), start=1)}
    expected = datum + seat.depth_mm(x, y)
    uncut = surely_uncut(seat, x, y)
    return tuple(
        Crossing(
            point=k + 1,
            x_mm=float(x[k]),
            y_mm=float(y[k]),
            mirror=number.get((-float(x[k]), float(y[k]))) if x[k] else None,
            datum_mm=float(datum[k]),
            expected_mm=float(expected[k]),
            placing=int(placing[k]),
            uncut=bool(uncut[k]),
        )
        for k in range(len(x))
    ), left_out


def _grid(seat: Seat, spacing: float) -> tuple[Floats, Floats]:
    """Return x and y of all crossings of the grid within the blank's length and width, in their order."""
    steps = int(np.floor(0.5 * seat.blank.width_mm / spacing + 1e-9))
    outward = [0.0, *(sign * spacing * k for k in range(1, steps + 1) for sign in (-1.0, 1.0))]
    rows = spacing * np.arange(int(np.floor(seat.blank.depth_mm / spacing + 1e-9)) + 1)
    y, x = np.meshgrid(rows, np.array(outward), indexing="ij")
    return x.ravel(), y.ravel()


def _with_datum(
    seat: Seat, gauge: Gauge, x: Floats, y: Floats, datum: Floats
) -> tuple[Floats, Floats, Floats]:
    """Return the crossings with places on uncut wood added, in their order."""
    along, across = (x, y) if gauge.lie == "across" else (y, x)
    more: list[tuple[float, float]] = []
    for line in np.unique(across):
        rests = gauge.rests_mm or uncut_rests(seat, gauge.lie, float(line))
        places = datum_places(seat, gauge.lie, float(line), along[across == line].tolist(), rests)
        more += [
            (place, float(line)) for end in places for place in end if place not in along[across == line]
        ]
    if gauge.lie == "across" and not np.any(
        surely_uncut(seat, x, y) & (np.abs(x) <= MIDDLE * seat.blank.width_mm)
    ):
        line = round(0.5 * seat.blank.deck_mm)
        more += [(float(one), float(line)) for one in np.unique(x)]
    if not more:
        return x, y, datum
    added = np.array(more)
    new_x, new_y = _on_lines(gauge.lie, added[:, 0], added[:, 1])
    why, new = _datum(seat, gauge, new_x, new_y)
    fits = np.array([not word for word in why])
    x, y = np.concatenate([x, new_x[fits]]), np.concatenate([y, new_y[fits]])
    order = np.lexsort((x > 0.0, np.abs(x), y))
    return x[order], y[order], np.concatenate([datum, new[fits]])[order]


def _on_lines(lie: str, along_mm: Floats, at_mm: Floats) -> tuple[Floats, Floats]:
    """Return x and y of places along bars, each at its own line."""
    return (along_mm, at_mm) if lie == "across" else (at_mm, along_mm)


def _placings(gauge: Gauge, x: Floats, y: Floats) -> NDArray[np.int64]:
    """Return the number of each crossing's line, from 1."""
    return np.unique(y if gauge.lie == "across" else x, return_inverse=True)[1].astype(np.int64) + 1


def _datum(seat: Seat, gauge: Gauge, x: Floats, y: Floats) -> tuple[list[str], Floats]:
    """Return, for each crossing, why it is left out ("" where it is not) and the reading on the top face."""
    inside = seat.blank.inside_mm(x, y) >= TIP_MM
    along, across = (x, y) if gauge.lie == "across" else (y, x)
    why, datum = [OFF_OUTLINE] * len(x), np.full(len(x), np.nan)
    for line in np.unique(across[inside]):
        rests = gauge.rests_mm or uncut_rests(seat, gauge.lie, float(line))
        on_line = np.flatnonzero((across == line) & inside)
        if rests is None:
            for k in on_line:
                why[k] = NO_REST
            continue
        gauge.refuse_slope(rests[1] - rests[0])
        for k in on_line:
            why[k] = "" if rests[0] <= along[k] <= rests[1] else BEYOND_REST
        datum[on_line] = gauge.datum_mm(along[on_line], np.array(rests[0]), np.array(rests[1]))
    for k in np.flatnonzero(_in_gutter(seat, x, y)):
        why[k] = why[k] or IN_GUTTER
    return why, datum


def _in_gutter(seat: Seat, x: Floats, y: Floats) -> NDArray[np.bool_]:
    """Tell which places lie in the gutter or so near that a rod may drop in."""
    blank = seat.blank
    if blank.gutter_depth_mm <= 0.0:
        return np.zeros(len(x), dtype=bool)
    ahead = blank.ahead_of_deck_mm(x, y)
    return np.asarray((ahead > -GUTTER_EDGE_MM) & (ahead < blank.gutter_width_mm + GUTTER_EDGE_MM))
