"""Every path by a client of its own: what it answers, in which media type, under which name and tag."""

import csv
import io
import json
import tomllib

import matplotlib.image
import numpy as np
import pytest
import trimesh
from seatmesh_service.answers import MEDIA_TYPES
from seatmesh_service.models import Comparison, ContactMaps, KnownBody, PreviewOut, Report, SeatOut

from seatmesh.body.people_words import SURVEY
from seatmesh.cautions import INTERVALS
from seatmesh.design.orders.order import order_from_table
from seatmesh.design.shape import design
from seatmesh.seating.sit import sit

from .conftest import ORDER


def get(client, seat, path, **given):
    return client.get(f"/seats/{seat['id']}/{path}", **given)


@pytest.fixture(scope="module")
def by_hand():
    """Return the same design by the library, without the service."""
    return design(order_from_table(ORDER, "order", "seat"))


def test_health_says_version_and_formats(client):
    answer = client.get("/health").json()
    assert answer["status"] == "ok"
    assert {"stl", "obj", "ply", "3mf", "glb"} <= set(answer["formats"])


def test_bodies_are_listed_and_estimated(client):
    listed = client.get("/bodies").json()["bodies"]
    assert {"cello", "viola"} <= set(listed)
    KnownBody.model_validate(listed["cello"])
    body = client.post("/bodies/estimate", json={"stature_mm": 1700, "mass_kg": 70}).json()
    assert body["survey"] == SURVEY
    aged = client.post("/bodies/estimate", json={"stature_mm": 1700, "mass_kg": 70, "age_years": 50}).json()
    girth = "thigh_circumference_mm"
    assert aged["measures"][girth]["value"] < body["measures"][girth]["value"]
    assert aged["measures"]["age_years"]["origin"] == "measured"
    hips = body["measures"]["hip_breadth_sitting_mm"]
    assert hips["origin"] == "estimated"
    assert hips["low_90"] < hips["value"] < hips["high_90"]


def test_a_seat_says_what_the_library_says(seat, by_hand):
    SeatOut.model_validate(seat)
    sitter = seat["sitters"][0]
    assert sitter["peak_best_kpa"] == pytest.approx(by_hand.results[0].best.figures.peak_kpa, rel=1e-5)
    assert sitter["peak_best_kpa"] <= sitter["peak_closed_form_kpa"] < sitter["peak_flat_kpa"]


def test_the_same_order_has_the_same_id_and_bytes_however_it_is_written(client, seat):
    first = client.get(f"/seats/{seat['id']}")
    turned = dict(reversed(ORDER.items())) | {"wishes": {"depth_mm": 14.0}}
    again = client.post(
        "/seats", content=json.dumps(turned, indent=3), headers={"content-type": "application/json"}
    )
    assert again.content == first.content
    assert again.headers["etag"] == first.headers["etag"]
    other = client.post("/seats", json=ORDER | {"wishes": {"depth_mm": 14.5}}).json()
    assert other["id"] != seat["id"]


@pytest.mark.parametrize("suffix", ["stl", "obj", "ply", "glb"])
def test_a_mesh_at_a_scale_is_closed_and_of_the_blank(client, seat, suffix):
    answer = get(client, seat, f"mesh.{suffix}", params={"scale": "1:4", "tolerance_mm": 0.5})
    assert answer.headers["content-type"] == MEDIA_TYPES[suffix]
    mesh = trimesh.load(io.BytesIO(answer.content), file_type=suffix, force="mesh")
    mesh.merge_vertices()
    assert mesh.is_watertight
    # A blank of 480 x 430 x 45 mm; GLB is in metres (its specification) and has its own axes.
    unit = 0.001 if suffix == "glb" else 1.0
    expected = np.sort([120.0, 107.5, 11.25]) * unit
    assert np.sort(mesh.extents) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize(
    ("path", "name"),
    [
        ("mesh.stl?tolerance_mm=0.5", "for-one-mm.stl"),
        ("mesh.stl?tolerance_mm=0.5&scale=1:4", "for-one-1-4-mm.stl"),
        ("mesh.stla?tolerance_mm=0.5", "for-one-mm.stl"),
        ("mesh.3mf?tolerance_mm=0.5", "for-one.3mf"),
        ("mesh.glb?tolerance_mm=0.5", "for-one.glb"),
        ("mesh.png?spacing_mm=2", "for-one-heights-mm.png"),
        ("mesh.txt?spacing_mm=5", "for-one-heights-mm.txt"),
        ("depths.csv", "for-one-depths-mm.csv"),
        ("order.toml", "for-one.toml"),
    ],
)
def test_a_file_says_its_unit_in_its_name_unless_the_format_does(client, seat, path, name):
    answer = get(client, seat, path)
    assert answer.status_code == 200
    assert answer.headers["content-disposition"] == f'attachment; filename="{name}"'


