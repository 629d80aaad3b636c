"""What is written by hand beside the library's way, in one run: `python tests/benchmarks/libraries.py`.

Each line tells processor time of both, the best of a few rounds in turn, and whether both gave the same content. The
reasons that stand beside the code quote these figures.
"""

from __future__ import annotations

import io
import sys
import time
import zipfile
import zlib
from collections.abc import Callable, Mapping
from xml.etree import ElementTree
from xml.parsers import expat

import numpy as np
import trimesh
from lxml import etree
from PIL import Image
from scipy.spatial import cKDTree
from test_formats import waves
from trimesh.exchange.ply import export_ply, load_ply

from seatmesh.formats.height_map import HeightMap, height_map_png
from seatmesh.formats.ply.reader import read_ply
from seatmesh.formats.ply.writer import ply_bytes
from seatmesh.formats.threemf.reader import read_3mf
from seatmesh.formats.threemf.writer import threemf_bytes
from seatmesh.mesh import Mesh
from seatmesh.reading.strays import _welded

ROUNDS = 5
MODEL = "3D/3dmodel.model"


def told(what: str, runs: Mapping[str, Callable[[], object]]) -> dict[str, object]:
    """Run all in turn, print their best times, and return what each gave."""
    spent: dict[str, list[float]] = {name: [] for name in runs}
    given: dict[str, object] = {}
    for _ in range(ROUNDS):
        for name, run in runs.items():
            start = time.process_time()
            given[name] = run()
            spent[name].append(time.process_time() - start)
    words = ", ".join(f"{name} {1000.0 * min(times):.0f} ms" for name, times in spent.items())
    sys.stdout.write(f"{what}: {words}\n")
    return given


def same(words: str, *, holds: bool) -> None:
    """Print whether the content is equal."""
    sys.stdout.write(f"    {words}: {'equal' if holds else 'NOT EQUAL'}\n")


def pictures(heights: HeightMap) -> None:
    """A height map by Pillow, which filters lines before they are packed, and packed as they are."""
    levels = (65535 + np.round(heights.z_mm / 0.001)).astype(np.uint16)
    lines = np.zeros((len(levels), 1 + 2 * levels.shape[1]), np.uint8)
    lines[:, 1:] = levels.astype(">u2").view(np.uint8)
    runs = {
        "ours, Pillow's": lambda: height_map_png(heights, "seat"),
        "zlib alone": lambda: zlib.compress(lines, 6),
    }
    given = told("height map as PNG", runs)
    sizes = ", ".join(f"{name} {len(data)} bytes" for name, data in given.items())  # type: ignore[arg-type]
    picture = Image.open(io.BytesIO(given["ours, Pillow's"]))  # type: ignore[arg-type]
    same(f"levels ({sizes})", holds=np.array_equal(np.asarray(picture), levels))


def _by_tree(mesh: Mesh) -> bytes:
    model = etree.Element("model")
    points, facets = etree.SubElement(model, "vertices"), etree.SubElement(model, "triangles")
    for x, y, z in mesh.vertices_mm.tolist():
        etree.SubElement(points, "vertex", x=f"{x:.6f}", y=f"{y:.6f}", z=f"{z:.6f}")
    for a, b, c in mesh.faces.tolist():
        etree.SubElement(facets, "triangle", v1=f"{a}", v2=f"{b}", v3=f"{c}")
    return bytes(etree.tostring(model))


