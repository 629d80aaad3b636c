"""Sixteen seats unlike one another, as files: every format is right in every reader, and in programs of other makers.

`python tests/verification/format_matrix.py seats` prints how many seats were right in each reader. What programs are
asked, and how they are installed, stands in `tests/verification/outside_programs.py`; a test whose program is missing
is skipped and says so.
"""

from __future__ import annotations

import re
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from format_matrix import BULGE_MM, FORMS, Row, seat_rows, written_mesh
from format_readers import by_numpy_stl, merged
from outside_programs import by_cad_program, by_slicer, gltf_faults, sliced_mm3
from self_intersections import self_intersections
from solid_seats import SEATS

from seatmesh.formats.glb.reader import read_glb
from seatmesh.formats.mesh_file import mesh_bytes
from seatmesh.formats.step.writer import write_step
from seatmesh.mesh import Mesh, faults, volume_mm3
from seatmesh.mock_up.seat import mock_up
from seatmesh.solids.carved import solid, surface_volume_mm3
from seatmesh.surface import Seat

pytestmark = pytest.mark.slow

NO_STEP = {"offset deck far forward, waisted, all edges"}
"""The CAD kernel makes no solid of these, and the writer says so."""
SQUARE_EDGE = {"corners rounder than the round, bevel"}
"""The kernel cannot round the top edge of these; the file's header says that it was left square."""


@pytest.mark.parametrize("name", SEATS)
def test_every_reader_finds_every_file_of_a_seat_right(name: str) -> None:
    with warnings.catch_warnings():
        # What readers warn of is their own: meshio's guess at text or binary overflows, VTK's loader is deprecated.
        warnings.simplefilter("ignore")
        table = list(seat_rows(name))
    asked = {row.form for row in table if row.right}
    assert asked >= set(FORMS)
    wrong = [row for row in table if not row.right and not row.is_missing]
    if name in NO_STEP:
        wrong = [row for row in wrong if not row.remark.startswith("NotSolvedError")]
    if name in SQUARE_EDGE:
        wrong = [row for row in wrong if row.form != "STEP" or not only_square(SEATS[name](), row)]
    assert wrong == []


def only_square(seat: Seat, row: Row) -> bool:
    """Tell whether a solid has too much wood by that between a square edge and a round one, within a tenth of it."""
    length_mm = shapely.Polygon(seat.blank.polygon_mm()).exterior.length
    more_mm3 = (1.0 - 0.25 * np.pi) * seat.blank.round_over_mm**2 * length_mm
    share = 100.0 * more_mm3 / surface_volume_mm3(seat)
    whole = bool(row.closed and row.oriented) and row.extents_off_mm <= BULGE_MM
    return whole and row.volume_off_percent == pytest.approx(share, rel=0.1)


@pytest.mark.parametrize("name", SEATS)
def test_no_facets_pass_through_one_another_once_numbers_have_single_precision(
    name: str, tmp_path: Path
) -> None:
    mesh, _ = written_mesh(SEATS[name]())
    path = tmp_path / "seat.stl"
    path.write_bytes(mesh_bytes(mesh, ".stl"))
    glb = read_glb(mesh_bytes(mesh, ".glb"), "seat.glb")
    for read in (Mesh(*merged(*by_numpy_stl(path))), Mesh(1000.0 * glb.points, glb.faces)):
        assert faults(read) == ()
        assert self_intersections(read) == 0


@pytest.mark.parametrize("name", SEATS)
def test_nor_do_those_of_mock_up_parts(name: str) -> None:
    seat = SEATS[name]()
    for scale, bed_mm in (("1:2", 220.0), ("1:8", 120.0)):
        for part in mock_up(seat, scale, bed_mm=(bed_mm, bed_mm, bed_mm)).parts:
            rough = part.mesh.vertices_mm.astype(np.float32).astype(float)
            read = Mesh(*merged(rough, part.mesh.faces))
            assert faults(read) == ()
            assert self_intersections(read) == 0


