"""Files to take of a seat: the gauge on paper, parts for a printer, pressure on a mesh, seat file and report."""

import csv
import io
import zipfile

import numpy as np
import pypdfium2
import pytest
import trimesh
from fastapi.testclient import TestClient
from seatmesh_service.app import create_app
from seatmesh_service.limits import ServiceLimits

from seatmesh import read_seat

GAUGE = "bar_height_mm=60&spacing_mm=50"
SEAT = {"title": "to take", "sitter": [{"body": "viola"}, {"body": "cello"}], "wishes": {"depth_mm": 14}}


@pytest.fixture(scope="module")
def client(tmp_path_factory):
    """Return a client of a service with the usual limits: a mesh with pressure has many facets."""
    app = create_app(tmp_path_factory.mktemp("kept"), ServiceLimits(quick_s=300.0))
    with TestClient(app, base_url="http://localhost", raise_server_exceptions=False) as one:
        yield one


@pytest.fixture(scope="module")
def at(client):
    answer = client.post("/seats", json=SEAT)
    assert answer.status_code == 201, answer.text
    return f"/seats/{answer.json()['id']}"


def got(client, path):
    answer = client.get(path)
    assert answer.status_code == 200, answer.text
    return answer


def test_the_gauge_sheet_is_pages_to_write_on_and_a_table(client, at):
    pages = got(client, f"{at}/gauge-sheet.pdf?{GAUGE}&paper=Letter")
    document = pypdfium2.PdfDocument(pages.content)
    text = "\n".join(page.get_textpage().get_text_range() for page in document)
    assert "bar height 60 mm" in text
    assert pages.headers["content-disposition"] == 'attachment; filename="to-take-gauge-sheet.pdf"'
    table = got(client, f"{at}/gauge-sheet.txt?{GAUGE}").text
    assert table.startswith("GAUGE SHEET   to take")
    assert "8 27/32" not in table
    assert '2 3/8"' in got(client, f"{at}/gauge-sheet.txt?{GAUGE}&units=in").text
    # A stage is less deep: what is expected there is less.
    half = got(client, f"{at}/gauge-sheet.txt?{GAUGE}&share=0.5").text
    assert half != table
    assert client.get(f"{at}/gauge-sheet.pdf?{GAUGE}&paper=A99").status_code == 422
    assert client.get(f"{at}/gauge-sheet.pdf?{GAUGE}&share=0").status_code == 422


def test_a_mock_up_comes_in_parts_that_fit_the_bed(client, at):
    asked = f"{at}/mock-up.zip?scale=1:4&bed_width_mm=80&bed_depth_mm=90&bed_height_mm=60&sitter=1"
    answer = got(client, asked)
    assert answer.headers["content-type"] == "application/zip"
    assert answer.headers["content-disposition"] == 'attachment; filename="to-take-mock-up-1-4-mm.zip"'
    archive = zipfile.ZipFile(io.BytesIO(answer.content))
    rows = list(csv.DictReader(io.StringIO(archive.read("parts.csv").decode())))
    assert {one["file"] for one in rows} == {one for one in archive.namelist() if one.endswith(".stl")}
    assert sum("sitter" in one["file"] for one in rows) >= 2
    assert any("peg" in one["file"] and int(one["count"]) > 1 for one in rows)
    for row in rows:
        mesh = trimesh.load(io.BytesIO(archive.read(row["file"])), file_type="stl")
        assert mesh.is_watertight, row["file"]
        size = [float(row[f"{name}_mm"]) for name in ("width", "depth", "height")]
        assert mesh.extents == pytest.approx(size, abs=0.06)
        assert np.all(np.sort(mesh.extents[:2]) <= np.sort([80.0, 90.0]) + 1e-6)
        assert mesh.extents[2] <= 60.0
    alone = zipfile.ZipFile(io.BytesIO(got(client, f"{at}/mock-up.zip?shell_mm=3").content))
    assert any("shell" in one for one in alone.namelist())
    assert not any("sitter" in one for one in alone.namelist())


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ("sitter=3", "sitter = 3"),
        ("shell_mm=60", "thickness_mm"),
        ("scale=9:1", "scale"),
        ("bed_width_mm=5", "bed_width_mm"),
        ("scale=1:1&bed_height_mm=20", "20"),
    ],
)
def test_a_mock_up_that_cannot_be_is_refused_in_words(client, at, asked, words):
    answer = client.get(f"{at}/mock-up.zip?{asked}")
    assert answer.status_code == 422
    assert words in answer.json()["detail"]


