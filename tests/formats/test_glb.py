from __future__ import annotations

import json
import struct
from pathlib import Path

import numpy as np
import pytest
import trimesh

from seatmesh.formats.mesh_attributes import Extras
from seatmesh.formats.mesh_file import mesh_bytes, write_mesh
from seatmesh.mesh import Mesh, volume_mm3
from seatmesh.solids.carved import solid
from seatmesh.surface import Seat


@pytest.fixture(scope="module")
def mesh(uneven_seat: Seat) -> Mesh:
    return solid(uneven_seat, 0.5)


def test_metres_y_up_front_towards_z_and_the_sitters_right_at_minus_x(mesh: Mesh, tmp_path: Path) -> None:
    write_mesh(mesh, tmp_path / "seat.glb")
    read = trimesh.load_mesh(tmp_path / "seat.glb")
    np.testing.assert_allclose(read.bounds, [[-0.24, -0.045, 0.0], [0.24, 0.0, 0.43]], atol=1e-7)
    assert read.is_volume
    assert read.volume == pytest.approx(1e-9 * volume_mm3(mesh), rel=1e-5)
    low = read.vertices[(read.vertices[:, 1] < -0.019) & (read.vertices[:, 1] > -0.044)]
    # Deeper on the sitter's right.
    assert len(low) > 5
    assert np.all(low[:, 0] < 0.0)


def test_the_chunks_are_as_the_format_asks(mesh: Mesh) -> None:
    n = len(mesh.vertices_mm)
    half = np.full((n, 3), 0.5)
    data = mesh_bytes(mesh, ".glb", name="Čelo", extras=Extras(pressure_kpa=np.linspace(0, 40, n), rgb=half))
    magic, version, length, words, kind = struct.unpack("<4sIII4s", data[:20])
    assert (magic, version, length, kind) == (b"glTF", 2, len(data), b"JSON")
    assert words % 4 == 0
    tree = json.loads(data[20 : 20 + words])
    size, kind = struct.unpack("<I4s", data[20 + words : 28 + words])
    assert (size, kind) == (len(data) - 28 - words, b"BIN\0")
    assert tree["buffers"] == [{"byteLength": size}]
    assert tree["nodes"][0]["name"] == "Čelo"
    body = data[28 + words :]

    def array(name: str) -> np.ndarray:
        accessor = tree["accessors"][tree["meshes"][0]["primitives"][0]["attributes"][name]]
        view = tree["bufferViews"][accessor["bufferView"]]
        assert view["byteOffset"] % 4 == 0
        return np.frombuffer(body[view["byteOffset"] :][: view["byteLength"]], "<f4")

    np.testing.assert_allclose(array("_PRESSURE_KPA"), np.linspace(0, 40, n), rtol=1e-6)
    # sRGB 0.5 is 0.2140 of the light (IEC 61966-2-1, from memory).
    np.testing.assert_allclose(array("COLOR_0"), 0.21404, rtol=1e-4)
    position = array("POSITION").reshape(-1, 3)
    accessor = tree["accessors"][1]
    np.testing.assert_array_equal(np.float32(accessor["min"]), position.min(axis=0))
    np.testing.assert_array_equal(np.float32(accessor["max"]), position.max(axis=0))
