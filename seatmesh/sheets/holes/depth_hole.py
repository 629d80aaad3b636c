"""Depth holes: drilled to a stop before the hollow is carved, each ending above the finished surface."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from seatmesh.deepest import deepest_places
from seatmesh.files.csv_table import csv_text
from seatmesh.sheets.holes.bit import STOP_SET_TO, Bit
from seatmesh.sheets.holes.hole_room import STOP_OFF_MM, room, shift_mm
from seatmesh.surface import Seat
from seatmesh.units import MM_PER_INCH, column, table_figure
from seatmesh.wood.drilled import Cells
from seatmesh.wood.joint import greatest_depth

BESIDE_MM = 3.0
"""Wood between a hole and deck line, gutter, front roll or outline."""
BETWEEN_MM = 10.0
"""Wood between two holes of the grid, so that their figures have room."""
LEAST_STOP_MM = 1.0
"""A shallower hole says nothing that a pencil could not."""
STEP_MM = 0.1
"""To what stops are set unless in inches, rounded to the shallow side, and places told."""
WHOLE_MM, WHOLE_IN = 5.0, 0.25 * MM_PER_INCH
"""What the first row lies on a whole one of, so that places are round in the order's unit."""
RING = 72
COLUMNS = ("hole", "x_mm", "y_mm", "bit_mm", "tip_mm", "stop_mm", "finished_depth_mm", "bit", "stop_set_to")


