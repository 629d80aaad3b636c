"""STL, binary and text, in the hands of trimesh behind checks of our own."""

from __future__ import annotations

import io

import numpy as np
from trimesh.exchange.stl import load_stl_ascii, load_stl_binary

from seatmesh.errors import FileRefusedError
from seatmesh.formats.joined_mesh import joined
from seatmesh.formats.scan_contents import MOST_FACETS, Raw, refuse_many, refusing

HEAD_BYTES, FACET_BYTES = 84, 50
MOST_SOLIDS = 1000
LARGEST_TEXT_BYTES = 50_000_000


def read_stl(data: bytes, where: str) -> Raw:
    """Return the triangles of an STL file; the format knows no unit."""
    if len(data) >= HEAD_BYTES:
        count = int.from_bytes(data[80:84], "little")
        if len(data) == HEAD_BYTES + FACET_BYTES * count:
            refuse_many(where, count, MOST_FACETS, "triangles")
            with refusing(where, "binary STL"):
                return joined([load_stl_binary(io.BytesIO(data))])
    if not data[:512].lstrip()[:5].lower() == b"solid" or b"\0" in data:
        raise FileRefusedError(f"{where} cannot be read as STL: {_why(data)}; save it again.")
    if len(data) > LARGEST_TEXT_BYTES:
        raise FileRefusedError(
            f"{where} is a text STL of {len(data)} bytes; allowed are {LARGEST_TEXT_BYTES}; save it as binary STL."
        )
    text = data.lower()
    refuse_many(where, text.count(b"endsolid"), MOST_SOLIDS, "solids")
    if text.count(b"endfacet") != text.count(b"vertex") // 3 or text.rstrip().rfind(b"endsolid") < 0:
        raise FileRefusedError(f"{where} breaks off: a facet without its end, or no endsolid; save it again.")
    with refusing(where, "text STL"):
        solid = load_stl_ascii(io.BytesIO(data))
        pieces = list(solid["geometry"].values()) if "geometry" in solid else [solid]
        raw = joined(pieces)
        if len(raw.faces) != text.count(b"endfacet"):
            raise ValueError("a facet does not hold three points")
        return Raw(np.asarray(raw.points), raw.faces)


def _why(data: bytes) -> str:
    if len(data) < HEAD_BYTES:
        return f"{len(data)} bytes are too few"
    count = int.from_bytes(data[80:84], "little")
    return (
        f"its header tells of {count} triangles, which take {HEAD_BYTES + FACET_BYTES * count} bytes, "
        f"and it has {len(data)}"
    )
