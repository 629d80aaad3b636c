"""The fitting log: what it reads and refuses, undo and lock, bounds, and what each entry does to the pressure."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh import Blank, InputError, Seat, estimate_body, write_seat
from seatmesh.design.log.fitting_log import adjusted, effects, undo
from seatmesh.design.orders.keys.adjustment import ADJUSTMENTS
from seatmesh.errors import ValueRefusedError
from seatmesh.fit.hollow import is_mirrored
from seatmesh.seating.sitter import lay_over
from seatmesh.spline import BicubicSpline
from seatmesh.wood.joint import Joint

ENTRY = {
    "date": "2026-05-31",
    "action": "deepen",
    "x_mm": 58,
    "y_mm": 140,
    "radius_mm": 40,
    "amount_mm": 2,
    "why": "hard under the sit bones",
}


def test_an_entry_says_what_when_and_why():
    (entry,) = ADJUSTMENTS.read_all([ENTRY], "order")
    assert (entry.date, entry.action, entry.tag, entry.locked) == ("2026-05-31", "deepen", "comfort", False)
    assert entry.change.side == "both"
    assert entry.change.amount_mm == 2.0


@pytest.mark.parametrize(
    ("side", "given", "x_mm", "kept"),
    [
        ("left", 58, -58.0, "one"),
        ("left", -58, -58.0, "one"),
        ("left", '-2 1/4"', -57.15, "one"),
        ("right", 58, 58.0, "one"),
        ("right", "+58 mm", 58.0, "one"),
        ("middle", 0, 0.0, "one"),
        ("both", 58, 58.0, "both"),
        ("both", -58, 58.0, "both"),
    ],
)
def test_sides_are_the_sitters(side, given, x_mm, kept):
    (entry,) = ADJUSTMENTS.read_all([{**ENTRY, "side": side, "x_mm": given}], "order")
    assert entry.change.x_mm == pytest.approx(x_mm)
    assert entry.change.side == kept


@pytest.mark.parametrize(
    ("side", "given", "words"),
    [
        ("right", -60, "60 mm to the sitter's left .* side = 'right' .*write side = 'left' .* or x_mm = 60"),
        ("right", "-6 cm", "sitter's left"),
        ("left", "+60", "60 mm to the sitter's right .*write side = 'right'"),
        ("middle", 60, "lies on the centre line, and this is 60 mm from it"),
    ],
)
def test_a_sign_against_a_side_is_refused_with_both_readings(side, given, words):
    with pytest.raises(ValueRefusedError, match=words):
        ADJUSTMENTS.read_all([{**ENTRY, "side": side, "x_mm": given}], "order")


def test_raising_leaves_more_wood_and_inches_are_read():
    (entry,) = ADJUSTMENTS.read_all([{**ENTRY, "action": "raise", "amount_mm": '1/8"'}], "order")
    assert entry.change.amount_mm == pytest.approx(-3.175)


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"action": "depen"}, "deepen"),
        ({"side": "rigth"}, "right"),
        ({"tag": "looks"}, "look"),
        ({"amount_mm": -2}, "above 0"),
        ({"amount_mm": 50}, "at most 20"),
        ({"radius_mm": 1}, "radius_mm"),
        ({"radius_mm": 1e9}, "radius_mm = 1000000000.0: allowed are 5 to 900 mm"),
        ({"date": "31.5.2026"}, "2026-05-31"),
        ({"locked": "yes"}, "true"),
        ({"wy": "x"}, "why"),
        ({"x_mm": float("nan")}, "x_mm"),
        ({"y_mm": 1e160}, "allowed are -1000 to 1000 mm; check its unit"),
    ],
)
def test_refused_by_name(change, word):
    with pytest.raises(InputError, match=word):
        ADJUSTMENTS.read_all([{**ENTRY, **change}], "order")


def test_a_missing_amount_and_a_list_that_is_none():
    with pytest.raises(InputError, match="amount_mm"):
        ADJUSTMENTS.read_all([{key: value for key, value in ENTRY.items() if key != "amount_mm"}], "order")
    with pytest.raises(InputError, match="adjustment"):
        ADJUSTMENTS.read_all({"action": "deepen"}, "order")


def test_undo_restores_the_same_bytes(carved_seat, tmp_path):
    log = ADJUSTMENTS.read_all([{**ENTRY, "locked": True}, {**ENTRY, "y_mm": 200}], "order")
    write_seat(adjusted(carved_seat, log[:1]), tmp_path / "before.json")
    write_seat(adjusted(carved_seat, undo(log)), tmp_path / "after.json")
    assert (tmp_path / "before.json").read_bytes() == (tmp_path / "after.json").read_bytes()
    assert undo(undo(log)) == log[:1], "what is locked stays"


BLANKS = {
    "plain": Blank(),
    "bevel, joints, bowed deck": Blank(
        under_bevel_width_mm=50.0,
        under_bevel_height_mm=16.0,
        deck_line="bowed",
        deck_bow_mm=25.0,
        joints=(
            Joint("leg mortise", x_mm=150.0, y_mm=330.0, diameter_mm=28.0, angle_deg=12.0, keep_mm=34.0),
            Joint("spindle", x_mm=80.0, y_mm=60.0, diameter_mm=14.0, depth_mm=25.0),
        ),
    ),
}


@pytest.mark.parametrize("blank", BLANKS.values(), ids=BLANKS)
def test_fifty_random_adjustments_keep_every_bound(carved_seat, blank):
    rng = np.random.default_rng(50)
    log = ADJUSTMENTS.read_all(
        [
            {
                "action": ["deepen", "ease", "raise"][rng.integers(3)],
                "x_mm": float(rng.uniform(0, 200)),
                "y_mm": float(rng.uniform(20, 420)),
                "radius_mm": float(rng.uniform(10, 90)),
                "amount_mm": float(rng.uniform(0.5, 8)),
                "side": ["left", "right", "both"][rng.integers(3)],
            }
            for _ in range(50)
        ],
        "order",
    )
    # 4 mm everywhere are within all bounds, so that what is found below is the adjustments' doing.
    knots_x, knots_y = carved_seat.hollow.knots_x, carved_seat.hollow.knots_y
    shallow = BicubicSpline(knots_x, knots_y, np.full(carved_seat.hollow.coefficients.shape, 4.0))
    seat = adjusted(Seat(blank, hollow=shallow, front_roll_mm=20.0), log)
    x = np.arange(0.0, 240.0, 0.5)
    x = np.concatenate([-x[:0:-1], x])
    y = np.arange(0.0, 430.0, 0.5)
    wood = blank.inside_mm(x[None, :], y[:, None]) >= 0.0
    depth = np.where(wood, seat.depth_mm(x[None, :], y[:, None]), 0.0)
    over = depth - np.maximum(blank.allowed_depth_mm(x[None, :], y[:, None]), 0.0)
    bare = replace(seat, adjustments=()).depth_mm(x[None, :], y[:, None])
    assert np.where(over > 1e-9, depth - bare, 0.0).max() <= 1e-9, "no adjustment takes from what must stay"
    assert depth.max() > 12.0
    assert depth.min() >= 0.0
    assert np.all(depth[blank.ahead_of_deck_mm(x[None, :], y[:, None]) <= 0.0] == 0.0)


def test_an_adjustment_of_both_sides_is_mirrored(carved_seat):
    seat = adjusted(carved_seat, ADJUSTMENTS.read_all([ENTRY], "order"))
    x, y = np.arange(-200.0, 201.0, 5.0), np.arange(0.0, 430.0, 5.0)
    depth = seat.depth_mm(x[None, :], y[:, None])
    assert np.abs(depth - depth[:, ::-1]).max() < 1e-9
    assert is_mirrored(seat)
    assert not is_mirrored(adjusted(carved_seat, ADJUSTMENTS.read_all([{**ENTRY, "side": "left"}], "order")))


def test_effects_are_those_of_pressing_again():
    sitter = lay_over(estimate_body("male", 1760.0, 78.0), Seat())
    log = ADJUSTMENTS.read_all([ENTRY, {**ENTRY, "action": "raise", "tag": "look", "why": "line"}], "order")
    rows = effects(Seat(), log, [sitter])
    first, second = (row["peaks"][0] for row in rows)
    assert first["after_kpa"] < 0.9 * first["before_kpa"]
    assert second["before_kpa"] == first["after_kpa"]
    assert second["after_kpa"] == pytest.approx(first["before_kpa"], rel=1e-6)
    assert rows[1]["tag"] == "look"
