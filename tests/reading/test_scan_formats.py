"""GLB, PCD and lists of many millions of points: written by other hands, read as they are or refused in words."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from seatmesh.errors import FileRefusedError
from seatmesh.formats.length_unit import unit_of
from seatmesh.formats.mesh_file import mesh_bytes
from seatmesh.formats.points.many import KEPT
from seatmesh.formats.scan_file import read_raw
from seatmesh.mesh import Mesh, volume_mm3

Floats = NDArray[np.float64]


def pcd(points: Floats, stored: str, more: bool = False) -> bytes:
    """Write a PCD as its description says (pointclouds.org, The PCD file format, version 0.7)."""
    head = (
        f"# .PCD v0.7\nVERSION 0.7\nFIELDS x y z{' rgb normal' * more}\nSIZE 4 4 4{' 4 4' * more}\n"
        f"TYPE F F F{' U F' * more}\nCOUNT 1 1 1{' 1 3' * more}\nWIDTH {len(points)}\nHEIGHT 1\n"
        f"VIEWPOINT 0 0 0 1 0 0 0\nPOINTS {len(points)}\nDATA {stored}\n"
    ).encode()
    if stored == "ascii":
        tail = " 4294 0 0 1" * more
        return head + "".join(f"{x!r} {y!r} {z!r}{tail}\n" for x, y, z in points.tolist()).encode()
    rows = np.zeros((len(points), 7 if more else 3), "<f4")
    rows[:, :3] = points
    return head + rows.tobytes()


@pytest.mark.parametrize("stored", ["ascii", "binary"])
@pytest.mark.parametrize("more", [False, True])
def test_a_pcd_is_read_as_it_is(put: Any, stored: str, more: bool) -> None:
    points = np.random.default_rng(1).uniform(-200.0, 200.0, (500, 3)).astype("<f4").astype(float)
    with_holes = np.vstack([points, [[np.nan, np.nan, np.nan]]])
    raw = read_raw(put(pcd(with_holes, stored, more), ".pcd"))
    np.testing.assert_array_equal(raw.points, points)
    assert raw.unit is None
    assert raw.faces.shape == (0, 3)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (b"POINTS 500", b"POINTS 900", "tells of 900 points"),
        (b"DATA binary", b"DATA binary_compressed", "allowed are ascii and binary"),
        (b"FIELDS x y z", b"FIELDS x y w", "no columns x, y and z"),
        (b"TYPE F F F", b"TYPE F F Q", "cannot be read as PCD"),
        (b"DATA binary", b"D", "cannot be read as PCD"),
    ],
)
def test_a_pcd_whose_header_lies_is_refused(put: Any, old: bytes, new: bytes, words: str) -> None:
    data = pcd(np.zeros((500, 3)), "binary")
    assert old in data
    with pytest.raises(FileRefusedError, match=words):
        read_raw(put(data.replace(old, new), ".pcd"))


def test_a_glb_is_read_in_metres_with_its_nodes_placed(put: Any, box: Mesh) -> None:
    scene = trimesh.Scene()
    part = trimesh.Trimesh(box.vertices_mm / 1000.0, box.faces, process=False)
    scene.add_geometry(part)
    turn = trimesh.transformations.rotation_matrix(np.pi / 2.0, [1.0, 0.0, 0.0], [0.0, 0.0, 0.5])
    scene.add_geometry(part, transform=turn)
    raw = read_raw(put(scene.export(file_type="glb"), ".glb"))
    assert raw.unit == "m"
    assert unit_of(raw, None, "it") == "m"
    assert unit_of(raw, "mm", "it") == "mm", "some programs write mm all the same"
    placed = (np.column_stack([box.vertices_mm / 1000.0, np.ones(8)]) @ turn.T)[:, :3]
    expected = np.vstack([box.vertices_mm / 1000.0, placed])
    for point in expected:
        assert np.linalg.norm(raw.points - point, axis=1).min() < 1e-6
    assert volume_mm3(Mesh(raw.points * 1000.0, raw.faces)) == pytest.approx(12000.0, rel=1e-4)


def test_a_glb_of_ours_comes_back_and_a_damaged_one_is_refused(put: Any, box: Mesh) -> None:
    data = mesh_bytes(box, "glb")
    raw = read_raw(put(data, ".glb"))
    assert volume_mm3(Mesh(raw.points * 1000.0, raw.faces)) == pytest.approx(6000.0, rel=1e-5)
    for broken in (data[:-10], data[:15], b"", b"solid" + data, data.replace(b'"count":', b'"cuont":')):
        with pytest.raises(FileRefusedError, match=r"GLB|holds no points"):
            read_raw(put(broken, ".glb"))
    length = int.from_bytes(data[12:16], "little")
    contents = json.loads(data[20 : 20 + length])
    contents["accessors"].append({"componentType": 5126, "count": 2_000_000_000, "type": "MAT4"})
    text = json.dumps(contents).encode()
    text += b" " * (-len(text) % 4)
    rest = data[20 + length :]
    size = (20 + len(text) + len(rest)).to_bytes(4, "little")
    huge = data[:8] + size + len(text).to_bytes(4, "little") + b"JSON" + text + rest
    with pytest.raises(FileRefusedError, match="numbers in one table; allowed are"):
        read_raw(put(huge, ".glb"))


def test_of_very_many_points_a_share_is_read_whatever_the_kind(put: Any, tmp_path: Path) -> None:
    points = np.random.default_rng(2).uniform(0.0, 400.0, (2_000_000, 3)).astype("<f4")
    head = "ply\nformat binary_little_endian 1.0\nelement vertex 2000000\n"
    head += "".join(f"property float {axis}\n" for axis in "xyz") + "end_header\n"
    files = {
        ".ply": head.encode() + points.tobytes(),
        ".pcd": pcd(points, "binary"),
        ".csv": b"x_mm,y_mm,z_mm\n" + b"".join(b"%.5f,%.5f,%.5f\n" % tuple(row) for row in points.tolist()),
    }
    for suffix, data in files.items():
        raw = read_raw(put(data, suffix))
        assert len(raw.points) == pytest.approx(KEPT, rel=0.02), suffix
        # A share drawn by chance has the middle and the spread of all.
        np.testing.assert_allclose(raw.points.mean(axis=0), 200.0, atol=1.0)
        np.testing.assert_allclose(raw.points.std(axis=0), 400.0 / np.sqrt(12.0), rtol=0.01)
        assert raw.unit == ("mm" if suffix == ".csv" else None)
    with pytest.raises(FileRefusedError, match="tells of 2000000 points"):
        read_raw(put(files[".ply"][:-1000], ".ply"))


def test_a_long_text_that_is_no_list_is_refused(put: Any) -> None:
    for data, words in (
        (b"\n" * 41_000_000, "rows too short"),
        (b"9" * 41_000_000, "a line of more than"),
        (b"1.25,2.50,3.75\n" * 2_700_000 + b"one,two,three\n" * 300_000, "cannot be read as a point list"),
        (b"x,y,depth\n" + b"1.25,2.50,3.75\n" * 2_800_000, "its first line names x, y, depth"),
    ):
        with pytest.raises(FileRefusedError, match=words):
            read_raw(put(data, ".csv"))
