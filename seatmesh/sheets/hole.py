"""Depth holes: drilled to a stop before the hollow is carved, each ending above the finished surface."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seatmesh.csv_table import csv_text
from seatmesh.drilled import Cells
from seatmesh.joint import greatest_depth
from seatmesh.sheets.slope_bound import hollow_least_mm, slope_bound
from seatmesh.sheets.wishes import HoleWishes
from seatmesh.surface import Seat

Floats = NDArray[np.float64]

SAMPLES = 12
"""Samples across a hole, each way."""
BESIDE_MM = 3.0
"""Wood between a hole and deck line, gutter or outline."""
LEAST_STOP_MM = 1.0
"""A shallower hole says nothing that a pencil could not."""
STEP_MM = 0.1
"""To what stops are set unless in inches, rounded to the shallow side."""
COLUMNS = ("hole", "x_mm", "y_mm", "bit_mm", "tip_mm", "stop_mm")


@dataclass(frozen=True)
class Hole:
    """One depth hole, square to the top face.

    Attributes
    ----------
    number
        Counted row by row from the rear, each row from the sitter's left.
    x_mm, y_mm
        Its middle in the frame of the blank.
    bit_mm, tip_mm
        The bit's diameter, and how far its point reaches below its cutting edges.
    stop_mm
        The depth stop's setting: how far the cutting edges go below the top face. The point ends `tip_mm` lower.
    """

    number: int
    x_mm: float
    y_mm: float
    bit_mm: float
    tip_mm: float
    stop_mm: float


def holes_of(
    seat: Seat, wishes: HoleWishes, allowance_mm: float, step_mm: float = STEP_MM
) -> tuple[Hole, ...]:
    """Return the depth holes of a seat, in rows across, mirrored at the centre line.

    Deck, gutter, joint zones and edges are left out, and places where nothing deep enough is left to drill. The
    point of every bit ends at least `allowance_mm` above the least depth of the finished surface over the whole
    disc of the hole; that least depth is a bound, see `least_depth_mm`. Stops are whole `step_mm`.
    """
    out: list[Hole] = []
    if seat.hollow is None:
        return ()
    for x, y in _lattice(seat, wishes.spacing_mm):
        if not _is_free(seat, x, y, 0.5 * wishes.bit_mm):
            continue
        room = least_depth_mm(seat, x, y, 0.5 * wishes.bit_mm) - allowance_mm - wishes.tip_mm
        stop = step_mm * float(np.floor(room / step_mm + 1e-9))
        if stop >= LEAST_STOP_MM:
            out.append(Hole(len(out) + 1, x, y, wishes.bit_mm, wishes.tip_mm, round(stop, 6)))
    return tuple(out)


def least_depth_mm(seat: Seat, x_mm: float, y_mm: float, radius_mm: float) -> float:
    """Return a depth, mm, that the finished surface reaches or passes everywhere in a disc of the plan.

    The least of samples on a square lattice over the disc, less the bound on the slope times the farthest that any
    place lies from a sample: half of a lattice cell's diagonal.
    """
    step = 2.0 * radius_mm / SAMPLES
    along = step * (np.arange(SAMPLES) + 0.5) - radius_mm
    x, y = np.asarray(x_mm + along[None, :], dtype=float), np.asarray(y_mm + along[:, None], dtype=float)
    steep = slope_bound(seat, (x_mm - radius_mm, y_mm - radius_mm, x_mm + radius_mm, y_mm + radius_mm))
    least = float(hollow_least_mm(seat, x, y).min())
    return least - steep * step * float(np.sqrt(0.5))


def holes_csv(holes: tuple[Hole, ...]) -> str:
    """Return the holes as CSV, mm."""
    rows = (
        (
            str(one.number),
            f"{one.x_mm:.1f}",
            f"{one.y_mm:.1f}",
            f"{one.bit_mm:g}",
            f"{one.tip_mm:g}",
            f"{one.stop_mm:.6g}",
        )
        for one in holes
    )
    return csv_text(COLUMNS, rows)


def _lattice(seat: Seat, spacing: float) -> Iterator[tuple[float, float]]:
    """Return places in rows, to 0.1 mm, none on the centre line, each with its mirror image."""
    blank = seat.blank
    first = blank.hollow_start_mm + 0.5 * spacing
    for y in np.arange(first, blank.depth_mm, spacing):
        side = np.arange(0.5 * spacing, 0.5 * blank.width_mm, spacing)
        for x in np.concatenate([-side[::-1], side]):
            yield round(float(x), 1), round(float(y), 1)


def _is_free(seat: Seat, x: float, y: float, radius: float) -> bool:
    """Tell whether a hole keeps clear of edges, deck, gutter and joints."""
    blank = seat.blank
    clear = radius + BESIDE_MM
    if float(blank.inside_mm(x, y)) < clear:
        return False
    gutter = blank.gutter_width_mm if blank.gutter_depth_mm > 0.0 else 0.0
    if float(blank.ahead_of_deck_mm(x, y)) < gutter + clear:
        return False
    if not blank.joints:
        return True
    box = Cells(*(np.array([one]) for one in (x - radius, x + radius, y - radius, y + radius)))
    left = np.array([blank.greatest_depth_mm])
    return not bool(np.isfinite(greatest_depth(blank.joints, box, left, blank.wood()))[0])
