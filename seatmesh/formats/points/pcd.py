"""PCD, the point cloud file of the Point Cloud Library, as text and binary.

By NumPy: the header is ten words, and the libraries that read it weigh hundreds of MB or add nothing to this. Packed
data (binary_compressed) is refused.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import FileRefusedError
from seatmesh.formats.scan_contents import Raw, refuse_long, refusing

LONGEST_HEADER = 20_000
LONGEST_LINE = 10_000
KINDS = {"F": "f", "I": "i", "U": "u"}


@dataclass(frozen=True)
class PcdHeader:
    """What a PCD file holds: its columns as NumPy has them, how many points, how they are stored, where they begin."""

    columns: np.dtype[np.void]
    points: int
    stored: str
    start: int


def read_pcd(data: bytes, where: str) -> Raw:
    """Return the points of a PCD file; the format knows no unit. Points without a place (NaN) are left out."""
    with refusing(where, "PCD"):
        header = pcd_header(data[:LONGEST_HEADER], where)
        rest = memoryview(data)[header.start :]
        if header.stored == "binary":
            if len(rest) < header.points * header.columns.itemsize:
                raise ValueError(f"its header tells of {header.points} points, and {len(rest)} bytes follow")
            table = np.frombuffer(rest, header.columns, header.points)
            return Raw(places(table))
        refuse_long(where, data, b"\n", LONGEST_LINE, "a line")
        names = header.columns.names or ()
        columns = [names.index(axis) for axis in "xyz"]
        points = np.loadtxt(io.BytesIO(rest), usecols=columns, ndmin=2, comments="#")
        if len(points) != header.points:
            raise ValueError(f"its header tells of {header.points} points, and {len(points)} follow")
        return Raw(np.asarray(points[np.isfinite(points).all(axis=1)], dtype=float))


def places(table: np.ndarray[tuple[int], np.dtype[np.void]]) -> Floats:
    """Return x, y and z of rows, shape (n, 3), those without a place left out."""
    points = np.column_stack([table[axis].astype(float) for axis in "xyz"])
    return np.asarray(points[np.isfinite(points).all(axis=1)])


def pcd_header(head: bytes, where: str) -> PcdHeader:
    """Return what the first lines of a PCD file say."""
    words: dict[str, list[str]] = {}
    start = 0
    while "DATA" not in words:
        end = head.find(b"\n", start)
        if end < 0:
            raise FileRefusedError(
                f"{where} cannot be read as PCD: it has no PCD header; is it the right file?"
            )
        line = head[start:end].decode("ascii", "replace").split()
        start = end + 1
        if line and not line[0].startswith("#"):
            words[line[0]] = line[1:]
    stored = words["DATA"][0].lower()
    if stored not in ("ascii", "binary"):
        raise FileRefusedError(
            f"{where} stores its points as {stored[:30]}; allowed are ascii and binary; save it so."
        )
    counts = [int(word) for word in words.get("COUNT", ["1"] * len(words["FIELDS"]))]
    columns = []
    for number, (name, size, kind, count) in enumerate(
        zip(words["FIELDS"], words["SIZE"], words["TYPE"], counts, strict=True)
    ):
        one = (f"{name}" if name in "xyz" else f"column {number}", f"<{KINDS[kind]}{int(size)}")
        columns.append(one if count == 1 else (*one, (count,)))
    layout = np.dtype(columns)
    points = (
        int(words["POINTS"][0]) if "POINTS" in words else int(words["WIDTH"][0]) * int(words["HEIGHT"][0])
    )
    if points < 0 or not {"x", "y", "z"} <= set(layout.names or ()):
        raise ValueError("it has no columns x, y and z")
    return PcdHeader(layout, points, stored, start)
