from __future__ import annotations

import numpy as np
import trimesh

from seatmesh.formats.mesh_attributes import Extras
from seatmesh.formats.mesh_file import mesh_bytes
from seatmesh.formats.obj.writer import vertex_normals
from seatmesh.mesh import Mesh
from seatmesh.solids.carved import solid
from seatmesh.surface import Seat

CORNERS = np.array([[0.0, 0.0, -0.0], [1.0 / 3.0, 0.0, 0.0], [0.0, 2.0, 0.0], [0.0, 0.0, 1e-9]])
FACES = np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]])


def test_lines_are_plain_numbered_from_one_and_grouped_by_part() -> None:
    part = ("under side", "wall", "wall", "top")
    lines = mesh_bytes(Mesh(CORNERS, FACES), ".obj", name="a b", extras=Extras(part)).decode().splitlines()
    assert lines[:4] == [
        "# seatmesh OBJ, unit mm",
        "o a_b",
        "v 0.000000 0.000000 0.000000",
        "v 0.333333 0.000000 0.000000",
    ]
    assert [line for line in lines if line.startswith("g ")] == ["g under_side", "g wall", "g top"]
    facets = [[int(corner.split("//")[0]) for corner in line.split()[1:]] for line in lines if line[0] == "f"]
    assert facets == (FACES + 1).tolist()


def test_each_vertex_has_one_normal_that_looks_outward(carved_seat: Seat) -> None:
    mesh = solid(carved_seat, 0.5)
    lines = mesh_bytes(mesh, ".obj").decode().splitlines()
    normals = np.array([line.split()[1:] for line in lines if line.startswith("vn ")], dtype=float)
    np.testing.assert_allclose(normals, vertex_normals(mesh), rtol=0.0, atol=5.1e-5)
    np.testing.assert_allclose(np.linalg.norm(normals, axis=1), 1.0, atol=2e-4)
    corners = mesh.vertices_mm[mesh.faces]
    flat = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    for i in range(3):
        assert np.einsum("ij,ij->i", flat, normals[mesh.faces[:, i]]).min() > 0.0


def test_the_normal_at_a_cubes_corner_does_not_depend_on_its_diagonals() -> None:
    cube = trimesh.creation.box((2.0, 2.0, 2.0))
    normals = vertex_normals(Mesh(np.array(cube.vertices), np.array(cube.faces, np.int64)))
    np.testing.assert_allclose(normals, cube.vertices / np.sqrt(3.0), atol=1e-12)


def test_normals_of_a_smooth_surface_are_those_of_its_formula(carved_seat: Seat) -> None:
    mesh = solid(carved_seat, 0.02)
    x, y, z = mesh.vertices_mm.T
    inside = (z < -3.0) & (z > -44.0) & (y > 60.0) & (y < 405.0) & (np.abs(x) < 235.0)
    assert carved_seat.hollow is not None
    slope = [carved_seat.hollow(x[inside], y[inside], *order) for order in ((1, 0), (0, 1))]
    exact = np.column_stack([*slope, np.ones(inside.sum())])
    exact /= np.linalg.norm(exact, axis=1, keepdims=True)
    cosine = np.einsum("ij,ij->i", exact, vertex_normals(mesh)[inside])
    turn = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))
    assert len(turn) > 4_000
    assert np.median(turn) < 0.5
    assert turn.max() < 5.0
