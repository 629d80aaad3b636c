"""Batches: many orders in one request and many bodies on one seat, as one table or archive; what is refused stands
beside what is not."""

import csv
import io
import json
import zipfile

import pytest
import trimesh
from pyarrow import parquet

from .conftest import ORDER


def order(number, **more):
    return ORDER | {"title": f"chair {number}", "wishes": {"depth_mm": 10 + number}} | more


@pytest.fixture(scope="module")
def batch(client):
    orders = [order(1), order(2, wishes={"depth_mm": 44}), order(3)]
    answer = client.post("/batches", json={"orders": orders, "files": ["stl"], "scale": "1:8"})
    assert answer.status_code == 201, answer.text
    assert answer.headers["location"] == f"/batches/{answer.json()['id']}"
    return answer.json()


def test_an_order_that_is_refused_keeps_no_other_from_its_seat(client, batch):
    assert [one["title"] for one in batch["rows"]] == ["chair 1", "chair 2", "chair 3"]
    assert [one["kept"] for one in batch["rows"]] == [True, False, True]
    assert batch["refused_count"] == 1
    assert "depth_mm" in batch["rows"][1]["refusal"]
    # The seats are those that each order alone makes.
    for row, number in ((batch["rows"][0], 1), (batch["rows"][2], 3)):
        assert client.post("/seats", json=order(number)).json()["id"] == row["seat"]
    assert client.get(f"/batches/{batch['id']}").json() == batch


def test_the_table_has_a_row_for_each_sitter(client, batch):
    path = f"/batches/{batch['id']}/table"
    rows = list(csv.DictReader(io.StringIO(client.get(f"{path}?format=csv").text)))
    assert [one["title"] for one in rows] == ["chair 1", "chair 2", "chair 3"]
    for row, told in zip(rows, batch["rows"], strict=True):
        assert row["refusal"] == (told["refusal"] or "")
        if told["kept"]:
            seat = client.get(f"/seats/{told['seat']}").json()
            assert float(row["peak_best_kpa"]) == pytest.approx(seat["sitters"][0]["peak_best_kpa"], rel=1e-5)
            assert float(row["deepest_mm"]) == pytest.approx(seat["hollow"]["deepest_mm"], rel=1e-5)
    table = client.get(path, headers={"accept": "application/vnd.apache.parquet"})
    read = parquet.read_table(io.BytesIO(table.content)).to_pylist()
    for row, other in zip(rows, read, strict=True):
        assert row["title"] == other["title"]
        peak = other["peak_best_kpa"]
        assert row["peak_best_kpa"] == ("" if peak is None else f"{peak:.6g}")
    assert client.get(path).json()["rows"][0]["title"] == "chair 1"
    assert client.get(f"{path}?format=xls").status_code == 422


def test_the_archive_has_a_folder_for_each_seat(client, batch):
    data = client.get(f"/batches/{batch['id']}/archive.zip").content
    archive = zipfile.ZipFile(io.BytesIO(data))
    assert archive.testzip() is None
    assert sorted(archive.namelist()) == sorted(
        ["missing.txt"]
        + [
            f"{number:03d}-chair-{number}/{name}"
            for number in (1, 3)
            for name in ("order.json", "seat.json", "figures.json", f"chair-{number}.stl")
        ]
    )
    assert archive.read("missing.txt").decode().startswith("2 chair 2: ")
    mesh = trimesh.load(io.BytesIO(archive.read("001-chair-1/chair-1.stl")), file_type="stl")
    # A blank of 480 x 430 x 45 mm.
    assert mesh.extents == pytest.approx([60.0, 53.75, 5.625], rel=1e-4)
    assert json.loads(archive.read("003-chair-3/order.json")) == order(3)
    assert client.get(f"/batches/{batch['id']}/archive.zip").content == data


def test_what_made_room_is_told_and_made_again(client, batch):
    first = batch["rows"][0]
    assert client.delete(f"/seats/{first['seat']}").status_code == 204
    told = client.get(f"/batches/{batch['id']}").json()["rows"][0]
    assert (told["kept"], told["refusal"]) == (False, None)
    row = next(csv.DictReader(io.StringIO(client.get(f"/batches/{batch['id']}/table?format=csv").text)))
    assert "made room" in row["refusal"]
    orders = [order(1), order(2, wishes={"depth_mm": 44}), order(3)]
    again = client.post("/batches", json={"orders": orders, "files": ["stl"], "scale": "1:8"})
    assert again.json() == batch


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ({}, "orders"),
        ({"orders": []}, "1 to 100"),
        ({"orders": [1]}, "1 to 100"),
        ({"orders": [ORDER | {"sitter": ORDER["sitter"] * 4}]}, "at most 3"),
        ({"orders": [ORDER], "files": ["png"]}, "png"),
        ({"orders": [ORDER], "files": "stl"}, "list of suffixes"),
        ({"orders": [ORDER], "scale": "big"}, "scale"),
        ({"orders": [ORDER], "file": ["stl"]}, "did you mean 'files'"),
    ],
)
def test_a_batch_is_refused_in_words(client, body, words):
    answer = client.post("/batches", json=body)
    assert (answer.status_code, words in answer.json()["detail"]) == (422, True), answer.text


def test_many_bodies_on_one_seat_are_a_row_each(client, seat):
    bodies = [{"stature_mm": 1500 + 50 * one, "mass_kg": 50 + 6 * one} for one in range(6)]
    bodies += ["viola", "nobody", {"stature_mm": 10, "mass_kg": 70}]
    answer = client.post(f"/seats/{seat['id']}/sittings?format=csv", json={"bodies": bodies})
    assert answer.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(answer.text)))
    assert [int(one["number"]) for one in rows] == list(range(1, 10))
    assert [bool(one["refusal"]) for one in rows] == [False] * 7 + [True] * 2
    alone = client.post(f"/seats/{seat['id']}/contact-maps", json={"bodies": [bodies[3]]}).json()["sittings"]
    assert float(rows[3]["peak_kpa"]) == pytest.approx(alone[0]["peak_kpa"], rel=1e-5)
    assert float(rows[3]["mass_kg"]) == 68.0
    told = client.post(f"/seats/{seat['id']}/sittings", json={"bodies": bodies}).json()["rows"]
    assert [one["refusal"] for one in told][7].startswith("body = 'nobody'")
    assert client.post(f"/seats/{seat['id']}/sittings", json={}).status_code == 422
    table = client.post(f"/seats/{seat['id']}/sittings?format=parquet", json={"bodies": bodies})
    assert table.headers["content-type"] == "application/vnd.apache.parquet"
    assert parquet.read_table(io.BytesIO(table.content)).to_pylist() == told
    nobody = client.post(f"/seats/{seat['id']}/sittings?format=parquet", json={"bodies": ["nobody"]})
    assert parquet.read_table(io.BytesIO(nobody.content)).to_pylist()[0]["peak_kpa"] is None