def test_a_mesh_holds_the_pressure_of_a_sitter(client, at):
    """The peak of the mesh is in the order of the sitter's, and each sitter has a mesh of their own."""
    peaks = [one["peak_kpa"] for one in client.post(f"{at}/contact-maps", json={}).json()["sittings"]]
    found = []
    for number in (1, 2):
        answer = got(client, f"{at}/mesh.ply?sitter={number}&tolerance_mm=1")
        assert f"pressure-{number}" in answer.headers["content-disposition"]
        mesh = trimesh.load(io.BytesIO(answer.content), file_type="ply")
        pressure = np.asarray(mesh.metadata["_ply_raw"]["vertex"]["data"]["pressure_kpa"])
        found.append(float(pressure.max()))
        assert len(np.unique(mesh.visual.vertex_colors, axis=0)) >= 5
    # A peak at a vertex is no less than the mean over a square centimetre, and not half as much again.
    assert all(1.0 <= at_vertex / peak < 1.5 for at_vertex, peak in zip(found, peaks, strict=True))
    assert found[0] != found[1]
    plain, coloured = (got(client, f"{at}/mesh.glb?{asked}").content for asked in ("", "sitter=1"))
    assert b"COLOR_0" in coloured
    assert b"COLOR_0" not in plain


def test_pressure_and_joints_go_where_the_format_holds_them(client, at):
    refused = client.get(f"{at}/mesh.stl?sitter=1")
    assert refused.status_code == 422
    assert "ply and glb" in refused.json()["detail"]
    assert client.get(f"{at}/mesh.ply?sitter=3").status_code == 422
    assert client.get(f"{at}/mesh.png?joint_holes=true").status_code == 422


def test_joints_are_cut_into_the_mesh(client):
    order = {
        **SEAT,
        "title": "jointed",
        "joint": [{"kind": "leg mortise", "x_mm": 150, "y_mm": 80, "diameter_mm": 25}],
    }
    at = f"/seats/{client.post('/seats', json=order).json()['id']}"
    whole, cut = (
        trimesh.load(io.BytesIO(got(client, f"{at}/mesh.stl?{asked}").content), file_type="stl")
        for asked in ("", "joint_holes=true")
    )
    assert cut.is_watertight
    # Two round holes through the seat, whose wood is 31 to 45 mm thick.
    hole_mm2 = np.pi * 12.5**2
    assert 2 * 31 * hole_mm2 < whole.volume - cut.volume < 2 * 45 * hole_mm2


def test_the_seat_file_is_read_by_the_library_and_the_report_by_people(client, at, tmp_path):
    path = tmp_path / "seat.json"
    path.write_bytes(got(client, f"{at}/seat.json").content)
    assert read_seat(path).title == "to take"
    answer = got(client, f"{at}/report.txt")
    assert "not medical advice" in answer.text
    assert "viola" in answer.text


def test_readings_that_cannot_be_meant_are_set_aside_where_that_is_asked_for(client, at):
    rows = list(csv.DictReader(io.StringIO(got(client, f"{at}/gauge-sheet.csv?{GAUGE}").text)))
    for row in rows:
        row["reading_mm"] = row["expected_mm"]
    rows[30]["reading_mm"] = "720"
    asked = {"readings": rows}
    assert client.post(f"{at}/gauge-checks", json=asked).status_code == 422
    told = client.post(f"{at}/gauge-checks", json={**asked, "set_aside": True}).json()
    (aside,) = told["set_aside"]
    assert (aside["point"], aside["reading_mm"]) == (int(rows[30]["point"]), 720.0)
    assert "72 would fit" in aside["words"]
    assert len(told["points"]) == len(rows) - 1
    assert client.post(f"{at}/gauge-checks", json={**asked, "set_aside": "yes"}).status_code == 422
