"""The wood of a seat over HTTP: boards, movement and floor under the keys of the command, pictures, refusals by key."""

import numpy as np
import pytest
from seatmesh_service.tasks.of_a_seat.kept import read_order_table

from seatmesh.picture.wood.wood_colour import LOOKS
from seatmesh.wood.boards.rings import layup_grain

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


def years_by_hand(told, board, points):
    """Rings from the pith at points, as the document's words say: the way a program draws them that has no library."""
    signs = np.array(board["signs"])
    own = (points - board["middle_mm"]) * signs - [board["pith_aside_mm"], 0.0, -board["pith_away_mm"]]
    fibre = np.array(board["fibre"])
    along = own @ fibre
    away = own - along[:, None] * fibre
    lengths = np.array(told["wander_lengths_mm"])[[0, 1, 1, 0]]
    phases = np.array(board["wander_phases"])
    waves = np.sin(2 * np.pi * along[:, None] / lengths + phases) - np.sin(phases)
    away[:, 0] -= board["wander_mm"] * (0.7 * waves[:, 0] + 0.3 * waves[:, 1])
    away[:, 2] -= 0.6 * board["wander_mm"] * (0.3 * waves[:, 2] + 0.7 * waves[:, 3])
    radius = np.linalg.norm(away, axis=1) + 1e-3 * board["taper_mm_per_m"] * along
    even = radius / board["ring_width_mm"]
    lengths = np.array(told["uneven_lengths_years"])
    uneven = lengths * np.sin(2 * np.pi * even[:, None] / lengths + board["year_phases"]) / (2 * np.pi)
    return even + told["uneven_years"] * uneven.sum(axis=1)


LEANING = {
    **ORDER,
    "blank": {**ORDER["blank"], "under_bevel_width_mm": 40, "under_bevel_height_mm": 10},
    "board": [
        {"species": "walnut", "pith_mm": [20, 95], "bark": "down", "turned": True},
        {"species": "white oak", "rings": "quarter"},
    ],
}


@pytest.mark.parametrize("order", [ORDER, LEANING], ids=["plain", "turned over, bevelled"])
def test_the_rings_of_the_boards_can_be_drawn_from_what_is_told(client, order):
    known = read_order_table(order)
    told = client.get(f"/seats/{client.post('/seats', json=order).json()['id']}/rings").json()
    rng = np.random.default_rng(3)
    for board, species in zip(told["boards"], known.boards, strict=True):
        low = [board["left_mm"] + 1.0, 0.0, -told["thickness_mm"]]
        points = rng.uniform(low, [board["right_mm"] - 1.0, 430.0, 0.0], (500, 3))
        years = layup_grain(known.layup, points).years
        assert years_by_hand(told, board, points) == pytest.approx(years, abs=2e-3)
        look, own = board["look"], LOOKS[species.species.name]
        assert tuple(look["late"]) == own.late
        shares = [look[f"{name}_share"] for name in ("contrast", "pores", "rays")]
        assert shares == [own.contrast, own.pores, own.rays]
    under = told["underside"]
    if not known.blank.has_bevel:
        assert under is None
        return
    x, y = np.array(under["x_mm"]), np.array(under["y_mm"])
    rise = known.blank.underside_rise_mm(x[None, :], y[:, None])
    assert np.array(under["rise_mm"]) == pytest.approx(rise, abs=1e-3)
    assert rise.max() == 10.0


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