def test_step_without_the_kernel_is_refused_in_words(monkeypatch):
    from seatmesh_service.tasks import carry_out
    from seatmesh_service.tasks.of_a_seat import meshes

    from seatmesh.errors import FileRefusedError

    def missing(*_given, **_named):
        raise FileRefusedError("a STEP file needs the open CAD kernel; install it with pip install")

    monkeypatch.setattr(meshes, "kept_seat", lambda *_: None)
    monkeypatch.setattr(meshes, "step_bytes", missing)
    outcome = carry_out.carry_out(meshes.step, None, "1:1")
    assert (outcome.status, "install" in outcome.detail) == (422, True)


def test_depths_are_the_seats(client, seat, by_hand):
    answer = get(client, seat, "depths.csv", params={"spacing_mm": 40})
    assert answer.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(answer.text)))
    for row in rows:
        x, y, depth = (float(row[key]) for key in ("x_mm", "y_mm", "depth_mm"))
        assert depth == pytest.approx(float(by_hand.seat.depth_mm(x, y)), abs=0.006)
    assert len(rows) > 50


def test_an_order_file_comes_back_as_the_same_order(client, seat):
    text = get(client, seat, "order.toml").text
    assert tomllib.loads(text) == ORDER
    read = client.post("/orders", content=text, headers={"content-type": "application/toml"}).json()
    assert client.post("/seats", json=read).json()["id"] == seat["id"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("sitter = 3", "list of tables"),
        ("[[sitter]]\nbody = 'nobody'", "body = 'nobody': allowed are "),
        ("title = ", "not TOML"),
        ("[blank]\noutline_file = 'a.dxf'\n[[sitter]]\nbody = 'viola'", "outline_file"),
        ("[[sitter]]\nbody = 'viola'\n[wishes]\ndepth_mm = inf", "finite"),
    ],
)
def test_an_order_file_is_refused_in_words(client, text, words):
    answer = client.post("/orders", content=text, headers={"content-type": "text/plain"})
    assert answer.status_code == 422
    assert words in answer.json()["detail"]


def test_contact_maps_as_json_csv_and_picture(client, seat, by_hand):
    path = f"/seats/{seat['id']}/contact-maps"
    answer = client.post(path, json={"bodies": ["viola", "cello"]})
    ContactMaps.model_validate(answer.json())
    order = client.post(path, json={}).json()["sittings"][0]
    body = by_hand.order.sitters[0].body
    assert order["peak_kpa"] == pytest.approx(sit(body, by_hand.seat).figures.peak_kpa, rel=1e-5)
    pressure, gap = np.array(order["pressure_kpa"]), np.array(order["gap_mm"])
    assert pressure.shape == gap.shape == (len(order["y_mm"]), len(order["x_mm"]))
    assert np.all(gap[pressure > 0.0] < 0.0)
    assert gap.max() == 60.0

    table = client.post(path, json={}, headers={"accept": "text/csv"})
    rows = list(csv.DictReader(io.StringIO(table.text)))
    assert sum(float(row["pressure_kpa"]) for row in rows) == pytest.approx(
        np.sum(order["pressure_kpa"]), rel=1e-3
    )

    picture = client.post(path, params={"format": "png"}, json={"units": "in"})
    assert picture.headers["content-type"] == "image/png"
    assert matplotlib.image.imread(io.BytesIO(picture.content)).shape[0] > 300


def test_comparisons(client, seat):
    answer = client.post(f"/seats/{seat['id']}/comparisons", json={"bodies": ["viola", "cello"]}).json()
    Comparison.model_validate(answer)
    assert [one["body"] for one in answer["sittings"]] == ["viola", "cello"]
    assert min(one["difference"] for one in answer["peaks"]) == 0.0


def test_a_load_too_small_to_balance_is_said_in_words(client, seat):
    path, asked = f"/seats/{seat['id']}", {"bodies": ["viola", "cello"], "load_n": 5e-245}
    for question, model in (("contact-maps", ContactMaps), ("comparisons", Comparison)):
        answer = client.post(f"{path}/{question}", json=asked)
        assert answer.status_code == 200
        model.model_validate(answer.json())
        one = answer.json()["sittings"][0]
        assert (one["converged"], "no balance" in one["verdict"]) == (False, True)
    picture = client.post(f"{path}/contact-maps?format=png", json=asked)
    assert (picture.status_code, "no balance" in picture.json()["detail"]) == (422, True)
    assert client.post(f"{path}/contact-maps?format=csv", json=asked).text == "body,x_mm,y_mm,pressure_kpa\n"


def test_the_report_has_hot_spots_postures_and_intervals(client, seat):
    answer = get(client, seat, "report").json()
    Report.model_validate(answer)
    one = answer["sittings"][0]
    assert {"hot_spots", "postures", "interval_90", "measure_next"} <= set(one)
    assert one["interval_note"] == INTERVALS
    assert 0.35 <= one["tissue_left_ratio"] <= 0.75  # B6, and more on a seat that fits
    assert answer["ending"] == seat["ending"]
    assert seat["ending"]["converged"] is True
    assert answer["cautions"]


