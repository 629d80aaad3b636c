"""PLY, binary and text, in the hands of trimesh behind a look at the header."""

from __future__ import annotations

import io

from trimesh.exchange.ply import load_ply

from seatmesh.errors import FileRefusedError
from seatmesh.reading.raw import MOST_FACETS, Raw, refuse_many, refusing
from seatmesh.reading.several import joined

LONGEST_HEADER = 20_000
LARGEST_TEXT_BYTES = 15_000_000
MOST_ROWS = 3 * MOST_FACETS


def read_ply(data: bytes, where: str) -> Raw:
    """Return points and triangles of a PLY file; the format knows no unit."""
    end = data[:LONGEST_HEADER].find(b"end_header")
    if data[:3].lower() != b"ply" or end < 0:
        raise FileRefusedError(f"{where} cannot be read as PLY: it has no PLY header; is it the right file?")
    with refusing(where, "PLY"):
        _check_header(data[:end].decode("ascii"), data[end + len(b"end_header") :], where)
        found = load_ply(io.BytesIO(data), resolver=None, fix_texture=False, skip_materials=True)
        return joined([found])


def _check_header(header: str, rest: bytes, where: str) -> None:
    rest_bytes = len(rest)
    lines = [line.split() for line in header.splitlines()]
    is_text = any(line[:2] == ["format", "ascii"] for line in lines)
    if is_text and rest_bytes > LARGEST_TEXT_BYTES:
        raise FileRefusedError(
            f"{where} is a text PLY of {rest_bytes} bytes; allowed are {LARGEST_TEXT_BYTES}; save it as binary PLY."
        )
    if any(line and line[0] not in _HEADER_WORDS for line in lines):
        raise ValueError("a line of its header is no PLY")
    rows = [int(line[2]) for line in lines if line[:1] == ["element"]]
    if min(rows, default=0) < 0:
        raise ValueError("its header tells of less than no rows")
    refuse_many(where, max(rows, default=0), MOST_ROWS, "rows")
    # No row is shorter than a byte, or in text than a figure and a line's end.
    if sum(rows) * (2 if is_text else 1) > rest_bytes:
        raise ValueError(f"its header tells of {sum(rows)} rows, and {rest_bytes} bytes follow")
    if is_text and (follow := len(rest.strip().splitlines())) < sum(rows):
        raise ValueError(f"its header tells of {sum(rows)} rows, and {follow} follow")


_HEADER_WORDS = ("ply", "format", "comment", "obj_info", "element", "property")
