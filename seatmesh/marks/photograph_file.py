"""A file of what was read off a photograph of the marked blank: pixels of corners, check points and marks, in TOML.

::

    image_size_px = [4000, 3000]        # needed with lens = true
    lens = true                         # where straight edges look bent; may be left out

    [[corner]]                          # four, each with its place on the blank
    pixel = [612, 2410]                 # from the image's left and top
    x_mm = -240
    y_mm = 0

    [[check]]                           # four or more crosses whose places were measured
    name = "cross 1"
    pixel = [1320, 1985]
    x_mm = -100
    y_mm = 60

    [[mark]]
    name = "sit bone"
    side = "left"
    pixel = [1722, 1490]
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from seatmesh.errors import MissingKeyError, ValueRefusedError
from seatmesh.files.keys.words import Flag
from seatmesh.files.toml_file import read_toml, refuse_unknown
from seatmesh.marks.known_points import KnownPoint
from seatmesh.marks.mark import check_name_and_side
from seatmesh.marks.photograph import PhotographedMarks, SeenMark, marks_from_photograph
from seatmesh.units import parse_length_mm, real_number, shown
from seatmesh.wood.blank import Blank

KEYS = ("image_size_px", "lens", "corner", "check", "mark")
POINT_KEYS = ("name", "pixel", "x_mm", "y_mm")
SEEN_KEYS = ("name", "side", "pixel", "sitter")
MOST = 200


@dataclass(frozen=True)
class ReadPhotograph:
    """Marks of a photograph, the names of its check points, and whose each mark is ("" where it is not said)."""

    found: PhotographedMarks
    checks: tuple[str, ...]
    sitters: tuple[str, ...]


def read_photograph(path: str | Path, blank: Blank) -> ReadPhotograph:
    """Return the marks in mm that a file of pixels describes, with the error at its check points.

    Raises
    ------
    InputError
        A key, a point or a mark is refused by name; see `seatmesh.marks.photograph.marks_from_photograph`.
    NotSolvedError
        No mapping fits the points.
    """
    where = f"photograph file '{path}'"
    table = read_toml(path, "photograph file")
    refuse_unknown(table, KEYS, where)
    corners = [
        _point(one, f"{where} [[corner]] {i}", f"corner {i}") for i, one in _tables(table, "corner", where)
    ]
    checks = [
        _point(one, f"{where} [[check]] {i}", f"check {i}") for i, one in _tables(table, "check", where)
    ]
    entries = _tables(table, "mark", where)
    seen = [_seen(one, f"{where} [[mark]] {i}") for i, one in entries]
    size = table.get("image_size_px")
    lens = Flag().read(table.get("lens", False), f"{where} lens")
    found = marks_from_photograph(
        corners,
        checks,
        seen,
        blank,
        image_size_px=None if size is None else _pair(size, f"{where} image_size_px"),
        lens=lens,
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
