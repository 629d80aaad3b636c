"""OBJ, in the hands of trimesh; material files that it names are not looked for."""

from __future__ import annotations

import io

from trimesh.exchange.obj import load_obj

from seatmesh.errors import FileRefusedError
from seatmesh.formats.joined_mesh import joined
from seatmesh.formats.scan_contents import MOST_FACETS, MOST_POINTS, Raw, refuse_long, refuse_many, refusing

LONGEST_LINE = 10_000


def read_obj(data: bytes, where: str) -> Raw:
    """Return points and triangles of an OBJ file; the format knows no unit."""
    refuse_long(where, data, b"\n", LONGEST_LINE, "a line")
    lines = b"\n" + data
    refuse_many(where, lines.count(b"\nv "), MOST_POINTS, "points")
    refuse_many(where, lines.count(b"\nf "), MOST_FACETS, "faces")
    if b"\0" in data or lines.count(b"\nv ") == 0:
        raise FileRefusedError(
            f"{where} cannot be read as OBJ: it has no line of a point ('v x y z'); check it."
        )
    with refusing(where, "OBJ"):
        found = load_obj(io.BytesIO(data), resolver=None, skip_materials=True)
        return joined(list(found["geometry"].values()) if "geometry" in found else [found])
