"""People not yet met over HTTP: shares, as JSON and as a sheet, and refusals in words."""

import io

import pytest


def test_people_are_counted_as_json_and_drawn(client, seat):
    path = f"/seats/{seat['id']}"
    asked = {"count": 4, "seed": 3, "front_height_mm": 440, "asked": {"peak_kpa": 60, "rim_load_share": None}}
    answer = client.post(f"{path}/people", json=asked)
    assert answer.status_code == 200, answer.text
    told = answer.json()
    assert told["count"] == 4
    names = {one["name"] for one in told["criteria"]}
    assert "peak_kpa" in names
    assert "rim_load_share" not in names
    again = client.post(f"{path}/people", json=dict(reversed(asked.items())))
    assert again.content == answer.content
    sheet = client.post(f"{path}/people?format=png", json={"count": 2})
    assert sheet.headers["content-type"] == "image/png"
    assert sheet.content.startswith(b"\x89PNG")


def test_everybody_comes_as_a_table(client, seat):
    parquet = pytest.importorskip("pyarrow.parquet")
    answer = client.post(f"/seats/{seat['id']}/people?format=parquet", json={"count": 6, "public": "us-2011"})
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-disposition"].endswith('-people.parquet"')
    table = parquet.read_table(io.BytesIO(answer.content))
    assert table.num_rows == 6
    assert table.column("number").to_pylist() == [1, 2, 3, 4, 5, 6]
    assert {"stature_mm", "weight", "peak_kpa", "balanced"} <= set(table.column_names)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"count": 0}, "1 to 20000"),
        ({"count": 10**6}, "1 to 20000"),
        ({"count": 2.5}, "whole number"),
        ({"seed": -1}, "whole number"),
        ({"public": "martians"}, "us-2011"),
        ({"public": {"women_share": 3}}, "0 to 1"),
        ({"public": {"ages": [{"from_years": 4, "to_years": 9, "share": 1}]}}, "children"),
        ({"public": ["a"]}, "a name or a table"),
        ({"asked": {"knee_clearance": 3}}, "knee_clearance_mm"),
        ({"asked": 3}, "table of bounds"),
        ({"front_height_mm": 20}, "200 to 900"),
        ({"people": 3}, "unknown key"),
    ],
)
def test_refusals_in_words(client, seat, asked, words):
    answer = client.post(f"/seats/{seat['id']}/people", json=asked)
    assert answer.status_code == 422
    assert words in answer.json()["detail"]


def test_a_public_that_the_survey_does_not_know_is_refused(client, seat):
    giants = {sex: {"mean": 150, "sd": 8} for sex in ("female", "male")}
    answer = client.post(f"/seats/{seat['id']}/people", json={"count": 3, "public": {"mass_kg": giants}})
    assert answer.status_code == 422
    assert "people are left" in answer.json()["detail"]


def test_it_may_be_a_job(client, seat):
    answer = client.post(
        f"/seats/{seat['id']}/people", json={"count": 5, "seed": 99}, headers={"Prefer": "respond-async"}
    )
    assert answer.status_code == 202
    assert answer.headers["location"].startswith("/jobs/")
