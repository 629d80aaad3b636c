"""Photographs over HTTP: points in, places out with how surely they are known, refusals by name; never a picture."""

import copy

import numpy as np
import pytest
from seatmesh_service.photograph_schema import PHOTOGRAPH_EXAMPLE

BLANK = {"width_mm": 480, "depth_mm": 430, "outline": "straight-sided"}


def asked(given, **changes):
    """Return a drawn photograph as the page sends it."""
    return {
        "blank": BLANK,
        "image_size_px": list(given.photo.camera.size_px),
        "known": [
            {"name": one.name, "pixel": list(one.pixel), "x_mm": one.at_mm[0], "y_mm": one.at_mm[1]}
            for one in given.known
        ],
        "edge": [list(one) for one in given.edge],
        "mark": [{"name": one.name, "side": one.side, "pixel": list(one.pixel)} for one in given.seen],
        **changes,
    }


@pytest.fixture(scope="module")
def given(photographs):
    return photographs.drawn(0, camera=photographs.Pinhole(k1=-0.1, tilt_deg=30.0))


def test_marks_lie_where_they_are(client, given):
    answer = client.post("/photographs/marks", json=asked(given))
    assert answer.status_code == 200, answer.text
    found = answer.json()
    got = np.array([(one["x_mm"], one["y_mm"]) for one in found["marks"]])
    assert np.hypot(*(got - given.truth).T).max() < 1.5
    assert all(one["sure"] for one in found["marks"])
    assert found["doubts"] == []
    assert len(found["points"]) == len(given.known) + len(given.edge)
    assert found["lens_told"]


def test_points_alone_are_judged(client, given):
    found = client.post("/photographs/marks", json=asked(given, mark=[])).json()
    assert found["marks"] == []
    assert found["rms_mm"] < 1.5


def test_corners_alone_are_doubted(client, given):
    found = client.post(
        "/photographs/marks", json=asked(given, known=asked(given)["known"][:4], edge=[])
    ).json()
    assert not any(one["sure"] for one in found["marks"])
    assert found["rms_mm"] is None
    assert not found["lens_told"]
    assert "cannot tell how the lens bends" in found["doubts"][1]


def test_whose_a_mark_is_comes_back_with_it(client, given):
    marks = [{**one, "sitter": "Nan"} for one in asked(given)["mark"]]
    found = client.post("/photographs/marks", json=asked(given, mark=marks)).json()
    assert {one["sitter"] for one in found["marks"]} == {"Nan"}


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"known": []}, "write a table [[known]]"),
        ({"image_size_px": [100, 100]}, "the image has 100 x 100 pixels"),
        ({"picture": "data:image/png;base64,AAAA"}, "unknown key 'picture'"),
        ({"blank": {"width_mm": 48}}, "[blank] width_mm = 48"),
        ({"edge": "all"}, "photograph edge = 'all'"),
        ({"edge": [[1, 2, 3]]}, "photograph edge 1"),
        ({"mark": [{"name": "sitbone", "pixel": [2000, 1500]}]}, "did you mean 'sit bone'"),
        ({"blank": {"outline_file": "../../etc/outline.svg"}}, "no files are read here"),
    ],
)
def test_refusals_name_what_is_wrong(client, given, changes, words):
    answer = client.post("/photographs/marks", json=asked(given, **changes))
    assert answer.status_code == 422, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    assert words in answer.json()["detail"]


def test_the_size_of_the_picture_is_needed(client, given):
    table = asked(given)
    del table["image_size_px"]
    assert "image_size_px" in client.post("/photographs/marks", json=table).json()["detail"]


def test_pictures_are_not_taken(client):
    answer = client.post(
        "/photographs/marks", content=b"\xff\xd8\xff", headers={"content-type": "image/jpeg"}
    )
    assert answer.status_code == 415


def test_points_of_a_blank_are_named(client):
    found = client.post("/photographs/points", json={"blank": BLANK}).json()
    assert [one["name"] for one in found["points"][:4]] == [
        "rear left corner",
        "rear right corner",
        "front right corner",
        "front left corner",
    ]
    assert found["points"][0] == {"name": "rear left corner", "x_mm": -240.0, "y_mm": 0.0}
    assert [0.0, 430.0] in found["outline_mm"]
    rounded = client.post("/photographs/points", json={}).json()
    assert rounded["points"][0]["name"] == "rear end of the centre line"
    assert client.post("/photographs/points", json={"blanc": {}}).status_code == 422


def test_the_example_is_a_photograph_from_the_front(client):
    """The sitter's left is on the right of a picture whose top shows the rear."""
    found = client.post("/photographs/marks", json=PHOTOGRAPH_EXAMPLE).json()
    assert found["marks"][0]["x_mm"] < 0.0


@pytest.mark.parametrize(
    ("where", "value", "words"),
    [
        ("y_mm", 1.7e308, "within 10000 mm"),
        ("x_mm", -10_001.0, "within 10000 mm"),
        ("image_size_px", [1.7e308, 1e30], "at most 100000"),
        ("image_size_px", [100_001, 3000], "at most 100000"),
    ],
)
def test_figures_that_no_blank_and_no_picture_has_are_refused(client, where, value, words):
    table = copy.deepcopy(PHOTOGRAPH_EXAMPLE)
    (table if where == "image_size_px" else table["known"][2])[where] = value
    answer = client.post("/photographs/marks", json=table)
    assert answer.status_code == 422
    assert words in answer.json()["detail"]
