"""Wishes bend the target as they say: ridge, front ease, rear rise; and contradictions name a pair that works."""

import re
from dataclasses import replace

import numpy as np
import pytest

from seatmesh import Blank, InputError, Seat, Wishes
from seatmesh.design.orders.order import order_from_table
from seatmesh.design.report.wish_notes import wish_notes
from seatmesh.fit.wished.target import Impression, ridge_mm, target
from seatmesh.front_roll import roll_length_mm
from seatmesh.spline import BicubicSpline, clamped_knots

BLANK = Blank()
X, Y = np.linspace(-240.0, 240.0, 241), np.linspace(50.0, 430.0, 191)
TROUGH = 20.0 * (np.abs(X) / 90.0 - 1.0) ** 2
"""A body whose thighs lie 90 mm to either side, and who would leave a ridge 20 mm high between them."""
BODY = Impression(np.tile(TROUGH, (len(Y), 1)), 150.0, (200.0, 120.0, 300.0), 90.0, 146.0)
PLAIN = Wishes(closeness=1.0, tailbone_relief_mm=0.0, pommel_mm=8.0, pommel_length_mm=100.0)


def depth(at_x, at_y, wishes=PLAIN):
    wished = target(BODY, X, Y, 18.0, wishes, BLANK).depth_mm
    return float(wished[np.argmin(np.abs(Y - at_y)), np.argmin(np.abs(X - at_x))])


def ridge(at_y, wishes=PLAIN):
    return depth(90.0, at_y, wishes) - depth(0.0, at_y, wishes)


def test_the_ridge_is_as_high_as_wished_at_the_front_and_gone_at_its_length():
    """All of it where the roll begins, half of it half-way to there: a smooth step."""
    roll = roll_length_mm(PLAIN.front_roll_mm)
    y = np.array([330.0, 330.0 + 0.5 * (100.0 - roll), 430.0 - roll, 430.0])
    assert ridge_mm(y, PLAIN, BLANK) == pytest.approx([0.0, 4.0, 8.0, 8.0])
    assert ridge(430.0) == pytest.approx(8.0)
    assert ridge(330.0) == pytest.approx(0.0)


def test_a_fade_keeps_the_height_until_its_own_part():
    wishes = replace(PLAIN, pommel_fade_mm=40.0)
    assert ridge(370.0, wishes) == pytest.approx(8.0)
    assert ridge(350.0, wishes) == pytest.approx(4.0)
    assert ridge(330.0, wishes) == pytest.approx(0.0)


def test_a_narrow_ridge_ends_at_its_width():
    wishes = replace(PLAIN, pommel_width_mm=60.0)
    assert ridge(430.0, wishes) == pytest.approx(8.0)
    assert depth(16.0, 430.0, wishes) == pytest.approx(18.0 - 8.0 * 0.5 * (1 + np.cos(np.pi * 16 / 30)))
    assert depth(30.0, 430.0, wishes) == pytest.approx(18.0)
    assert depth(30.0, 430.0) < 15.0


def test_the_front_eases_down_over_its_length_and_not_before():
    wishes = replace(PLAIN, front_roll_mm=20.0, front_roll_length_mm=80.0)

    def eased(at_y):
        # At x = 150 the body leaves room for it under the greatest depth.
        return depth(150.0, at_y, wishes) - depth(150.0, at_y)

    assert eased(348.0) == pytest.approx(0.0)
    # A parabola whose slope is 0.12 where the arc of 20 sin 60 mm begins.
    room = 80.0 - roll_length_mm(20.0)
    assert eased(390.0) == pytest.approx(0.06 * 40.0**2 / room)


def test_the_rise_to_the_rear_is_whole_at_the_deck_line():
    wishes = replace(PLAIN, rear_rise_mm=6.0)
    assert depth(90.0, 50.0) - depth(90.0, 50.0, wishes) == pytest.approx(6.0)
    assert depth(90.0, 100.0) - depth(90.0, 100.0, wishes) == pytest.approx(3.0)
    assert depth(90.0, 150.0, wishes) == pytest.approx(18.0)