@pytest.mark.parametrize("suffix", [".3mf", ".stl"])
@pytest.mark.parametrize("name", SEATS)
def test_a_slicer_fills_a_whole_seat_and_has_nothing_to_mend(name: str, suffix: str, tmp_path: Path) -> None:
    """Full of plastic a print holds the wood's volume, less what its rounded corners and thin layers leave."""
    mesh, wood_mm3 = written_mesh(SEATS[name]())
    path = tmp_path / f"seat{suffix}"
    path.write_bytes(mesh_bytes(mesh, suffix))
    assert told(sliced_mm3, path) == pytest.approx(wood_mm3, rel=0.015)


@pytest.mark.parametrize("name", SEATS)
def test_a_slicer_takes_every_mock_up_part_and_has_nothing_to_mend(name: str, tmp_path: Path) -> None:
    seat = SEATS[name]()
    for scale, bed_mm, suffix in (("1:1", 180.0, ".stl"), ("1:2", 220.0, ".3mf"), ("1:8", 120.0, ".stl")):
        for part in mock_up(seat, scale, bed_mm=(bed_mm, bed_mm, bed_mm)).parts:
            path = tmp_path / f"part{suffix}"
            path.write_bytes(mesh_bytes(part.mesh, suffix))
            found = told(by_slicer, path)
            assert found.closed
            assert found.oriented
            assert found.volume_mm3 == pytest.approx(volume_mm3(part.mesh), rel=1e-4)
            if scale == "1:2":
                told(sliced_mm3, path, 0.5)


@pytest.fixture(scope="module")
def damaged() -> dict[str, Mesh]:
    """Return meshes of which a slicer must not say that all is well."""
    mesh = solid(SEATS["flat board"]())
    turned = np.vstack([mesh.faces[:1, ::-1], mesh.faces[1:]])
    return {
        "a hole": Mesh(mesh.vertices_mm, mesh.faces[3:]),
        "a facet turned": Mesh(mesh.vertices_mm, turned),
        "a facet twice": Mesh(mesh.vertices_mm, np.vstack([mesh.faces, mesh.faces[:1]])),
        "a facet that is a line": Mesh(mesh.vertices_mm, np.vstack([mesh.faces, [[0, 0, 1]]])),
    }


@pytest.mark.parametrize("suffix", [".stl", ".3mf", ".obj"])
def test_a_slicer_tells_what_is_damaged(suffix: str, damaged: dict[str, Mesh], tmp_path: Path) -> None:
    path = tmp_path / f"seat{suffix}"
    for mesh in damaged.values():
        path.write_bytes(mesh_bytes(mesh, suffix))
        with pytest.raises(ValueError, match=r"open_edges|facets_"):
            told(by_slicer, path)


def test_the_validator_tells_what_is_damaged(tmp_path: Path) -> None:
    data = mesh_bytes(solid(SEATS["flat board"]()), ".glb")
    path = tmp_path / "seat.glb"
    path.write_bytes(re.sub(rb'"max":\[0.2', b'"max":[0.3', data))
    assert any("ACCESSOR_MAX_MISMATCH" in fault for fault in told(gltf_faults, path))


def test_the_cad_program_tells_what_is_damaged(tmp_path: Path) -> None:
    pytest.importorskip("OCP")
    path = tmp_path / "seat.step"
    write_step(SEATS["flat board"](), path)
    whole = path.read_text()
    path.write_text(re.sub(r"(CLOSED_SHELL\('[^']*',\(#\d+),#\d+", r"\1", whole))
    assert path.read_text() != whole
    found = told(by_cad_program, path)
    assert not (found.closed and found.oriented)


def told(ask: Callable[..., Any], *given: Any) -> Any:
    """Return what a program answers, or skip the test where it is not installed."""
    try:
        return ask(*given)
    except ImportError as error:
        pytest.skip(str(error))
