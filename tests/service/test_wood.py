"""The wood of a seat over HTTP: boards, movement and floor under the keys of the command, pictures, refusals by key."""

import pytest

ORDER = {
    "title": "wood",
    "blank": {"width_mm": 480, "depth_mm": 430},
    "sitter": [{"body": "viola"}],
    "board": [
        {"species": "walnut", "pith_mm": [20, 95], "bark": "up"},
        {"species": "walnut", "bark": "down"},
    ],
}


@pytest.fixture(scope="module")
def seat(client):
    answer = client.post("/seats", json=ORDER)
    assert answer.status_code == 201, answer.text
    return answer.json()["id"]


def test_boards_movement_and_floor(client, seat):
    told = client.get(f"/seats/{seat}/wood").json()
    assert [one["bark"] for one in told["boards"]] == ["up", "down"]
    assert told["boards_given"]
    assert set(told["movement"]) >= {"from_percent", "to_percent", "width_change_mm", "cup_mm"}
    assert told["movement"]["width_change_mm"] < -2.0
    assert told["floor"]["load_n"] == 1300.0
    assert told["floor"]["least_factor"] > 2.0
    assert "glue" in told["floor"]["guide"]
    assert 3.0 < told["mass_kg"] < 7.0


@pytest.mark.parametrize("kind", ["figure", "figure-variants", "way-to-cut"])
def test_pictures_of_the_boards(client, seat, kind):
    answer = client.get(f"/seats/{seat}/pictures/{kind}.png")
    assert answer.status_code == 200
    assert answer.content.startswith(b"\x89PNG")


def test_boards_that_cannot_be_are_refused_by_their_key(client):
    wrong = {**ORDER, "board": [{"rings": "quarter", "pith_mm": 60}]}
    answer = client.post("/seats", json=wrong)
    assert answer.status_code == 422
    assert "[[board]] 1 pith_mm" in answer.json()["detail"]