@dataclass(frozen=True)
class DepthHole:
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
    finished_depth_mm
        How deep the finished seat is at the hole's middle; no setting of anything.
    under_mm
        Least wood between the hole and the real underside, the drill leaning and the stop too deep.
    is_deepest
        Whether it stands at a deepest place of the hollow.
    """

    number: int
    x_mm: float
    y_mm: float
    bit_mm: float
    tip_mm: float
    stop_mm: float
    finished_depth_mm: float
    under_mm: float
    is_deepest: bool = False


@dataclass(frozen=True)
class DepthHoles:
    """All depth holes of a seat, the bit that drills them, and how much wood stays over the finished surface.

    `notes` say why a deepest place has no hole of its own.
    """

    bit: Bit
    allowance_mm: float
    holes: tuple[DepthHole, ...]
    notes: tuple[str, ...] = ()


def holes_of(
    seat: Seat, bit: Bit, spacing_mm: float, allowance_mm: float, step_mm: float = STEP_MM
) -> DepthHoles:
    """Return the depth holes of a seat: at its deepest places, and in rows across, mirrored at the centre line.

    Deck, gutter, front roll, joint zones and edges are left out, and places where nothing deep enough is left to
    drill. Though the drill leans and the stop is set too deep (`hole_room`), at least `allowance_mm` of wood stays
    between every part of the bit and the finished surface, and the floor under it. Stops and places are whole
    `step_mm`, so that what a list can say of them is exact.
    """
    if seat.hollow is None and not seat.adjustments:
        return DepthHoles(bit, allowance_mm, ())
    deep, notes = _deepest(seat, bit, step_mm)
    found = [_hole(seat, bit, at, allowance_mm, step_mm) for at in deep]
    if any(one is None for one in found):
        notes.append(
            "a deepest place has no depth hole of its own: deck, gutter, front roll, joint or edge is too near, or the "
            "hollow is too shallow there for this bit and allowance"
        )
    holes = [replace(one, is_deepest=True) for one in found if one is not None]
    spacing = max(spacing_mm, bit.diameter_mm + BETWEEN_MM)
    apart = max(0.5 * spacing, bit.diameter_mm + BESIDE_MM)
    clear = [(one.x_mm, one.y_mm) for one in holes]
    for x, y in _lattice(seat, spacing, step_mm):
        if all(np.hypot(x - a, y - b) >= apart for a, b in clear):
            hole = _hole(seat, bit, (x, y), allowance_mm, step_mm)
            holes += [] if hole is None else [hole]
    ordered = sorted(holes, key=lambda one: (one.y_mm, one.x_mm))
    numbered = tuple(replace(one, number=number) for number, one in enumerate(ordered, 1))
    return DepthHoles(bit, allowance_mm, numbered, tuple(notes))


def holes_csv(made: DepthHoles, units: str = "mm") -> str:
    """Return the holes as CSV in mm or inches; whole fractions of an inch are written out to the last digit."""
    per = MM_PER_INCH if units == "in" else 1.0
    rows = (
        (
            str(one.number),
            *(_exact(mm / per) for mm in (one.x_mm, one.y_mm, one.bit_mm, one.tip_mm, one.stop_mm)),
            table_figure(one.finished_depth_mm, units, deeper=True),
            made.bit.kind,
            STOP_SET_TO,
        )
        for one in made.holes
    )
    return csv_text([column(name, units) for name in COLUMNS], rows)


def _exact(length: float) -> str:
    """Return a length to 0.000001, a whole 1/64 inch being a whole number of them, without idle zeros."""
    text = f"{length:.6f}".rstrip("0")
    return f"{text}0" if text.endswith(".") else text


def _deepest(seat: Seat, bit: Bit, step_mm: float) -> tuple[list[tuple[float, float]], list[str]]:
    """Return where the holes at the deepest places stand, and what is to be said of it."""
    places = [(_whole(one.x_mm, step_mm), _whole(one.y_mm, step_mm)) for one in deepest_places(seat)]
    if len(places) < 2:
        return places, []
    (x0, y0), (x1, y1) = places
    apart = float(np.hypot(x1 - x0, y1 - y0))
    if apart >= bit.diameter_mm + BESIDE_MM:
        return places, []
    middle = _whole(0.5 * (x0 + x1), step_mm), _whole(0.5 * (y0 + y1), step_mm)
    return [middle], [f"the two deepest places lie {apart:.1f} mm apart: one depth hole stands between them"]


def _hole(
    seat: Seat, bit: Bit, at: tuple[float, float], allowance_mm: float, step_mm: float
) -> DepthHole | None:
    """Return the hole at a place, not numbered yet; None where there is no room for one."""
    x, y = at
    if not _is_free(seat, x, y, 0.5 * bit.diameter_mm):
        return None
    there = room(seat, x, y, bit)
    most = min(there.over_seat_mm - allowance_mm, there.over_floor_mm) - STOP_OFF_MM
    stop = round(step_mm * float(np.floor(most / step_mm + 1e-9)), 6)
    if stop < LEAST_STOP_MM:
        return None
    under = there.over_floor_mm - STOP_OFF_MM - stop + seat.blank.floor_mm
    return DepthHole(0, x, y, bit.diameter_mm, bit.tip_mm, stop, float(seat.depth_mm(x, y)), under)


def _lattice(seat: Seat, spacing: float, step_mm: float) -> Iterator[tuple[float, float]]:
    """Return places in rows, none on the centre line, each with its mirror image."""
    blank = seat.blank
    whole = WHOLE_MM if step_mm == STEP_MM else WHOLE_IN
    first = whole * float(np.ceil((blank.hollow_start_mm + 0.5 * spacing) / whole - 1e-9))
    for y in np.arange(first, blank.depth_mm, spacing):
        side = np.arange(0.5 * spacing, 0.5 * blank.width_mm, spacing)
        for x in np.concatenate([-side[::-1], side]):
            yield _whole(float(x), step_mm), _whole(float(y), step_mm)


def _whole(mm: float, step_mm: float) -> float:
    """Return the nearest whole number of steps, the same either side of 0."""
    return round(float(np.copysign(step_mm * np.floor(abs(mm) / step_mm + 0.5), mm)), 6)


def _is_free(seat: Seat, x: float, y: float, radius: float) -> bool:
    """Tell whether a hole, leaning or not, keeps clear of edges, deck, gutter, front roll and joints."""
    blank = seat.blank
    clear = radius + shift_mm(seat, x, y) + BESIDE_MM
    roll_start = seat.roll_start_mm
    if float(blank.inside_mm(x, y)) < clear or y + clear > roll_start:
        return False
    turn = np.linspace(0.0, 2.0 * np.pi, RING, endpoint=False)
    ahead = blank.ahead_of_deck_mm(x + clear * np.cos(turn), y + clear * np.sin(turn))
    gutter = blank.gutter_width_mm if blank.gutter_depth_mm > 0.0 else 0.0
    if float(ahead.min()) < gutter + np.pi * clear / RING:
        return False
    if not blank.joints:
        return True
    box = Cells(*(np.array([one]) for one in (x - clear, x + clear, y - clear, y + clear)))
    left = np.array([blank.greatest_depth_mm])
    return not bool(np.isfinite(greatest_depth(blank.joints, box, left, blank.wood()))[0])
