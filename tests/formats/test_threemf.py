from __future__ import annotations

import io
import xml.etree.ElementTree as ET
import zipfile
from pathlib import Path

import numpy as np
import pytest
import trimesh

from seatmesh.formats.mesh_file import mesh_bytes, write_mesh
from seatmesh.formats.threemf.writer import NAMESPACE
from seatmesh.mesh import Mesh
from seatmesh.solids.carved import solid
from seatmesh.surface import Seat

AT = f"{{{NAMESPACE}}}"


@pytest.fixture(scope="module")
def mesh(uneven_seat: Seat) -> Mesh:
    return solid(uneven_seat, 0.5)


def test_the_package_states_unit_name_and_metadata_and_holds_no_clock(mesh: Mesh) -> None:
    package = zipfile.ZipFile(io.BytesIO(mesh_bytes(mesh, ".3mf", name='Viola <1> & "2"')))
    assert package.testzip() is None
    assert package.namelist() == ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"]
    assert {entry.date_time for entry in package.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    assert {entry.compress_type for entry in package.infolist()} == {zipfile.ZIP_DEFLATED}
    model = ET.fromstring(package.read("3D/3dmodel.model"))
    assert model.get("unit") == "millimeter"
    title = model.find(f"{AT}metadata[@name='Title']")
    assert title is not None
    assert title.text == 'Viola <1> & "2"'
    (item,) = model.iter(f"{AT}object")
    assert item.get("name") == 'Viola <1> & "2"'


def test_the_build_item_lies_on_the_bed_in_positive_coordinates(mesh: Mesh, tmp_path: Path) -> None:
    write_mesh(mesh, tmp_path / "seat.3mf")
    pytest.importorskip("lxml")
    placed = trimesh.load(tmp_path / "seat.3mf").to_mesh()
    np.testing.assert_allclose(placed.bounds[0], 0.0, atol=1e-6)
    np.testing.assert_allclose(placed.extents, [480.0, 430.0, 45.0], atol=1e-5)
    assert placed.is_volume


def test_the_consortiums_own_library_reads_it_strictly_and_without_a_warning(
    mesh: Mesh, tmp_path: Path
) -> None:
    lib3mf = pytest.importorskip("lib3mf")
    write_mesh(mesh, tmp_path / "seat.3mf", name="cello")
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(tmp_path / "seat.3mf"))
    assert reader.GetWarningCount() == 0
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    meshes = model.GetMeshObjects()
    assert meshes.MoveNext()
    body = meshes.GetCurrentMeshObject()
    assert body.GetName() == "cello"
    assert body.IsValid()
    assert body.IsManifoldAndOriented()
    vertices = np.array([list(vertex.Coordinates) for vertex in body.GetVertices()])
    np.testing.assert_allclose(vertices, mesh.vertices_mm, rtol=0.0, atol=2e-5)
    np.testing.assert_array_equal([list(t.Indices) for t in body.GetTriangleIndices()], mesh.faces)
