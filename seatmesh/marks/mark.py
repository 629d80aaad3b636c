"""A mark on the bare blank: what it is called, how it is taken, and which are refused."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import shapely

from seatmesh.body.figure.marked_places import Side
from seatmesh.errors import InputError, MissingKeyError, UnknownWordError, ValueRefusedError
from seatmesh.marks.sides import contradiction
from seatmesh.refused import Piece, Place, bare, mm, said
from seatmesh.seating.place import HIP_END_ERROR_MM, TAILBONE_ERRORS_MM
from seatmesh.units import parse_length_mm, shown
from seatmesh.wood.blank import Blank

MARK_ERROR_MM = 3.0
"""Standard error of a mark: a hand under a sitter, a pencil, a tape; common practice."""
LEAST_ERROR_MM, LARGEST_ERROR_MM = 0.01, 100.0
"""No tape is read to a hundredth of a millimetre; a mark that is 100 mm off tells nothing."""
OFF_CENTRE_MM, INNER_OFF_CENTRE_MM = 10.0, 20.0
"""So far beyond the centre line a mark of a sitter who sits aside or turned may lie; an inner thigh line, which lies
next to it, farther. Common practice; of 500 drawn sitters one had an inner thigh line 19 mm beyond it."""
CERTAIN = 3.0
"""So many standard errors of a mark no reading is off."""
KNEES_AHEAD_MM = 250.0
"""How far ahead of the front edge the back of the knees may lie."""
SCATTER = "say how far repeated readings scatter"
SIDES: tuple[Side, ...] = ("left", "right", "middle")


@dataclass(frozen=True)
class MarkKind:
    """One kind of mark.

    Attributes
    ----------
    sides
        Those that it has; a kind that has one only needs no side stated.
    across, along
        How far the body itself leaves its place open in either direction, mm (one standard error); None where the
        mark is a point anywhere on a line in that direction, which says nothing there.
    how
        How the maker takes it.
    """

    sides: tuple[Side, ...]
    across: float | None
    along: float | None
    how: str


_PAIR: tuple[Side, ...] = ("left", "right")
KINDS: Mapping[str, MarkKind] = {
    # A rounded side is within 3 mm of its widest over some 25 mm each way.
    "hip end": MarkKind(_PAIR, HIP_END_ERROR_MM, 15.0, "A square against the widest place of the hip."),
    "sit bone": MarkKind(_PAIR, 0.0, 0.0, "Felt from below, or the middle of its print on carbon paper."),
    "inner thigh line": MarkKind(_PAIR, 0.0, None, "Any point where the thigh's inner side leaves the wood."),
    "outer thigh line": MarkKind(_PAIR, 0.0, None, "Any point where the thigh's outer side leaves the wood."),
    "end of the spine": MarkKind(
        ("middle",), *TAILBONE_ERRORS_MM, "A square let down from the tip of the tailbone."
    ),
    "knee-back line": MarkKind(
        _PAIR,
        None,
        0.0,
        "The hollow of the knee; where it is ahead of the wood, the blank's depth and the gap to the front edge.",
    ),
}
"""Kinds of mark by name; names as in `seatmesh.body.figure.marked_places.Place`. The figures are from memory."""


@dataclass(frozen=True)
class Mark:
    """One mark, as it lies in the frame of the blank.

    Attributes
    ----------
    name
        One of `KINDS`.
    side
        The sitter's.
    x_mm, y_mm
        To the sitter's right of the centre line (negative on the left), and forward from the rear edge.
    standard_error_mm
        Of either reading.

    Examples
    --------
    >>> from seatmesh import Mark
    >>> Mark("sit bone", "left", -58.0, 150.0).standard_error_mm
    3.0
    """

    name: str
    side: Side
    x_mm: float
    y_mm: float
    standard_error_mm: float = MARK_ERROR_MM


def check_marks(marks: Iterable[Mark], blank: Blank, where: str = "marks") -> None:
    """Refuse the first mark whose name or side is unknown, or that lies off the blank.

    Raises
    ------
    UnknownWordError, ValueRefusedError
        It names the mark and the nearest name, side or place on the blank.
    """
    outline = shapely.Polygon(blank.polygon_mm())
    for number, mark in enumerate(marks, start=1):
        try:
            _check_mark(mark, blank, outline, where)
        except InputError as refusal:
            refusal.put(Place("mark"))
            refusal.put_number("mark", number)
            raise


def _check_mark(mark: Mark, blank: Blank, outline: shapely.Polygon, where: str) -> None:
    _check_side(mark.name, mark.side, where)
    label = f"{where} '{mark.name}' {mark.side}"
    for key in ("x_mm", "y_mm", "standard_error_mm"):
        parse_length_mm(getattr(mark, key), f"{label} {key}")
    if not LEAST_ERROR_MM <= mark.standard_error_mm <= LARGEST_ERROR_MM:
        raise ValueRefusedError(
            f"{label} standard_error_mm",
            shown(mark.standard_error_mm),
            f"allowed are {LEAST_ERROR_MM:g} to {LARGEST_ERROR_MM:g} mm",
            SCATTER,
        )
    _check_side_of_line(mark, label)
    _check_on_blank(mark, label, blank, outline)


def check_thigh_lines(marks: Sequence[Mark], where: str = "marks") -> None:
    """Refuse one sitter's inner thigh line that lies outside of the outer one on its side: their names are swapped.

    Raises
    ------
    ValueRefusedError
        It names both marks.
    """
    for side in _PAIR:
        inner, outer = (
            [mark for mark in marks if mark.name == name and mark.side == side]
            for name in ("inner thigh line", "outer thigh line")
        )
        for one in inner:
            beyond = [other for other in outer if abs(other.x_mm) <= abs(one.x_mm)]
            if beyond:
                raise ValueRefusedError(
                    f"{where} 'inner thigh line' {side} x_mm",
                    said("{}", bare("mark.x_mm", abs(one.x_mm))),
                    said(
                        "the outer thigh line there is marked at {}, nearer to the centre line",
                        bare("mark.x_mm", abs(beyond[0].x_mm)),
                    ),
                    "swap their names, or measure again",
                )


def check_name_and_side(name: object, side: object, label: str) -> tuple[str, Side]:
    """Return the name of a mark and its side; refused by `label` unless that mark has that side."""
    if not isinstance(name, str):
        raise ValueRefusedError(f"{label} name", shown(name), "allowed is text", f"give {', '.join(KINDS)}")
    return name, _check_side(name, side, label)


def _check_side(name: str, side: object, label: str) -> Side:
    if name not in KINDS:
        raise UnknownWordError(name, KINDS, f"{label} name")
    sides = KINDS[name].sides
    if side is None:
        if len(sides) == 1:
            return sides[0]
        raise MissingKeyError("side", f"{label} '{name}'", f"add {' or '.join(sides)}, the sitter's.")
    for one in sides:
        if side == one:
            return one
    if isinstance(side, str) and side not in SIDES:
        raise UnknownWordError(side, sides, f"{label} '{name}' side")
    raise ValueRefusedError(
        f"{label} '{name}' side", shown(side), f"allowed are {', '.join(sides)}", "name the sitter's side"
    )


def _check_side_of_line(mark: Mark, label: str) -> None:
    """Refuse a mark that lies on the other side than it is called, farther than its error and place explain."""
    beyond = -mark.x_mm if mark.side == "right" else mark.x_mm if mark.side == "left" else 0.0
    off_centre = INNER_OFF_CENTRE_MM if mark.name == "inner thigh line" else OFF_CENTRE_MM
    if beyond > off_centre + CERTAIN * mark.standard_error_mm:
        raise contradiction(f"{label} x_mm", f"{mark.x_mm:.4g}", mark.x_mm, mark.side)


def _check_on_blank(mark: Mark, label: str, blank: Blank, outline: shapely.Polygon) -> None:
    point = shapely.Point(mark.x_mm, mark.y_mm)
    # The back of a knee may hang ahead of the wood, or beside a rounded corner.
    in_front = 0.5 * blank.depth_mm <= mark.y_mm <= blank.depth_mm + KNEES_AHEAD_MM
    hangs = mark.name == "knee-back line" and in_front and abs(mark.x_mm) <= 0.5 * blank.width_mm
    if hangs or outline.intersects(point):
        return
    near_x, near_y = shapely.shortest_line(outline, point).coords[0]
    raise ValueRefusedError(
        label,
        said("({}, {}) mm", *(Piece(None, one, "mm", text=f"{one:g}") for one in (mark.x_mm, mark.y_mm))),
        said("it lies outside the blank, by {}", mm(float(point.distance(outline)), ".0f")),
        said(
            "measure again; the nearest place on the blank is ({}, {}) mm",
            *(Piece(None, float(one), "mm", text=f"{one:.0f}") for one in (near_x, near_y)),
        ),
    )


__all__ = [
    "KINDS",
    "MARK_ERROR_MM",
    "Mark",
    "MarkKind",
    "check_marks",
    "check_name_and_side",
    "check_thigh_lines",
]
