"""Timings of mesh files, run on wish only (`pytest --benchmark-only`), and the ratio that the writer is held to.

`python tests/benchmarks/test_formats.py` prints the time of a binary STL of 500,000 facets over that of a bare
structured array of NumPy: the same records filled and turned into bytes, normals left at zero. The aim is 2.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from seatmesh.formats.mesh_file import mesh_bytes
from seatmesh.formats.registry import formats_written
from seatmesh.formats.stl.writer import stl_bytes
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
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        spent.append(time.perf_counter() - start)
    return 1000.0 * min(spent)


@pytest.mark.parametrize("suffix", formats_written("mesh"))
def test_writing_twenty_thousand_facets(benchmark: Any, suffix: str) -> None:
    benchmark(mesh_bytes, waves(100), suffix)


def main() -> None:
    """Print the ratio."""
    mesh = waves()
    bare, ours = best_ms(lambda: bare_bytes(mesh)), best_ms(lambda: stl_bytes(mesh, "seat"))
    sys.stdout.write(f"binary STL, {len(mesh.faces)} facets: {ours:.1f} ms, bare NumPy {bare:.1f} ms, ")
    sys.stdout.write(f"ratio {ours / bare:.2f} (aim 2)\n")


if __name__ == "__main__":
    main()
