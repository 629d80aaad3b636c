"""Lists of many millions of points: read a piece at a time, and thinned by chance to what a seat needs.

Every point has the same chance, drawn with a fixed seed: a mean of neighbours would hide the scatter, and one of a cell
would shift the surface where the cells cut it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import FileRefusedError
from seatmesh.files.bounded import refuse_unreadable
from seatmesh.formats.points.pcd import LONGEST_HEADER, pcd_header, places
from seatmesh.formats.points.point_list import read_points
from seatmesh.formats.scan_contents import Raw, refuse_many, refusing

KEPT = 1_200_000
LARGEST_BYTES = 1_500_000_000
PIECE_ROWS = 500_000
PIECE_BYTES = 4_000_000
SEED = 23
SHORTEST_ROW = 5
MOST_DRAWN = 4 * KEPT
FEWEST_MANY = 1_500_000
LIST_BYTES = 40_000_000
"""A longer text is read a piece at a time."""
_KINDS = {
    "char": "i1", "int8": "i1", "uchar": "u1", "uint8": "u1", "short": "i2", "int16": "i2", "ushort": "u2",
    "uint16": "u2", "int": "i4", "int32": "i4", "uint": "u4", "uint32": "u4", "float": "f4", "float32": "f4",
    "double": "f8", "float64": "f8",
}  # fmt: skip


def many_of_ply(path: Path, where: str) -> Raw | None:
    """Return a share of the points of a binary PLY of very many without faces; None of any other."""
    with path.open("rb") as stream:
        head = stream.read(LONGEST_HEADER)
    end = head.find(b"end_header")
    lines = [line.split() for line in head[: max(end, 0)].decode("ascii", "replace").splitlines()]
    elements = [line for line in lines if line[:1] == ["element"]]
    order = {"binary_little_endian": "<", "binary_big_endian": ">"}
    stored = next((line[1] for line in lines if line[:1] == ["format"] and len(line) > 1), "")
    rows = {line[1]: line[2] for line in elements if len(line) == 3}
    if stored not in order or not rows.get("vertex", "").isdigit() or int(rows["vertex"]) <= FEWEST_MANY:
        return None
    if elements[0][1] != "vertex" or any(name != "vertex" and count != "0" for name, count in rows.items()):
        return None
    with refusing(where, "PLY"):
        first = lines.index(elements[0])
        own = [line for line in lines[first + 1 : _next(lines, first)] if line[:1] == ["property"]]
        layout = np.dtype([(line[-1], order[stored] + _KINDS[line[1]]) for line in own])
        return _binary(path, head.index(b"\n", end) + 1, layout, int(rows["vertex"]), where)


def _next(lines: list[list[str]], first: int) -> int:
    """Return where the next element begins."""
    later = (number for number in range(first + 1, len(lines)) if lines[number][:1] == ["element"])
    return next(later, len(lines))


def many_of_pcd(path: Path, where: str) -> Raw | None:
    """Return a share of the points of a binary PCD of very many; None of any other."""
    with path.open("rb") as stream:
        head = stream.read(LONGEST_HEADER)
    with refusing(where, "PCD"):
        header = pcd_header(head, where)
        if header.stored != "binary" or header.points <= FEWEST_MANY:
            return None
        return _binary(path, header.start, header.columns, header.points, where)


def many_of_list(path: Path, where: str) -> Raw | None:
    """Return a share of the points of a text of very many; None of a shorter one."""
    size = path.stat().st_size
    if size <= LIST_BYTES:
        return None
    rng = np.random.default_rng(SEED)
    with path.open("rb") as stream:
        head = stream.read(LONGEST_HEADER)
        first = next((line for line in head.splitlines() if line.strip() and not line.startswith(b"#")), b"")
        # The first line may name columns, and their unit; each piece is read below it.
        names = first + b"\n" if re.search(rb"[A-DF-Za-df-z]", first) else b""
        if head.count(b"\n") * SHORTEST_ROW > len(head):
            raise FileRefusedError(f"{where} has rows too short for three numbers; is it the right file?")
        share = min(1.0, KEPT * (len(head) / max(head.count(b"\n"), 1)) / size)
        stream.seek(0)
        kept: list[Floats] = []
        unit, rest = None, b""
        while piece := stream.read(PIECE_BYTES):
            *rows, rest = (rest + piece).splitlines(keepends=True) or [b""]
            if len(rest) > LONGEST_HEADER:
                raise FileRefusedError(
                    f"{where} holds a line of more than {LONGEST_HEADER} bytes; is it the right file?"
                )
            unit = _some_rows(rows, share, rng, names, where, kept) or unit
            refuse_many(
                where,
                sum(map(len, kept)),
                MOST_DRAWN,
                "rows, most of them shorter than the first, in its share",
            )
        unit = _some_rows([rest], 1.0, rng, names, where, kept) or unit
    points = np.vstack(kept) if kept else np.zeros((0, 3))
    if len(points) > KEPT:
        points = points[np.sort(rng.choice(len(points), KEPT, replace=False))]
    return Raw(points, unit=unit)


def _some_rows(
    rows: list[bytes], share: float, rng: np.random.Generator, names: bytes, where: str, kept: list[Floats]
) -> str | None:
    """Read a share of rows into `kept`; return the unit that their names carry."""
    chosen = [rows[int(k)] for k in np.flatnonzero(rng.random(len(rows)) < share)]
    text = b"".join(row for row in chosen if row.strip() and row.strip() != names.strip())
    if not text:
        return None
    raw = read_points(names + text, where)
    kept.append(raw.points)
    return raw.unit


def _binary(path: Path, start: int, layout: np.dtype[np.void], count: int, where: str) -> Raw:
    """Return a share of the rows of a binary table."""
    if path.stat().st_size - start < count * layout.itemsize:
        raise ValueError(
            f"its header tells of {count} points, and {path.stat().st_size - start} bytes follow"
        )
    rng, share = np.random.default_rng(SEED), min(1.0, KEPT / count)
    kept: list[Floats] = []
    with path.open("rb") as stream:
        stream.seek(start)
        for done in range(0, count, PIECE_ROWS):
            rows = np.frombuffer(stream.read(min(PIECE_ROWS, count - done) * layout.itemsize), layout)
            kept.append(places(rows[rng.random(len(rows)) < share]))
    return Raw(np.vstack(kept))


MANY: dict[str, Callable[[Path, str], Raw | None]] = {
    ".ply": many_of_ply, ".pcd": many_of_pcd, ".csv": many_of_list, ".txt": many_of_list, ".xyz": many_of_list,
}  # fmt: skip


def many_points(path: Path, suffix: str, where: str) -> Raw | None:
    """Return a share of the points of a file that holds very many; None where it is read whole.

    Raises
    ------
    FileRefusedError
        There is no such file, or it is damaged or too large.
    """
    if (read := MANY.get(suffix)) is None:
        return None
    refuse_unreadable(path, where, LARGEST_BYTES, "thin it in the scanner's program.")
    try:
        return read(path, where)
    except OSError as error:
        raise FileRefusedError(f"{where} cannot be read: {error}; check the path.") from error


__all__ = ["KEPT", "many_points"]
