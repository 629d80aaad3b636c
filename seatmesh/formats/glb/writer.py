"""GLB (binary glTF 2.0): metres, y up, with pressure colours where they are given.

glTF 2.0 specification (Khronos Group, ISO/IEC 12113), from memory.
"""

from __future__ import annotations

import json
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seatmesh.formats.mesh_attributes import Extras, one_line
from seatmesh.mesh import Mesh
from seatmesh.srgb import linear

FLOAT, UNSIGNED_INT, ARRAY_BUFFER, INDEX_BUFFER = 5126, 5125, 34962, 34963
WOOD_LINEAR = [0.61, 0.42, 0.24, 1.0]
"""Bare wood, linear RGB and opacity, where no colours are given."""


def glb_bytes(mesh: Mesh, name: str, extras: Extras | None = None) -> bytes:
    """Return the mesh as a GLB file: metres, y up, the seat's front towards +z as the format asks.

    The sitter's right is -x there. Vertices carry `COLOR_0` and `_PRESSURE_KPA` where the extras hold them. No
    normals are written, so that viewers draw each facet flat and every vertex is there once. The same mesh, name and
    extras give the same bytes.
    """
    extras = extras or Extras()
    x, y, z = mesh.vertices_mm.T
    attributes = {"POSITION": (0.001 * np.column_stack([-x, z, y])).astype("<f4")}
    if extras.rgb is not None:
        attributes["COLOR_0"] = linear(extras.rgb).astype("<f4")
    if extras.pressure_kpa is not None:
        attributes["_PRESSURE_KPA"] = extras.pressure_kpa.astype("<f4")
    arrays = [mesh.faces.astype("<u4").ravel(), *attributes.values()]
    # Each array's size is a multiple of four bytes, so each view starts on one.
    body = b"".join(array.tobytes() for array in arrays)
    text = json.dumps(_tree(one_line(name), arrays, list(attributes)), separators=(",", ":")).encode("ascii")
    text += b" " * (-len(text) % 4)
    chunks = _chunk(b"JSON", text) + _chunk(b"BIN\0", body)
    return b"glTF" + np.array([2, 12 + len(chunks)], "<u4").tobytes() + chunks


def _tree(name: str, arrays: list[NDArray[Any]], attributes: list[str]) -> dict[str, Any]:
    ends = np.cumsum([array.nbytes for array in arrays]).tolist()
    views, accessors = [], []
    for i, array in enumerate(arrays):
        target = INDEX_BUFFER if i == 0 else ARRAY_BUFFER
        start = ends[i] - array.nbytes
        views.append({"buffer": 0, "byteOffset": start, "byteLength": array.nbytes, "target": target})
        kind = "SCALAR" if array.ndim == 1 else "VEC3"
        number = UNSIGNED_INT if i == 0 else FLOAT
        accessors.append({"bufferView": i, "componentType": number, "count": len(array), "type": kind})
    accessors[1] |= {"min": arrays[1].min(axis=0).tolist(), "max": arrays[1].max(axis=0).tolist()}
    # A vertex colour multiplies the base colour: white leaves it as it is.
    base = [1.0, 1.0, 1.0, 1.0] if "COLOR_0" in attributes else WOOD_LINEAR
    surface = {"baseColorFactor": base, "metallicFactor": 0.0, "roughnessFactor": 0.7}
    corners = {key: i + 1 for i, key in enumerate(attributes)}
    return {
        "asset": {"version": "2.0", "generator": "seatmesh", "extras": {"unit": "m", "up": "y"}},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"mesh": 0, "name": name}],
        "meshes": [{"name": name, "primitives": [{"attributes": corners, "indices": 0, "material": 0}]}],
        "materials": [{"pbrMetallicRoughness": surface}],
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": ends[-1]}],
    }


def _chunk(kind: bytes, data: bytes) -> bytes:
    return np.array([len(data)], "<u4").tobytes() + kind + data