def order(**wishes):
    return order_from_table({"sitter": [{"body": "viola"}], "wishes": wishes}, "order", "seat")


@pytest.mark.parametrize(
    ("wishes", "words"),
    [
        ({"depth_mm": 6, "pommel_mm": 9}, "pommel_mm = 9: at most the hollow's depth_mm of 6"),
        ({"pommel_fade_mm": 150}, "pommel_fade_mm = 150: it is part of pommel_length_mm 130"),
        ({"front_roll_length_mm": 10}, "front_roll_mm 20, which is 22.2 mm long"),
        ({"front_roll_mm": 60}, "a roll that falls no further"),
        ({"depth_mm": 30}, "floor_mm 20 plus depth_mm 30"),
    ],
)
def test_a_contradiction_names_both_and_either_way_out_works(wishes, words):
    with pytest.raises(InputError) as refusal:
        order(**wishes)
    text = str(refusal.value)
    assert words in text
    outs = re.findall(r"(\w+_mm) = ([\d.]+)", text.rsplit("; ", maxsplit=1)[-1])
    assert len(outs) == 2
    for name, value in outs:
        if name == "thickness_mm":
            table = {"sitter": [{"body": "viola"}], "blank": {name: float(value)}, "wishes": wishes}
            assert order_from_table(table, "order", "seat")
        else:
            assert order(**{**wishes, name: float(value)})


def test_a_hollow_made_shallower_by_a_joint_takes_the_pommel_with_it():
    bar = {"kind": "bar", "x_mm": 0, "y_mm": 150, "length_mm": 300, "width_mm": 40, "depth_mm": 20}
    table = {"sitter": [{"body": "violin-1"}], "joint": [bar]}
    with pytest.raises(InputError, match="depth_mm 18 is wished") as refusal:
        order_from_table(table, "order", "seat")
    text = str(refusal.value)
    depth_mm, pommel_mm = map(float, re.search(r"depth_mm = (\d+) with pommel_mm = (\d+)", text).groups())
    assert order_from_table(
        {**table, "wishes": {"depth_mm": depth_mm, "pommel_mm": pommel_mm}}, "order", "seat"
    )
    x, y = map(float, re.search(r"x_mm = (-?\d+), y_mm = (\d+)", text).groups())
    assert (x, y) == (0.0, 174.0), "straight forward is nearest: half of 40 mm, and the wood round it"
    assert order_from_table({**table, "joint": [{**bar, "x_mm": x, "y_mm": y}]}, "order", "seat")


def test_a_long_or_high_pommel_is_questioned():
    knots = clamped_knots(-240.0, 240.0, 4), clamped_knots(50.0, 430.0, 4)
    seat = Seat(hollow=BicubicSpline(*knots, np.full((7, 7), 10.0)))
    assert wish_notes(Wishes(), seat) == []
    assert "14 mm is high" in wish_notes(Wishes(pommel_mm=14.0), seat)[0]
    assert "200 mm long" in wish_notes(Wishes(pommel_length_mm=200.0), seat)[0]
    assert wish_notes(Wishes(pommel_mm=14.0), Seat()) == []


def test_the_usual_wishes_and_the_usual_blank_are_those_of_the_guide():
    """A seat of which nothing is said is made by these; a maker who leaves a key out relies on them."""
    assert Wishes() == Wishes(
        depth_mm=18.0, pommel_mm=8.0, pommel_length_mm=130.0, front_roll_mm=20.0, closeness=0.8,
        tailbone_relief_mm=2.0, rear_rise_mm=0.0,
    )  # fmt: skip
    assert Blank() == Blank(
        width_mm=480.0, depth_mm=430.0, thickness_mm=45.0, floor_mm=20.0, deck_mm=50.0, outline="rounded",
        corner_radius_mm=60.0, gutter_width_mm=8.0, gutter_depth_mm=0.0,
    )  # fmt: skip
