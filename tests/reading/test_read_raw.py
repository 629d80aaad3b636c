"""Files of every kind, whole and broken: read as they are, or refused in words."""

from __future__ import annotations

import contextlib
import io
import os
import resource
import struct
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from seatmesh.errors import FileRefusedError, InputError, ValueRefusedError
from seatmesh.formats.registry import formats_read
from seatmesh.formats.scan_contents import MOST_FACETS
from seatmesh.formats.scan_file import read_raw
from seatmesh.mesh import Mesh, volume_mm3

KINDS = ("binary STL", "text STL", "OBJ", "binary PLY", "text PLY", "3MF", "CSV", "text list")


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_read_as_it_is(kind: str, writers: Any, put: Any, box: Mesh) -> None:
    suffix, write = writers[kind]
    raw = read_raw(put(write(box), suffix))
    own = np.unique(raw.points, axis=0)
    np.testing.assert_allclose(own, np.unique(box.vertices_mm, axis=0), atol=1e-5)
    if suffix in (".csv", ".txt"):
        assert raw.faces.shape == (0, 3)
    else:
        assert volume_mm3(Mesh(raw.points, raw.faces)) == pytest.approx(6000.0, rel=1e-6)
    assert raw.unit == ("mm" if kind == "3MF" else None)


@pytest.mark.parametrize("kind", KINDS)
def test_a_file_cut_short_is_refused_or_holds_less(kind: str, writers: Any, put: Any, box: Mesh) -> None:
    suffix, write = writers[kind]
    whole = write(box)
    for share in (0.0, 0.03, 0.3, 0.6, 0.9, 0.98):
        path = put(whole[: int(share * len(whole))], suffix)
        if kind in ("OBJ", "CSV", "text list"):
            # These have no end that could be missing; what is left is never more than there was.
            with contextlib.suppress(InputError):
                assert len(read_raw(path).points) <= 8
            continue
        with pytest.raises(FileRefusedError, match=f"scan '.*{suffix}'"):
            read_raw(path)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf])
def test_coordinates_that_are_not_finite_are_refused(
    kind: str, bad: float, writers: Any, put: Any, box: Mesh
) -> None:
    suffix, write = writers[kind]
    broken = Mesh(np.where(box.vertices_mm == 30.0, bad, box.vertices_mm), box.faces)
    if suffix in (".stl", ".obj") and kind != "text STL":
        mesh = Mesh(np.where(box.vertices_mm == 30.0, 12345.5, box.vertices_mm), box.faces)
        old = struct.pack("<f", 12345.5) if suffix == ".stl" else b"12345.500000"
        new = struct.pack("<f", bad) if suffix == ".stl" else str(bad).encode()
        data = write(mesh).replace(old, new)
    else:
        data = write(broken)
    with pytest.raises(FileRefusedError, match=r"not finite|cannot be read"):
        read_raw(put(data, suffix))


@pytest.mark.parametrize("kind", ["OBJ", "binary PLY", "text PLY", "3MF"])
def test_a_triangle_of_a_point_that_is_not_there_is_refused(
    kind: str, writers: Any, put: Any, box: Mesh
) -> None:
    suffix, write = writers[kind]
    faces = box.faces.copy()
    faces[3, 1] = 99
    with pytest.raises(FileRefusedError, match=r"not there|cannot be read"):
        read_raw(put(write(Mesh(box.vertices_mm, faces)), suffix))


def test_an_stl_whose_header_lies_is_refused_with_both_figures(put: Any, writers: Any, box: Mesh) -> None:
    data = bytearray(writers["binary STL"][1](box))
    data[80:84] = (100_000_000).to_bytes(4, "little")
    with pytest.raises(
        FileRefusedError, match=r"100000000 triangles, which take 5000000084 bytes, and it has 684"
    ):
        read_raw(put(bytes(data), ".stl"))


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (b"element vertex 8", b"element vertex 900000000000", "allowed are"),
        (b"element vertex 8", b"element vertex 2000000", "2000012 rows, and"),
        (b"element vertex 8", b"element vertex -8", "less than no rows"),
        (b"element face 12", b"element face 11", "cannot be read as PLY"),
        (b"property double x", b"property dragon x", "cannot be read as PLY"),
        (b"comment made", b"texture made", "no PLY"),
        (b"end_header", b"no_header", "no PLY header"),
    ],
)
def test_a_ply_whose_header_lies_is_refused(
    put: Any, writers: Any, box: Mesh, old: bytes, new: bytes, words: str
) -> None:
    data = writers["binary PLY"][1](box)
    assert old in data
    with pytest.raises(FileRefusedError, match=words):
        read_raw(put(data.replace(old, new), ".ply"))