def test_a_preview_is_the_closed_form_and_is_not_kept(client, seat, by_hand, folder):
    before = sorted((folder / "seats").iterdir())
    order = ORDER | {"title": "not to be kept"}
    answer = client.post("/seats/previews", json=order).json()
    PreviewOut.model_validate(answer)
    assert answer["sittings"][0]["peak_kpa"] == pytest.approx(
        seat["sitters"][0]["peak_closed_form_kpa"], rel=1e-5
    )
    grid = answer["depth_grid"]
    expected = by_hand.closed_form.depth_mm([grid["x_mm"]], [[one] for one in grid["y_mm"]])
    assert np.array(grid["depth_mm"]) == pytest.approx(expected, abs=6e-4)
    assert sorted((folder / "seats").iterdir()) == before


@pytest.mark.parametrize("kind", ["contact", "sections", "plan", "light-lines"])
def test_pictures(client, seat, kind):
    answer = get(client, seat, f"pictures/{kind}.png")
    assert answer.headers["content-type"] == "image/png"
    assert matplotlib.image.imread(io.BytesIO(answer.content)).std() > 0.01


def test_tags_spare_a_second_download(client, seat):
    path = "mesh.stl?tolerance_mm=0.5"
    tag = get(client, seat, path).headers["etag"]
    for given in (tag, f'"other", {tag}', f"W/{tag}", "*"):
        again = get(client, seat, path, headers={"if-none-match": given})
        assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", tag)
    assert get(client, seat, path, headers={"if-none-match": '"other"'}).status_code == 200
    assert get(client, seat, "mesh.stl?tolerance_mm=0.4").headers["etag"] != tag


def test_what_is_kept_is_given_out_without_a_worker(client, seat, app, monkeypatch):
    paths = [f"/seats/{seat['id']}{rest}" for rest in ("", "/mesh.stl?tolerance_mm=0.5", "/depths.csv")]
    first = [client.get(path).content for path in paths]

    async def none_left(*_given, **_named):
        raise AssertionError("a worker was asked")

    for lane in (app.state.desk.long, app.state.desk.quick):
        monkeypatch.setattr(lane, "run", none_left)
    assert [client.get(path).content for path in paths] == first
    assert client.post("/seats", json=ORDER).content == first[0]
    assert client.get(f"/seats/{seat['id']}/depths.csv?spacing_mm=61").status_code == 500


def test_texts_are_packed_on_the_way_and_what_is_small_already_is_not(client, seat):
    plain = get(client, seat, "mesh.obj?tolerance_mm=0.5", headers={"accept-encoding": "identity"})
    packed = get(client, seat, "mesh.obj?tolerance_mm=0.5", headers={"accept-encoding": "br, gzip"})
    assert packed.headers["content-encoding"] == "gzip"
    assert packed.content == plain.content
    assert int(packed.headers["content-length"]) < 0.5 * int(plain.headers["content-length"])
    assert packed.headers["etag"] != plain.headers["etag"]
    assert packed.headers["vary"] == plain.headers["vary"] == "Accept, Accept-Encoding"
    refused = get(client, seat, "mesh.obj?tolerance_mm=0.5", headers={"accept-encoding": "gzip;q=0"})
    assert "content-encoding" not in refused.headers
    assert "content-encoding" not in get(client, seat, "mesh.3mf?tolerance_mm=0.5").headers


@pytest.mark.parametrize(
    ("path", "name", "starts"),
    [
        ("sheets.pdf?paper=A3", "for-one-sheets.pdf", b"%PDF-"),
        ("sheets.dxf?units=in", "for-one-sheets.dxf", b"  0\nSECTION"),
        ("sheets.svg", "for-one-sheets.svg", b"<"),
        ("job-sheet.pdf", "for-one-job-sheet.pdf", b"%PDF-"),
    ],
)
def test_sheets(client, seat, path, name, starts):
    answer = get(client, seat, path)
    assert answer.status_code == 200, answer.text
    assert answer.content.startswith(starts)
    assert answer.headers["content-disposition"] == f'attachment; filename="{name}"'


def test_a_paper_that_is_none_is_refused(client, seat):
    answer = get(client, seat, "sheets.pdf?paper=A99")
    assert (answer.status_code, "A99" in answer.json()["detail"]) == (422, True)


def test_a_gauge_sheet_comes_in_the_units_asked_for(client):
    seat = client.post("/seats", json={**ORDER, "units": "in"}).json()["id"]
    path = f"/seats/{seat}/gauge-sheet.csv?bar_height_mm=60&spacing_mm=40"
    own, metric = client.get(path), client.get(path + "&units=mm")
    assert own.text.startswith("point,x_in,y_in,expected_in,")
    assert metric.text.startswith("point,x_mm,y_mm,expected_mm,")
    for inches, mm in zip(own.text.splitlines()[1:], metric.text.splitlines()[1:], strict=True):
        expected = float(mm.split(",")[3])
        assert expected - 0.031 <= 25.4 * float(inches.split(",")[3]) <= expected + 0.006
    assert client.get(path + "&units=ft").status_code == 422
