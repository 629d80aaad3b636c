from __future__ import annotations

from pathlib import Path

import meshio
import numpy as np
import pytest
import trimesh

from seatmesh.formats.mesh_attributes import Extras
from seatmesh.formats.mesh_file import mesh_bytes, write_mesh
from seatmesh.mesh import Mesh
from seatmesh.solids.carved import solid
from seatmesh.surface import Seat


@pytest.fixture(scope="module")
def mesh(uneven_seat: Seat) -> Mesh:
    return solid(uneven_seat, 0.5)


@pytest.fixture(scope="module")
def extras(mesh: Mesh) -> Extras:
    depth = -mesh.vertices_mm[:, 2] / 45.0
    return Extras(pressure_kpa=80.0 * depth, rgb=np.column_stack([depth, 1.0 - depth, 0.2 + 0.0 * depth]))


def test_pressure_comes_back_as_a_number_and_as_a_colour(mesh: Mesh, extras: Extras, tmp_path: Path) -> None:
    write_mesh(mesh, tmp_path / "seat_mm.ply", extras=extras)
    read = meshio.read(tmp_path / "seat_mm.ply")
    np.testing.assert_array_equal(read.points, mesh.vertices_mm)
    np.testing.assert_array_equal(read.cells_dict["triangle"], mesh.faces)
    np.testing.assert_allclose(read.point_data["pressure_kpa"], extras.pressure_kpa, rtol=1e-6)
    seen = trimesh.load_mesh(tmp_path / "seat_mm.ply", process=False)
    np.testing.assert_allclose(
        seen.visual.vertex_colors[:, :3] / 255.0, extras.rgb, rtol=0.0, atol=0.5001 / 255
    )
    assert seen.is_volume


def test_the_header_is_plain_and_states_the_unit(mesh: Mesh, extras: Extras) -> None:
    header, _, body = mesh_bytes(mesh, ".ply", name="Čelo", extras=extras).partition(b"end_header\n")
    lines = header.decode("ascii").splitlines()
    assert lines[:4] == [
        "ply",
        "format binary_little_endian 1.0",
        "comment seatmesh PLY, unit mm",
        "comment ?elo",
    ]
    assert "property float pressure_kpa" in lines
    assert len(body) == len(mesh.vertices_mm) * (24 + 3 + 4) + len(mesh.faces) * 13


def test_without_extras_there_are_places_only(mesh: Mesh) -> None:
    header = mesh_bytes(mesh, ".ply").partition(b"end_header\n")[0]
    assert header.count(b"property") == 4