def test_text_stl_facets_are_counted(put: Any, writers: Any, box: Mesh) -> None:
    data = writers["text STL"][1](box)
    for old, new in ((b"  endloop\n endfacet\n", b""), (b"   vertex", b"   corner"), (b"endsolid", b"")):
        with pytest.raises(FileRefusedError, match=r"breaks off|cannot be read"):
            read_raw(put(data.replace(old, new, 1), ".stl"))


def test_a_3mf_states_its_unit_and_places_its_objects(put: Any, three_mf: Any, box: Mesh) -> None:
    xml, zipped = three_mf
    move = "0 1 0 -1 0 0 0 0 1 5 6 7"
    placed = read_raw(put(zipped(xml(box, "inch", f'<item objectid="1" transform="{move}"/>')), ".3mf"))
    assert placed.unit == "in"
    x, y, z = box.vertices_mm.T
    np.testing.assert_allclose(placed.points, np.column_stack([5.0 - y, 6.0 + x, 7.0 + z]))
    nested = xml(box, "meter", '<item objectid="2" transform="1 0 0 0 1 0 0 0 1 100 0 0"/>').replace(
        "</resources>",
        f'<object id="2"><components><component objectid="1" transform="{move}"/><component objectid="1"/></components>'
        "</object></resources>",
    )
    both = read_raw(put(zipped(nested), ".3mf"))
    assert both.unit == "m"
    np.testing.assert_allclose(both.points[:8], np.column_stack([105.0 - y, 6.0 + x, 7.0 + z]))
    np.testing.assert_allclose(both.points[8:], np.column_stack([100.0 + x, y, z]))
    assert len(both.faces) == 24


def test_a_3mf_that_reaches_outside_or_into_itself_is_refused(
    put: Any, three_mf: Any, box: Mesh, tmp_path: Path
) -> None:
    xml, zipped = three_mf
    secret = tmp_path / "secret.txt"
    secret.write_text("30.0")
    outside = f'<!DOCTYPE model [<!ENTITY e SYSTEM "file://{secret}">]>'
    laughs = '<!DOCTYPE model [<!ENTITY a "lol"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
    for before in (outside, laughs, '<!DOCTYPE model SYSTEM "http://localhost/x.dtd">'):
        with pytest.raises(FileRefusedError, match="document type or entities"):
            read_raw(put(zipped(xml(box, before=before)), ".3mf"))
    other = '<item objectid="1" xmlns:p="http://localhost/p" p:path="/3D/other.model"/>'
    with pytest.raises(FileRefusedError, match="model in another file"):
        read_raw(put(zipped(xml(box, build=other)), ".3mf"))
    itself = xml(box, build='<item objectid="2"/>').replace(
        "</resources>",
        '<object id="2"><components><component objectid="2"/><component objectid="2"/></components></object>'
        "</resources>",
    )
    with pytest.raises(FileRefusedError, match="nested too deeply or too many"):
        read_raw(put(zipped(itself), ".3mf"))
    with pytest.raises(FileRefusedError, match="its unit is 'furlong'"):
        read_raw(put(zipped(xml(box, "furlong")), ".3mf"))
    with pytest.raises(FileRefusedError, match="holds no model"):
        read_raw(put(zipped(xml(box), "readme.txt"), ".3mf"))


