"""A file of what was read off a photograph of the marked blank: pixels of corners, check points and marks, in TOML.

::

    image_size_px = [4000, 3000]        # the whole picture, so that its lens can be found

    edge = [[900, 2440], [1800, 2450]]  # anywhere on the outline of the top face; may be left out

    [[known]]                           # four or more whose places are known: corners, ends of the centre line, crosses
    name = "cross 1"
    pixel = [1320, 1985]                # from the picture's left and top
    x_mm = -100
    y_mm = 60

    [[mark]]
    name = "sit bone"
    side = "left"
    pixel = [1722, 1490]

Where the size of the picture is not known its lens cannot be found: four [[corner]] make the plane then, and four or
more [[check]] say how far that is off.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from seatmesh.errors import MissingKeyError, ValueRefusedError
from seatmesh.files.keys.words import Flag
from seatmesh.files.toml_file import read_toml, refuse_unknown
from seatmesh.marks.camera_marks import CameraMark, CameraMarks, camera_marks
from seatmesh.marks.known_points import KnownPoint
from seatmesh.marks.mark import check_name_and_side
from seatmesh.marks.photograph import PhotographedMarks, SeenMark, marks_from_photograph
from seatmesh.units import parse_length_mm, real_number, shown
from seatmesh.wood.blank import Blank

KEYS = ("image_size_px", "lens", "corner", "check", "mark", "known", "edge")
PLANE_KEYS = ("corner", "check")
THROUGH_LENS = ("image_size_px", "known", "edge", "mark")
"""Keys of a photograph whose lens is found with it."""
POINT_KEYS = ("name", "pixel", "x_mm", "y_mm")
SEEN_KEYS = ("name", "side", "pixel", "sitter")
MOST = 200
WHOLE = "give image_size_px, the width and height of the whole picture in pixels"


@dataclass(frozen=True)
class ReadPhotograph:
    """Marks of a photograph, the names of its check points, and whose each mark is ("" where it is not said)."""

    found: PhotographedMarks
    checks: tuple[str, ...]
    sitters: tuple[str, ...]


@dataclass(frozen=True)
class ReadThroughLens:
    """Marks of a photograph whose lens was found with them, and whose each mark is ("" where it is not said)."""

    found: CameraMarks
    sitters: tuple[str, ...]

    def facts(self) -> dict[str, Any]:
        """Return all of it as plain values, lengths to a hundredth of a millimetre."""
        found = self.found
        return {
            "marks": [
                ({"sitter": sitter} if sitter else {}) | _mark_facts(one)
                for one, sitter in zip(found.marks, self.sitters, strict=True)
            ],
            "points": [{"name": one.name, "off_mm": _hundredths(one.off_mm)} for one in found.points],
            "rms_mm": _hundredths(found.rms_mm),
            "worst_mm": _hundredths(found.worst_mm),
            "worst": found.worst,
            "bend_percent": _hundredths(found.bend_percent),
            "bend_error_percent": _hundredths(found.bend_error_percent),
            "lens_told": found.lens_told,
            "doubts": list(found.doubts),
        }


def _mark_facts(one: CameraMark) -> dict[str, Any]:
    mark = one.mark
    return {
        "name": mark.name,
        "side": mark.side,
        "x_mm": round(mark.x_mm, 2),
        "y_mm": round(mark.y_mm, 2),
        "standard_error_mm": round(mark.standard_error_mm, 2),
        "within_mm": round(one.within_mm, 2),
        "sure": one.sure,
    }


def _hundredths(value: float | None) -> float | None:
    return None if value is None else round(value, 2)


def read_photograph(path: str | Path, blank: Blank) -> ReadPhotograph | ReadThroughLens:
    """Return the marks in mm that a file of pixels describes, with how surely they are known.

    Raises
    ------
    InputError
        A key, a point or a mark is refused by name; see `seatmesh.marks.photograph.marks_from_photograph`.
    NotSolvedError
        No mapping fits the points.
    """
    return photograph_of(read_toml(path, "photograph file"), f"photograph file '{path}'", blank)


def photograph_of(table: Mapping[str, Any], where: str, blank: Blank) -> ReadPhotograph | ReadThroughLens:
    """Return the marks that a table of pixels describes, as `read_photograph` does; `where` names it in a refusal."""
    refuse_unknown(table, KEYS, where)
    lens = Flag().read(table.get("lens", "image_size_px" in table), f"{where} lens")
    if lens or "known" in table or "edge" in table:
        return read_through_lens(table, where, blank)
    return _in_plane(table, where, blank)


def read_through_lens(table: Mapping[str, Any], where: str, blank: Blank) -> ReadThroughLens:
    """Return the marks of a table that has the size of the picture; raises as `read_photograph`."""
    if "image_size_px" not in table:
        raise MissingKeyError("image_size_px", where, f"the lens is found from it: {WHOLE}.")
    known = [
        _point(one, f"{where} [[{key}]] {i}", f"{key} {i}")
        for key in ("known", *PLANE_KEYS)
        if key in table
        for i, one in _tables(table, key, where)
    ]
    edge = table.get("edge", [])
    if not isinstance(edge, list):
        raise ValueRefusedError(
            f"{where} edge", shown(edge), "allowed is a list of pixels", "write [[612, 2410], ...]"
        )
    entries = _tables(table, "mark", where) if table.get("mark") else []
    found = camera_marks(
        known,
        [_pair(one, f"{where} edge {i}") for i, one in enumerate(edge, start=1)],
        [_seen(one, f"{where} [[mark]] {i}") for i, one in entries],
        blank,
        _pair(table["image_size_px"], f"{where} image_size_px"),
    )
    return ReadThroughLens(found, tuple(_sitter(one, f"{where} [[mark]] {i}") for i, one in entries))


def _in_plane(table: Mapping[str, Any], where: str, blank: Blank) -> ReadPhotograph:
    corners = [
        _point(one, f"{where} [[corner]] {i}", f"corner {i}") for i, one in _tables(table, "corner", where)
    ]
    checks = [
        _point(one, f"{where} [[check]] {i}", f"check {i}") for i, one in _tables(table, "check", where)
    ]
    entries = _tables(table, "mark", where)
    seen = [_seen(one, f"{where} [[mark]] {i}") for i, one in entries]
    size = table.get("image_size_px")
    found = marks_from_photograph(
        corners,
        checks,
        seen,
        blank,
        image_size_px=None if size is None else _pair(size, f"{where} image_size_px"),
    )
    sitters = tuple(_sitter(one, f"{where} [[mark]] {i}") for i, one in entries)
    return ReadPhotograph(found, tuple(one.name for one in checks), sitters)


def _tables(table: Mapping[str, Any], key: str, where: str) -> list[tuple[int, Mapping[str, Any]]]:
    given = table.get(key, [])
    if not isinstance(given, list) or not all(isinstance(one, Mapping) for one in given):
        raise ValueRefusedError(
            f"{where} {key}", shown(given), "allowed is a list of tables", f"write [[{key}]] for each"
        )
    if not given:
        raise MissingKeyError(key, where, f"write a table [[{key}]] for each.")
    if len(given) > MOST:
        raise ValueRefusedError(
            f"{where} {key}", f"{len(given)} of them", f"at most {MOST}", "leave some out"
        )
    return list(enumerate(given, start=1))


def _point(table: Mapping[str, Any], label: str, name: str) -> KnownPoint:
    refuse_unknown(table, POINT_KEYS, label)
    _need(table, ("pixel", "x_mm", "y_mm"), label)
    given = table.get("name", name)
    if not isinstance(given, str):
        raise ValueRefusedError(f"{label} name", shown(given), "allowed is text", "give a short name")
    at = tuple(parse_length_mm(table[key], f"{label} {key}") for key in ("x_mm", "y_mm"))
    return KnownPoint(given, _pair(table["pixel"], f"{label} pixel"), (at[0], at[1]))


def _seen(table: Mapping[str, Any], label: str) -> SeenMark:
    refuse_unknown(table, SEEN_KEYS, label)
    _need(table, ("name", "pixel"), label)
    name, side = check_name_and_side(table["name"], table.get("side"), label)
    return SeenMark(name, side, _pair(table["pixel"], f"{label} pixel"))


def _sitter(table: Mapping[str, Any], label: str) -> str:
    given = table.get("sitter", "")
    if not isinstance(given, str):
        raise ValueRefusedError(f"{label} sitter", shown(given), "allowed is text", "give the sitter's name")
    return given


def _need(table: Mapping[str, Any], keys: tuple[str, ...], label: str) -> None:
    for key in keys:
        if key not in table:
            raise MissingKeyError(key, label, "add it.")


def _pair(given: object, label: str) -> tuple[float, float]:
    if not isinstance(given, list) or len(given) != 2:
        raise ValueRefusedError(label, shown(given), "allowed are two numbers", "write it like [612, 2410]")
    return real_number(label, given[0]), real_number(label, given[1])
