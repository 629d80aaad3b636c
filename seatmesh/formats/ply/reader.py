"""PLY: binary in the hands of trimesh behind a look at the header; text by NumPy, in a third of trimesh's time."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice

import numpy as np
from trimesh.exchange.ply import load_ply

from seatmesh.arrays import Floats
from seatmesh.errors import FileRefusedError
from seatmesh.formats.joined_mesh import joined
from seatmesh.formats.scan_contents import MOST_FACETS, Raw, no_faces, refuse_long, refuse_many, refusing

LONGEST_HEADER = 20_000
LONGEST_LINE = 10_000
LARGEST_TEXT_BYTES = 40_000_000
MOST_ROWS = 2 * MOST_FACETS
_WORDS = ("ply", "format", "comment", "obj_info", "element", "property")
_END = b"end_header"


@dataclass(frozen=True)
class _Element:
    """A table of the file: its name, how many rows it has, and the names of its columns; a list's begins with ``*``."""

    name: str
    rows: int
    columns: tuple[str, ...]


def read_ply(data: bytes, where: str) -> Raw:
    """Return points and triangles of a PLY file; the format knows no unit."""
    end = data[:LONGEST_HEADER].find(_END)
    if data[:3].lower() != b"ply" or end < 0:
        raise FileRefusedError(f"{where} cannot be read as PLY: it has no PLY header; is it the right file?")
    with refusing(where, "PLY"):
        lines = [line.split() for line in data[:end].decode("ascii").splitlines()]
        if any(line and line[0] not in _WORDS for line in lines):
            raise ValueError("a line of its header is no PLY")
        is_text = any(line[:2] == ["format", "ascii"] for line in lines)
        elements = _elements(lines)
        _check_rows(elements, len(data) - end, is_text, where)
        if is_text:
            return _read_text(elements, data[end + len(_END) :], where)
        found = load_ply(io.BytesIO(data), resolver=None, fix_texture=False, skip_materials=True)
        return joined([found])


def _elements(lines: list[list[str]]) -> list[_Element]:
    out: list[_Element] = []
    for line in lines:
        if line[:1] == ["element"]:
            out.append(_Element(line[1], int(line[2]), ()))
        elif line[:1] == ["property"]:
            mark = "*" if line[1] == "list" else ""
            last = out.pop()
            out.append(_Element(last.name, last.rows, (*last.columns, mark + line[-1])))
    return out


def _check_rows(elements: list[_Element], rest_bytes: int, is_text: bool, where: str) -> None:
    """Refuse a header that tells of more than there is, or than anyone needs."""
    if is_text and rest_bytes > LARGEST_TEXT_BYTES:
        raise FileRefusedError(
            f"{where} is a text PLY of {rest_bytes} bytes; allowed are {LARGEST_TEXT_BYTES}; save it as binary PLY."
        )
    if min((one.rows for one in elements), default=0) < 0:
        raise ValueError("its header tells of less than no rows")
    total = sum(one.rows for one in elements)
    refuse_many(where, total, MOST_ROWS, "rows")
    # No row is shorter than a byte, or in text than a figure and a line's end.
    if total * (2 if is_text else 1) > rest_bytes:
        raise ValueError(f"its header tells of {total} rows, and {rest_bytes} bytes follow")


def _read_text(elements: list[_Element], rest: bytes, where: str) -> Raw:
    refuse_long(where, rest, b"\n", LONGEST_LINE, "a line")
    lines = iter(io.StringIO(rest.decode("ascii")))
    next(lines)
    points, faces = np.zeros((0, 3)), no_faces()
    for element in elements:
        if element.name == "vertex":
            if not {"x", "y", "z"} <= set(element.columns):
                raise ValueError("its points have no x, y and z")
            columns = [element.columns.index(axis) for axis in "xyz"]
            if any(name.startswith("*") for name in element.columns[: max(columns)]):
                raise ValueError("a list stands before x, y and z")
            points = _table(lines, element.rows, columns)
        elif element.name == "face":
            if element.columns[0][:1] != "*":
                raise ValueError("its faces do not begin with their corners")
            table = _table(lines, element.rows, [0, 1, 2, 3])
            if np.any(table[:, 0] != 3):
                raise ValueError("it has faces of other than three corners; save it as triangles")
            faces = table[:, 1:].astype(np.int64)
        elif len(list(islice(lines, element.rows))) < element.rows:
            raise ValueError("rows are missing")
    return Raw(points, faces)


def _table(lines: Iterator[str], rows: int, columns: list[int]) -> Floats:
    if rows == 0:
        return np.zeros((0, len(columns)))
    table = np.loadtxt(islice(lines, rows), usecols=columns, ndmin=2, comments=None)
    if len(table) < rows:
        raise ValueError(f"its header tells of {rows} rows, and {len(table)} follow")
    return np.asarray(table, dtype=float)