def bomb(lie: bool) -> bytes:
    """A zip of 200 KB that unpacks to 200 MB, and says so or not."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("3D/3dmodel.model", b" " * 200_000_000, compresslevel=1)
    data = out.getvalue()
    true = (200_000_000).to_bytes(4, "little")
    return data.replace(true, (1000).to_bytes(4, "little")) if lie else data


def late() -> dict[str, bytes]:
    """Files as large as are let in, sound to the last point."""
    facet = (
        b"facet normal 0 0 1\nouter loop\n" + b"vertex 100.125 200.250 300.375\n" * 3 + b"endloop\nendfacet\n"
    )
    last = facet.replace(b"300.375", b"nan")
    vertex = b'<vertex x="100.125" y="200.250" z="300.375"/>'
    model = b'<model><resources><object id="1"><mesh><vertices>'
    tail = b'</vertices></mesh></object></resources><build><item objectid="1"/></build></model>'
    columns = b"".join(b"property float %c\n" % axis for axis in b"xyz")
    head = b"ply\nformat ascii 1.0\nelement vertex 1490001\n" + columns + b"end_header\n"
    row = b"100.125 200.250 300.375\n"
    return {
        "late.stl": b"solid\n" + facet * (49_000_000 // len(facet)) + last + b"endsolid\n",
        "late.csv": b"100.125000000000,200.250,300.375\n" * 1_200_000 + b"1,2,nan\n",
        "late.obj": (b"v " + row) * 600_000 + b"f 1 2 3\n" * 1_450_000 + b"v nan 0 0\nf 1 2 600001\n",
        "late.3mf": _zip(model + vertex * 660_000 + vertex.replace(b"300.375", b"nan") + tail),
        "late.ply": head + row * 1_490_000 + b"0 0 nan\n",
    }


PLY_HEAD = b"ply\nformat %s 1.0\nelement vertex %d\nproperty %s x\nend_header\n"

HOSTILE: dict[str, Callable[[], bytes]] = {
    "bomb.3mf": lambda: bomb(False),
    "lying-bomb.3mf": lambda: bomb(True),
    "many.3mf": lambda: b"PK\5\6" + b"\0" * 8 + (2**30).to_bytes(4, "little") + b"\0" * 6,
    "deep.3mf": lambda: _zip(b"<a>" * 5_000_000),
    "attributes.3mf": lambda: _zip(b"<a " + b"".join(b'b%d="" ' % i for i in range(2_000_000)) + b"/>"),
    "numbers.csv": lambda: b"9" * 20_000_000,
    "commas.csv": lambda: b"," * 39_000_000,
    "lines.csv": lambda: b"\n" * 39_000_000,
    "faces.obj": lambda: b"v 0 0 0\n" + b"f 1 1 1\n" * 1_400_000 + b"f 1 2 x\n",
    "polygon.obj": lambda: b"v 0 0 0\nf" + b" 1" * 14_000_000,
    "vertices.stl": lambda: b"solid " + b"vertex 0 0\n" * 7_000_000,
    "solids.stl": lambda: b"solid endsolid\n" * 2_000_000,
    "rows.ply": lambda: PLY_HEAD % (b"ascii", 2_900_000, b"float") + b"0\n" * 7_400_000,
    "list.ply": lambda: (
        PLY_HEAD % (b"binary_little_endian", 1, b"list uint double") + b"\xff\xff\xff\xff" + b"\0" * 100
    ),
    "long.stl": lambda: b"solid",
    "zeros.stl": lambda: bytes(80) + (100_000_000).to_bytes(4, "little"),
}
"""Files that would take a careless reader gigabytes or minutes."""
SPARSE = ("long.stl", "zeros.stl")


def write_hostile(path: Path, data: bytes) -> Path:
    """Write one of them; some are stretched to 5 GB, which take no room on the disk."""
    path.write_bytes(data)
    if path.name in SPARSE:
        os.truncate(path, 5_000_000_084)
    return path


def _zip(xml: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("3D/3dmodel.model", xml)
    return out.getvalue()


READ_ONE = """
import resource, sys, time
from seatmesh.errors import InputError
from seatmesh.formats.scan_file import read_raw
resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))
start = time.perf_counter()
try:
    read_raw(sys.argv[1])
    verdict = "read"
except InputError as error:
    verdict = "refused"
    print(str(error)[:200], file=sys.stderr)
