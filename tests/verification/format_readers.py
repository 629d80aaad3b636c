"""Every reader that the registries carry for a mesh format: a path in, vertices and triangles in mm out.

A reader that knows the file's unit applies it; one that does not takes the numbers as they are. A reader that is not
installed raises ImportError.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Raw = tuple[NDArray[np.float64], NDArray[np.int64]]
Reader = Callable[[Path], Raw]

GLTF_MM = 1000.0
"""A glTF file is in metres."""


def _as_raw(vertices: Any, faces: Any) -> Raw:
    return np.asarray(vertices, dtype=float), np.asarray(faces, dtype=np.int64)


def _from_gltf(vertices: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return metres, y up, front towards +z, as mm in the frame of the blank."""
    return GLTF_MM * np.column_stack([-vertices[:, 0], vertices[:, 2], vertices[:, 1]])


def by_trimesh(path: Path) -> Raw:
    import trimesh

    read = trimesh.load_mesh(path)
    vertices = read.vertices
    if path.suffix == ".3mf":
        assert read.units in ("mm", "millimeter", "millimeters"), read.units
    if path.suffix == ".glb":
        vertices = _from_gltf(np.asarray(vertices))
    return _as_raw(vertices, read.faces)


def by_meshio(path: Path) -> Raw:
    import meshio

    read = meshio.read(path)
    return _as_raw(read.points, read.cells_dict["triangle"])


def by_vtk(path: Path) -> Raw:
    import pyvista

    read = pyvista.read(path)
    if isinstance(read, pyvista.MultiBlock):
        (read,) = [block for block in read.recursive_iterator() if block is not None and block.n_points]
    surface = read.extract_surface(algorithm="dataset_surface") if path.suffix == ".glb" else read
    vertices = np.asarray(surface.points, dtype=float)
    if path.suffix == ".glb":
        vertices = _from_gltf(vertices)
    return _as_raw(vertices, np.asarray(surface.faces).reshape(-1, 4)[:, 1:])


def by_numpy_stl(path: Path) -> Raw:
    import stl

    corners = stl.mesh.Mesh.from_file(str(path)).vectors.reshape(-1, 3)
    return _as_raw(corners, np.arange(len(corners)).reshape(-1, 3))


def by_manifold3d(path: Path) -> Raw:
    """The library reads no files: it is given trimesh's arrays and says whether they are a solid."""
    import manifold3d

    vertices, faces = merged(*by_trimesh(path))
    body = manifold3d.Manifold(manifold3d.Mesh(vertices.astype(np.float32), faces.astype(np.uint32)))
    if body.status() != manifold3d.Error.NoError:
        raise ValueError(f"manifold3d refuses it: {body.status()}")
    mesh = body.to_mesh()
    return _as_raw(mesh.vert_properties[:, :3], mesh.tri_verts)


def by_lib3mf(path: Path) -> Raw:
    """The consortium's own reader, strict: any warning is an error."""
    import lib3mf

    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader(path.suffix[1:])
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    if reader.GetWarningCount():
        raise ValueError(f"lib3mf warns: {reader.GetWarning(0)}")
    meshes = model.GetMeshObjects()
    meshes.MoveNext()
    mesh = meshes.GetCurrentMeshObject()
    if not mesh.IsManifoldAndOriented():
        raise ValueError("lib3mf calls it not manifold and oriented")
    if path.suffix == ".3mf" and model.GetUnit() != lib3mf.ModelUnit.MilliMeter:
        raise ValueError(f"the unit is {model.GetUnit()}")
    vertices = [list(vertex.Coordinates) for vertex in mesh.GetVertices()]
    return _as_raw(vertices, [list(triangle.Indices) for triangle in mesh.GetTriangleIndices()])


def by_open3d(path: Path) -> Raw:
    import open3d

    read = open3d.io.read_triangle_mesh(str(path))
    vertices = np.asarray(read.vertices)
    if len(vertices) == 0:
        raise ValueError("Open3D reads nothing")
    if path.suffix == ".glb":
        vertices = _from_gltf(vertices)
    return _as_raw(vertices, read.triangles)


def by_cad_kernel(path: Path) -> Raw:
    from OCP.RWStl import RWStl

    read = RWStl.ReadFile_s(str(path))
    points = [read.Node(i + 1) for i in range(read.NbNodes())]
    faces = [read.Triangle(i + 1).Get() for i in range(read.NbTriangles())]
    return _as_raw([(p.X(), p.Y(), p.Z()) for p in points], np.array(faces) - 1)


ANY: dict[str, Reader] = {"trimesh": by_trimesh, "manifold3d": by_manifold3d}
COMMON = ANY | {"meshio": by_meshio, "VTK": by_vtk, "Open3D": by_open3d}
STL = COMMON | {"numpy-stl": by_numpy_stl, "CAD kernel": by_cad_kernel}

READERS: dict[str, dict[str, Reader]] = {
    "STL binary": STL | {"lib3mf": by_lib3mf},
    "STL text": STL,
    "OBJ": COMMON,
    "PLY": COMMON,
    "3MF": ANY | {"lib3mf": by_lib3mf},
    "GLB": ANY | {"VTK": by_vtk, "Open3D": by_open3d},
}
"""What is left out cannot read the format at all: lib3mf no text STL, meshio no GLB, neither Open3D nor VTK 3MF."""


def merged(vertices: NDArray[np.float64], faces: NDArray[np.int64]) -> Raw:
    """Join vertices that a format lists once for each facet: those that agree to the last digit, and no others."""
    distinct, index = np.unique(vertices + 0.0, axis=0, return_inverse=True)
    return distinct, np.asarray(index, dtype=np.int64).reshape(-1)[faces]
