"""Timings of mesh files, run on wish only (`pytest --benchmark-only`), and the ratio that the writer is held to.

`python tests/benchmarks/test_formats.py` prints the time of a binary STL of 500,000 facets over that of a bare
structured array of NumPy: the same records filled and turned into bytes, normals left at zero. The aim is 2. Then the
times of all formats over those of the fastest general library at equal content: points and facets; in STL each makes
its normals, in OBJ the others have theirs ready made. PLY is told in double precision, as meshio and VTK do; trimesh
rounds to single and is left out there. The aim is 1.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from seatmesh.formats.glb.writer import glb_bytes
from seatmesh.formats.mesh_attributes import Extras
from seatmesh.formats.mesh_file import mesh_bytes
from seatmesh.formats.obj.writer import obj_file, vertex_normals
from seatmesh.formats.ply.writer import ply_bytes
from seatmesh.formats.registry import formats_written
from seatmesh.formats.stl.writer import stl_bytes
from seatmesh.formats.threemf.writer import threemf_bytes
from seatmesh.mesh import Mesh

RECORD = np.dtype([("normal", "<f4", (3,)), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def waves(cells: int = 500) -> Mesh:
    """Return a rippled square of 2 cells^2 facets, half a million by default."""
    line = np.linspace(0.0, 400.0, cells + 1)
    x, y = (a.ravel() for a in np.meshgrid(line, line))
    i = np.arange(cells * (cells + 1)).reshape(cells, cells + 1)[:, :-1].ravel()
    faces = [np.column_stack([i, i + 1, i + cells + 2]), np.column_stack([i, i + cells + 2, i + cells + 1])]
    return Mesh(np.column_stack([x, y, 10.0 * np.sin(x / 50.0)]), np.vstack(faces))


def bare_bytes(mesh: Mesh) -> bytes:
    facets = np.zeros(len(mesh.faces), RECORD)
    facets["corners"] = mesh.vertices_mm[mesh.faces]
    return bytes(80) + np.array(len(facets), "<u4").tobytes() + facets.tobytes()


def best_ms(run: Callable[[], object], times: int = 7) -> float:
    """Return the least processor time, which what else the machine does touches less than the clock on the wall."""
    spent = []
    for _ in range(times):
        start = time.process_time()
        run()
        spent.append(time.process_time() - start)
    return 1000.0 * min(spent)


@pytest.mark.parametrize("suffix", formats_written("mesh"))
def test_writing_twenty_thousand_facets(benchmark: Any, suffix: str) -> None:
    benchmark(mesh_bytes, waves(100), suffix)


def others(mesh: Mesh, folder: Path) -> dict[str, dict[str, Callable[[], object]]]:
    """Return what writes the same mesh by other libraries."""
    import meshio
    import pyvista
    import trimesh
    from trimesh.exchange.obj import export_obj

    normals = vertex_normals(mesh)
    general = trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False, vertex_normals=normals)
    bare = trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)
    data = pyvista.PolyData(mesh.vertices_mm, np.insert(mesh.faces, 0, 3, axis=1).ravel())
    plain = data.copy()
    data.point_data.active_normals = normals
    cells = meshio.Mesh(mesh.vertices_mm, [("triangle", mesh.faces.astype(np.int32))])

    def stl_by_trimesh() -> object:
        # It keeps normals and corners of facets from one run to the next; a file is written once.
        bare._cache.clear()
        return bare.export(file_type="stl")

    return {
        "STL": {
            "trimesh": stl_by_trimesh,
            "meshio": lambda: cells.write(folder / "meshio.stl", binary=True),
            "VTK": lambda: plain.save(folder / "vtk.stl"),
        },
        "PLY": {
            "meshio": lambda: cells.write(folder / "meshio.ply", binary=True),
            "VTK": lambda: plain.save(folder / "vtk.ply"),
        },
        "GLB": {"trimesh": lambda: general.export(file_type="glb", include_normals=False)},
        "OBJ": {
            "trimesh": lambda: export_obj(general, include_normals=True, digits=6),
            "VTK": lambda: data.save(folder / "vtk.obj"),
        },
        "3MF": {"trimesh": lambda: general.export(file_type="3mf")} | _by_lib3mf(mesh, folder),
    }


def _by_lib3mf(mesh: Mesh, folder: Path) -> dict[str, Callable[[], object]]:
    import lib3mf

    model = lib3mf.get_wrapper().CreateModel()
    body = model.AddMeshObject()
    points = [lib3mf.Position((lib3mf.ctypes.c_float * 3)(*at)) for at in mesh.vertices_mm.tolist()]
    facets = [lib3mf.Triangle((lib3mf.ctypes.c_uint32 * 3)(*face)) for face in mesh.faces.tolist()]
    body.SetGeometry(points, facets)
    model.AddBuildItem(body, lib3mf.get_wrapper().GetIdentityTransform())
    return {"lib3mf": lambda: model.QueryWriter("3mf").WriteToFile(str(folder / "lib3mf.3mf"))}


def ratios(cells: int = 250) -> Iterator[tuple[str, float]]:
    """Yield each format and our time over that of the fastest library, run by run in turn."""
    mesh = waves(cells)
    own: dict[str, Callable[[], object]] = {
        "STL": lambda: stl_bytes(mesh, "seat"),
        "PLY": lambda: ply_bytes(mesh, "seat"),
        "GLB": lambda: glb_bytes(mesh, "seat"),
        "OBJ": lambda: obj_file(mesh, "seat", Extras()),
        "3MF": lambda: threemf_bytes(mesh, "seat"),
    }
    with tempfile.TemporaryDirectory() as folder:
        for form, writers in others(mesh, Path(folder)).items():
            # In turn, so that what else the machine does falls on all of them.
            runs = writers | {"ours": own[form]}
            rounds = [{name: best_ms(run, 1) for name, run in runs.items()} for _ in range(9)]
            spent = {name: min(one[name] for one in rounds) for name in runs}
            ours = spent.pop("ours")
            fastest = min(spent, key=lambda name: spent[name])
            words = ", ".join(f"{name} {ms:.1f} ms" for name, ms in spent.items())
            sys.stdout.write(f"{form}, {len(mesh.faces)} facets: {ours:.1f} ms, {words}, ")
            sys.stdout.write(f"ratio to {fastest} {ours / spent[fastest]:.2f} (aim 1)\n")
            yield form, ours / spent[fastest]


def main() -> None:
    """Print the ratios."""
    mesh = waves()
    bare, ours = best_ms(lambda: bare_bytes(mesh)), best_ms(lambda: stl_bytes(mesh, "seat"))
    sys.stdout.write(f"binary STL, {len(mesh.faces)} facets: {ours:.1f} ms, bare NumPy {bare:.1f} ms, ")
    sys.stdout.write(f"ratio {ours / bare:.2f} (aim 2)\n")
    for _ in ratios():
        pass


if __name__ == "__main__":
    main()