peak = next(line for line in open("/proc/self/status") if line.startswith("VmHWM"))
print(verdict, time.perf_counter() - start, int(peak.split()[1]) / 1024)
"""


def verdict_on(path: Path) -> tuple[str, float, float]:
    """Read a file in a process of its own: verdict, seconds, MiB at most."""
    done = subprocess.run(
        [sys.executable, "-c", READ_ONE, str(path)], capture_output=True, text=True, timeout=60, check=True
    )
    word, seconds, mib = done.stdout.split()
    return word, float(seconds), float(mib)


@pytest.mark.parametrize(
    "name", ["bomb.3mf", "lying-bomb.3mf", "many.3mf", "zeros.stl", "long.stl", "list.ply"]
)
def test_hostile_files_are_refused_in_little_time_and_room(name: str, tmp_path: Path) -> None:
    word, seconds, mib = verdict_on(write_hostile(tmp_path / name, HOSTILE[name]()))
    assert word == "refused"
    assert seconds < 5.0
    assert mib < 1024.0


@pytest.mark.slow
def test_all_hostile_files_are_refused_within_5_s_and_1_gib(tmp_path: Path) -> None:
    found = {name: verdict_on(write_hostile(tmp_path / name, make())) for name, make in HOSTILE.items()}
    found |= {name: verdict_on(write_hostile(tmp_path / name, data)) for name, data in late().items()}
    worse = {
        name: verdict
        for name, verdict in found.items()
        if verdict[0] != "refused" or verdict[1] > 5.0 or verdict[2] > 1024.0
    }
    assert worse == {}, found


def test_what_is_no_file_of_a_known_kind_is_refused(put: Any, tmp_path: Path) -> None:
    with pytest.raises(ValueRefusedError, match=r"suffix of a scan = '.doc': allowed are .3mf, .stl, .obj"):
        read_raw(put(b"", ".doc"))
    with pytest.raises(FileRefusedError, match="no such file"):
        read_raw(tmp_path / "none.stl")
    folder = tmp_path / "folder.stl"
    folder.mkdir()
    with pytest.raises(FileRefusedError, match="is a folder"):
        read_raw(folder)
    with pytest.raises(FileRefusedError, match=r"no such file|cannot be read"):
        read_raw("a\0b.stl")
    for suffix in formats_read():
        with pytest.raises(FileRefusedError):
            read_raw(put(b"", suffix))


def test_too_many_triangles_are_refused_with_what_to_do(put: Any) -> None:
    count = MOST_FACETS + 1
    data = bytes(80) + count.to_bytes(4, "little") + bytes(50 * count)
    with pytest.raises(FileRefusedError, match=r"1500001 triangles; allowed are 1500000; thin it"):
        read_raw(put(data, ".stl"))


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("1,2,3\n4,5,6\n", None),
        ("x_mm,y_mm,z_mm\n1,2,3\n4,5,6\n", "mm"),
        ("X (in);Y (in);Z (in);red\n1,0;2;3;9\n4,0;5;6;9\n", "in"),
        ("# from a probe\n\n1 2 3\n# pause\n4   5 6 \n", None),
        ("1\t2\t3\n4\t5\t6", None),
        ("\ufeffx,y,z,quality\r\n1,2,3,0.5\r\n4,5,6,0.5\r\n", None),
    ],
)
def test_point_lists_as_people_write_them(put: Any, text: str, unit: str | None) -> None:
    raw = read_raw(put(text.encode(), ".csv"))
    np.testing.assert_array_equal(raw.points, [[1.0, 2.0, 3.0], [4.0, 5.0, 6.0]])
    assert raw.unit == unit


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("x,y,depth_mm\n1,2,3\n", "its first line names x, y, depth_mm; allowed are x, y and z"),
        ("x_mm,y_in,z_mm\n1,2,3\n", "names two units"),
        ("1,2\n3,4\n", "cannot be read as a point list"),
        ("1,2,3\n4,five,6\n", "cannot be read as a point list"),
        ("x,y,z\n", "holds no points"),
        ("1,2,3\n4,5,nan\n", "point 2 is not finite"),
    ],
)
def test_point_lists_that_are_none_are_refused(put: Any, text: str, words: str) -> None:
    with pytest.raises(FileRefusedError, match=words):
        read_raw(put(text.encode(), ".csv"))


def test_reading_is_quick_enough_to_wait_for(put: Any) -> None:
    count = 200_000
    corners = np.random.default_rng(2).uniform(0.0, 480.0, (count, 12)).astype("<f4")
    record = np.zeros(count, dtype=[("f", "<f4", 12), ("a", "<u2")])
    record["f"] = corners
    path = put(bytes(80) + count.to_bytes(4, "little") + record.tobytes(), ".stl")
    start = time.perf_counter()
    raw = read_raw(path)
    assert time.perf_counter() - start < 2.0
    np.testing.assert_array_equal(raw.points.reshape(count, 9), corners[:, 3:])
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss < 4 << 20
