"""GLB, in the hands of trimesh behind a look at its own table of contents; pictures and materials are passed over."""

from __future__ import annotations

import io
import json
from typing import Any

import numpy as np
from trimesh.exchange.load import load_scene

from seatmesh.errors import FileRefusedError
from seatmesh.formats.joined_mesh import joined
from seatmesh.formats.scan_contents import MOST_FACETS, Raw, refuse_many, refusing

HEAD_BYTES, CHUNK_HEAD_BYTES = 12, 8
LONGEST_CONTENTS = 5_000_000
MOST_PIECES = 2000


def read_glb(data: bytes, where: str) -> Raw:
    """Return points and triangles of a GLB file, its nodes placed; glTF 2.0 counts in metres, y up (Khronos, 3.4).

    Some programs write mm all the same: a unit that the user gives counts more than the metre.
    """
    with refusing(where, "GLB"):
        contents = _contents(data, where)
        if contents.get("extensionsRequired"):
            names = ", ".join(map(str, contents["extensionsRequired"]))[:80]
            raise FileRefusedError(
                f"{where} is packed in a way that is not read ({names}); save it again without compression."
            )
        counts = [int(one["count"]) for one in contents.get("accessors", [])]
        refuse_many(where, max(counts, default=0), 3 * MOST_FACETS, "numbers in one table")
        refuse_many(where, sum(counts), 12 * MOST_FACETS, "numbers in its tables")
        for kind in ("meshes", "nodes", "accessors"):
            refuse_many(where, len(contents.get(kind, [])), MOST_PIECES, kind)
        scene = load_scene(io.BytesIO(data), file_type="glb", resolver=None, skip_materials=True)
        pieces = [_placed(scene, name) for name in scene.graph.nodes_geometry]
        raw = joined(pieces)
        return Raw(raw.points, raw.faces, "m", unit_is_sure=False)


def _placed(scene: Any, name: str) -> dict[str, Any]:
    pose, geometry = scene.graph[name]
    piece = scene.geometry[geometry]
    points = np.asarray(piece.vertices, dtype=float) @ pose[:3, :3].T + pose[:3, 3]
    faces = getattr(piece, "faces", None)
    if faces is not None and np.linalg.det(pose[:3, :3]) < 0.0:
        faces = np.asarray(faces)[:, ::-1]
    return {"vertices": points, "faces": faces}


def _contents(data: bytes, where: str) -> dict[str, Any]:
    """Return the table of contents, which is the file's first chunk."""
    start = HEAD_BYTES + CHUNK_HEAD_BYTES
    if data[:4] != b"glTF" or len(data) < start:
        raise FileRefusedError(f"{where} cannot be read as GLB: it has no glTF header; is it the right file?")
    total, length = (int.from_bytes(data[at : at + 4], "little") for at in (8, 12))
    if total != len(data) or length > len(data) - start or data[16:20] != b"JSON":
        raise FileRefusedError(
            f"{where} cannot be read as GLB: its header tells of {total} bytes, and it has {len(data)}; save it again."
        )
    refuse_many(where, length, LONGEST_CONTENTS, "bytes of contents")
    found = json.loads(data[start : start + length])
    if not isinstance(found, dict):
        raise ValueError("its contents are no table")
    return found