def models(mesh: Mesh) -> None:
    """The XML of 3MF, written and read."""
    general = trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)
    given = told(
        "3MF written, whole file (lxml: XML alone, not zipped)",
        {
            "ours": lambda: threemf_bytes(mesh, "seat"),
            "trimesh": lambda: general.export(file_type="3mf"),
            "lxml": lambda: _by_tree(mesh),
        },
    )
    data = given["ours"]
    assert isinstance(data, bytes)
    xml = zipfile.ZipFile(io.BytesIO(data)).read(MODEL)
    tree = etree.fromstring(xml)
    rows = [[float(one.get(axis, "")) for axis in "xyz"] for one in tree.iter("{*}vertex")]
    same("points by lxml's tree", holds=np.array_equal(rows, np.round(mesh.vertices_mm, 6)))

    def by_element_tree() -> object:
        found = [], []  # type: ignore[var-annotated]
        for _, one in ElementTree.iterparse(io.BytesIO(xml)):
            if one.tag.endswith("}vertex"):
                found[0].append([float(one.attrib[axis]) for axis in "xyz"])
            elif one.tag.endswith("}triangle"):
                found[1].append([int(one.attrib[corner]) for corner in ("v1", "v2", "v3")])
            one.clear()
        return np.array(found[0]), np.array(found[1])

    def by_lxml() -> object:
        root = etree.fromstring(xml)
        points = [[float(one.get(axis, "")) for axis in "xyz"] for one in root.iter("{*}vertex")]
        facets = [[int(one.get(v, "")) for v in ("v1", "v2", "v3")] for one in root.iter("{*}triangle")]
        return np.array(points), np.array(facets)

    def by_trimesh() -> object:
        return trimesh.load_scene(io.BytesIO(data), file_type="3mf")

    def bare() -> None:
        expat.ParserCreate().Parse(xml, True)

    read = told(
        "3MF read",
        {
            "ours": lambda: read_3mf(data, "seat"),
            "ElementTree": by_element_tree,
            "lxml": by_lxml,
            "trimesh": by_trimesh,
            "expat with no handlers": bare,
        },
    )
    ours, (points, facets) = read["ours"], read["lxml"]  # type: ignore[misc]
    same("facets", holds=np.array_equal(ours.faces, facets))  # type: ignore[attr-defined]
    off = np.ptp(ours.points - points, axis=0)  # type: ignore[attr-defined]
    same("points but for the build item's move", holds=float(off.max()) < 1e-9)


def tables(mesh: Mesh) -> None:
    """PLY, binary written and text read."""
    general = trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)
    given = told(
        "PLY written, binary",
        {
            "ours": lambda: ply_bytes(mesh, "seat"),
            "trimesh": lambda: export_ply(general, vertex_normal=False),
        },
    )
    back = [load_ply(io.BytesIO(data)) for data in given.values()]  # type: ignore[arg-type]
    apart = float(np.abs(back[0]["vertices"] - back[1]["vertices"]).max())
    same(f"facets; points {apart:.1g} mm apart (trimesh writes single precision)",
         holds=np.array_equal(back[0]["faces"], back[1]["faces"]))  # fmt: skip
    text = export_ply(general, encoding="ascii", vertex_normal=False)
    read = told(
        "PLY read, text",
        {"ours": lambda: read_ply(text, "seat"), "trimesh": lambda: load_ply(io.BytesIO(text))},
    )
    ours, theirs = read["ours"], read["trimesh"]
    equal = np.allclose(ours.points, theirs["vertices"], atol=1e-6)  # type: ignore[attr-defined,index]
    same("points and facets", holds=equal and np.array_equal(ours.faces, theirs["faces"]))  # type: ignore[attr-defined,index]


def welds(mesh: Mesh) -> None:
    """Points that a file lists once for each facet."""
    loose = mesh.vertices_mm[mesh.faces].reshape(-1, 3)

    def by_tree() -> int:
        pairs = cKDTree(loose).query_pairs(1e-9, output_type="ndarray")
        return len(loose) - len(np.unique(pairs[:, 1]))

    def by_trimesh() -> int:
        return len(trimesh.grouping.unique_rows(loose, digits=9)[0])

    given = told(
        f"welding of {len(loose)} corners",
        {
            "ours": lambda: len(_welded(loose)[0]),
            "numpy.unique": lambda: len(np.unique(loose, axis=0, return_inverse=True)[0]),
            "trimesh": by_trimesh,
            "cKDTree": by_tree,
        },
    )
    same("how many points are left", holds=len(set(given.values())) == 1)


def main() -> None:
    """Print all of it."""
    mesh = waves(130)
    x, y = np.arange(960) * 0.5 - 240.0, 430.0 - np.arange(860) * 0.5
    z = -9.0 - 9.0 * np.sin(x[None, :] / 60.0) * np.cos(y[:, None] / 70.0)
    pictures(HeightMap(x, y, z, (0.5, 0.5)))
    sys.stdout.write(f"a mesh of {len(mesh.vertices_mm)} points and {len(mesh.faces)} facets:\n")
    models(mesh)
    tables(mesh)
    welds(mesh)


if __name__ == "__main__":
    main()
