from __future__ import annotations

from pathlib import Path

import manifold3d
import meshio
import numpy as np
import pytest
import stl
import trimesh

from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.formats.mesh_attributes import Extras
from seatmesh.formats.mesh_file import check_suffix, mesh_bytes, write_mesh
from seatmesh.formats.registry import formats_written
from seatmesh.mesh import Mesh, faults, volume_mm3
from seatmesh.solids.carved import solid, surface_volume_mm3
from seatmesh.surface import Seat

TETRAHEDRON = (
    np.vstack([np.zeros(3), 9.0 * np.eye(3)]),
    np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]]),
)
WRONG = ["seat.step", "seat", "seat.stl.gz", "seat.", ".stl"]


@pytest.fixture(scope="module")
def mesh(uneven_seat: Seat) -> Mesh:
    return solid(uneven_seat, 0.2)


@pytest.fixture(scope="module", params=[".stl", ".obj"])
def written(request: pytest.FixtureRequest, mesh: Mesh, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("meshes") / f"seat{request.param}"
    write_mesh(mesh, path)
    return path


def test_trimesh_reads_one_closed_oriented_body(written: Path, mesh: Mesh, uneven_seat: Seat) -> None:
    read = trimesh.load_mesh(written)
    assert read.is_watertight
    assert read.is_winding_consistent
    assert read.is_volume
    assert read.body_count == 1
    assert len(read.faces) == len(mesh.faces)
    assert len(read.vertices) == len(mesh.vertices_mm)
    np.testing.assert_allclose(read.extents, [480.0, 430.0, 45.0], rtol=1e-6)
    np.testing.assert_allclose(read.bounds[0], [-240.0, 0.0, -45.0], atol=1e-5)
    assert read.volume == pytest.approx(surface_volume_mm3(uneven_seat), rel=1e-3)
    assert read.volume == pytest.approx(volume_mm3(mesh), rel=1e-6)


def test_meshio_reads_the_same_triangles(written: Path, mesh: Mesh, uneven_seat: Seat) -> None:
    read = meshio.read(written)
    vertices, inverse = np.unique(read.points.round(4), axis=0, return_inverse=True)
    back = Mesh(vertices, inverse.reshape(-1)[read.cells_dict["triangle"]].astype(np.int64))
    assert faults(back) == ()
    assert len(back.faces) == len(mesh.faces)
    assert volume_mm3(back) == pytest.approx(surface_volume_mm3(uneven_seat), rel=1e-3)


def test_manifold3d_accepts_it_as_a_manifold(written: Path, mesh: Mesh, uneven_seat: Seat) -> None:
    read = trimesh.load_mesh(written)
    body = manifold3d.Manifold(
        manifold3d.Mesh(np.asarray(read.vertices, np.float32), np.asarray(read.faces, np.uint32))
    )
    assert body.status() == manifold3d.Error.NoError
    assert body.genus() == 0
    assert len(body.decompose()) == 1
    assert body.volume() == pytest.approx(surface_volume_mm3(uneven_seat), rel=1e-3)
    box = body.bounding_box()
    np.testing.assert_allclose(np.subtract(box[3:], box[:3]), [480.0, 430.0, 45.0], rtol=1e-6)


def test_a_mock_up_to_scale_keeps_closed_and_shrinks_by_the_scale(mesh: Mesh, tmp_path: Path) -> None:
    for factor in (0.25, 0.01):
        for suffix in (".stl", ".obj"):
            write_mesh(mesh.scaled(factor), tmp_path / f"small{suffix}")
            read = trimesh.load_mesh(tmp_path / f"small{suffix}")
            assert read.is_volume
            np.testing.assert_allclose(read.extents, np.array([480.0, 430.0, 45.0]) * factor, rtol=1e-4)


def test_the_same_mesh_and_name_give_the_same_bytes_and_the_unit_is_stated(mesh: Mesh) -> None:
    for suffix in ("stl", ".obj", ".STL"):
        first = mesh_bytes(mesh, suffix, name="cello")
        assert first == mesh_bytes(mesh, suffix, name="cello")
        assert b"unit mm" in first[:80]
        assert b"cello" in first[:80]
    stl = mesh_bytes(mesh, ".stl", name="cello")
    assert stl[:80] == b"seatmesh STL, unit mm, cello".ljust(80)
    assert len(stl) == 84 + 50 * len(mesh.faces)


@pytest.mark.parametrize("name", ["", "  ", "Čelo\n1", "long " * 80, "solid", '<&">', "half \ud800"])
def test_any_name_makes_a_file_that_can_be_read(tmp_path: Path, name: str) -> None:
    mesh = Mesh(*TETRAHEDRON)
    for suffix in (".stl", ".obj", ".ply", ".3mf", ".glb"):
        write_mesh(mesh, tmp_path / f"seat{suffix}", name=name)
        assert trimesh.load_mesh(tmp_path / f"seat{suffix}").is_watertight


def test_normals_in_the_stl_look_outward(mesh: Mesh) -> None:
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
    facets = np.frombuffer(mesh_bytes(mesh, ".stl"), record, offset=84)
    underside = np.all(facets["corners"][..., 2] == -45.0, axis=1)
    direction = facets["normal"] / np.linalg.norm(facets["normal"], axis=1, keepdims=True)
    np.testing.assert_allclose(direction[underside, 2], -1.0, atol=1e-5)
    assert np.count_nonzero(direction[:, 2] > 0.3) > 0.8 * len(facets)


def test_text_stl_says_what_the_binary_one_says(mesh: Mesh, tmp_path: Path) -> None:
    write_mesh(mesh, tmp_path / "text.stl", form=".stla", name="viola da gamba")
    write_mesh(mesh, tmp_path / "binary.stl")
    text, binary = (stl.mesh.Mesh.from_file(str(tmp_path / f"{n}.stl")) for n in ("text", "binary"))
    np.testing.assert_allclose(text.vectors, binary.vectors, rtol=0.0, atol=4e-5)
    lines = (tmp_path / "text.stl").read_text().splitlines()
    assert lines[0] == "solid seatmesh_unit_mm_viola_da_gamba"
    normals = np.array([line.split()[2:] for line in lines if line.startswith("facet")], dtype=float)
    exact = np.cross(*(text.vectors[:, i].astype(float) - text.vectors[:, 0] for i in (1, 2)))
    assert np.einsum("ij,ij->i", normals, exact / np.linalg.norm(exact, axis=1)[:, None]).min() > 1.0 - 1e-5


def test_extras_that_do_not_fit_the_mesh_are_refused(mesh: Mesh) -> None:
    n = len(mesh.vertices_mm)
    for extras in (
        Extras(part=("wall",)),
        Extras(pressure_kpa=np.zeros(n + 1)),
        Extras(pressure_kpa=np.full(n, np.nan)),
        Extras(rgb=np.full((n, 3), 1.1)),
        Extras(rgb=np.zeros((n, 4))),
    ):
        with pytest.raises(ValueRefusedError, match="this very mesh"):
            mesh_bytes(mesh, ".ply", extras=extras)


@pytest.mark.parametrize("suffix", formats_written("mesh"))
def test_every_format_gives_the_same_bytes_twice_and_leaves_the_mesh_alone(mesh: Mesh, suffix: str) -> None:
    n = len(mesh.vertices_mm)
    extras = Extras(("hollow",) * len(mesh.faces), np.linspace(0.0, 40.0, n), np.full((n, 3), 0.5))
    vertices, faces = mesh.vertices_mm.copy(), mesh.faces.copy()
    first = mesh_bytes(mesh, suffix, name="cello", extras=extras)
    assert first == mesh_bytes(mesh, suffix, name="cello", extras=extras)
    assert first != mesh_bytes(mesh, suffix, name="bass", extras=extras)
    np.testing.assert_array_equal(mesh.vertices_mm, vertices)
    np.testing.assert_array_equal(mesh.faces, faces)


@pytest.mark.parametrize("name", WRONG)
def test_another_suffix_is_refused_with_what_is_allowed(mesh: Mesh, tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueRefusedError, match=r"\.3mf, \.stl, \.stla, \.obj, \.ply and \.glb"):
        write_mesh(mesh, tmp_path / name)
    with pytest.raises(ValueRefusedError, match=r"\.3mf, \.stl, \.stla, \.obj, \.ply and \.glb"):
        check_suffix(tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_an_empty_mesh_and_one_that_is_not_finite_are_refused(mesh: Mesh, tmp_path: Path) -> None:
    empty = Mesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64))
    broken = Mesh(np.where(mesh.vertices_mm == 0.0, np.nan, mesh.vertices_mm), mesh.faces)
    for one in (empty, broken):
        with pytest.raises(ValueRefusedError, match="finite"):
            write_mesh(one, tmp_path / "seat.stl")
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_cannot_be_written_is_refused(mesh: Mesh, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("")
    with pytest.raises(FileRefusedError, match="folder is needed"):
        write_mesh(mesh, tmp_path / "taken" / "seat.stl")
