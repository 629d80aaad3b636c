"""Scans to read back, made from seats of which everything is known."""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from seatmesh.formats.mesh_file import mesh_bytes
from seatmesh.mesh import Mesh

Floats = NDArray[np.float64]
CONTENT = '<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>'
CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"


def plain_obj(mesh: Mesh) -> bytes:
    """Write points and triangles and no more, whether or not the triangles make sense."""
    points = "".join("v {:.6f} {:.6f} {:.6f}\n".format(*point) for point in mesh.vertices_mm)
    return (points + "".join("f {} {} {}\n".format(*(face + 1)) for face in mesh.faces)).encode()


def ply_bytes(mesh: Mesh, binary: bool = True) -> bytes:
    """Write a PLY by hand: no reader of ours has had a hand in it."""
    form = "binary_little_endian" if binary else "ascii"
    head = (
        f"ply\nformat {form} 1.0\ncomment made for a test\nelement vertex {len(mesh.vertices_mm)}\n"
        "property double x\nproperty double y\nproperty double z\n"
        f"element face {len(mesh.faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    ).encode()
    if not binary:
        rows = [f"{x!r} {y!r} {z!r}" for x, y, z in mesh.vertices_mm.tolist()]
        rows += [f"3 {a} {b} {c}" for a, b, c in mesh.faces.tolist()]
        return head + "\n".join(rows).encode() + b"\n"
    faces = b"".join(struct.pack("<Biii", 3, *face) for face in mesh.faces.tolist())
    return head + mesh.vertices_mm.astype("<f8").tobytes() + faces


def text_stl_bytes(mesh: Mesh) -> bytes:
    """Write a text STL by hand."""
    out = ["solid seat"]
    for corners in mesh.vertices_mm[mesh.faces].tolist():
        out += [" facet normal 0 0 1", "  outer loop"]
        out += [f"   vertex {x!r} {y!r} {z!r}" for x, y, z in corners]
        out += ["  endloop", " endfacet"]
    return "\n".join([*out, "endsolid seat", ""]).encode()


def model_xml(
    mesh: Mesh, unit: str = "millimeter", build: str = '<item objectid="1"/>', before: str = ""
) -> str:
    """Write the model of a 3MF by hand."""
    points = "".join(f'<vertex x="{x!r}" y="{y!r}" z="{z!r}"/>' for x, y, z in mesh.vertices_mm.tolist())
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in mesh.faces.tolist())
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>{before}<model unit="{unit}" xmlns="{CORE}"><resources>'
        f'<object id="1" type="model"><mesh><vertices>{points}</vertices><triangles>{faces}</triangles></mesh></object>'
        f"</resources><build>{build}</build></model>"
    )


def zipped(xml: str | bytes, name: str = "3D/3dmodel.model") -> bytes:
    """Put a model into the zip of a 3MF."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", CONTENT)
        archive.writestr(name, xml)
    return out.getvalue()


def list_bytes(points: Floats, between: str = ",", head: str = "x,y,z\n") -> bytes:
    """Write a point list."""
    return (head + "".join(between.join(map(repr, row)) + "\n" for row in points.tolist())).encode()


WRITERS: dict[str, tuple[str, Callable[[Mesh], bytes]]] = {
    "binary STL": (".stl", lambda mesh: mesh_bytes(mesh, "stl")),
    "text STL": (".stl", text_stl_bytes),
    "OBJ": (".obj", plain_obj),
    "binary PLY": (".ply", ply_bytes),
    "text PLY": (".ply", lambda mesh: ply_bytes(mesh, False)),
    "3MF": (".3mf", lambda mesh: zipped(model_xml(mesh))),
    "CSV": (".csv", lambda mesh: list_bytes(mesh.vertices_mm)),
    "text list": (".txt", lambda mesh: list_bytes(mesh.vertices_mm, " ", "")),
}


@pytest.fixture
def put(tmp_path: Path) -> Callable[[bytes, str], Path]:
    """Return a function that writes bytes to a file of a suffix."""

    def write(data: bytes, suffix: str) -> Path:
        path = tmp_path / f"scan{suffix}"
        path.write_bytes(data)
        return path

    return write


@pytest.fixture(scope="session")
def box() -> Mesh:
    """Return a closed box of 30 x 20 x 10."""
    corners = np.array([[x, y, z] for x in (0.0, 30.0) for y in (0.0, 20.0) for z in (0.0, 10.0)])
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    faces = [face for a, b, c, d in quads for face in ((a, b, c), (a, c, d))]
    return Mesh(corners, np.array(faces))


@pytest.fixture(scope="session")
def writers() -> dict[str, Any]:
    """Return the writers of all kinds of scans: suffix and function of a mesh."""
    return WRITERS


@pytest.fixture(scope="session")
def three_mf() -> Any:
    """Return the two functions that make a 3MF: the model's XML, and its zip."""
    return model_xml, zipped
