"""Movement: the handbook's worked example and equation, cup from the difference of two coefficients, whole seats."""

from dataclasses import replace
from math import cos, hypot, radians, sin

import numpy as np
import pytest

from seatmesh.wood.blank import Blank
from seatmesh.wood.boards.board import Board, pith_at, turned_over
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.boards.movement import (
    across_per_percent,
    board_movement,
    cup_words,
    linear_change_mm,
    panel_cup_mm,
    panel_top_mm,
)
from seatmesh.wood.boards.wood_wishes import WoodWishes
from seatmesh.wood.joint import Joint
from seatmesh.wood.species import species_named
from seatmesh.woodwork.seat_movement import seat_movement

OAK = species_named("white oak")


def test_the_handbooks_worked_example():
    """W2 by W1 (Wood Handbook, equation 13-2): white fir, flat-sawn, CT 0.00245, 232 mm at 8 % is 233.7 mm at 11 %."""
    assert 232.0 + linear_change_mm(232.0, 0.00245, 8.0, 11.0) == pytest.approx(233.7, abs=0.05)
    fir = species_named(
        "white fir", {"density_kg_m3": 420, "radial_per_percent": 0.00112, "tangential_per_percent": 0.00245}
    )
    far = Board(232.0, fir, pith_away_mm=4000.0)
    assert 232.0 + board_movement(far, 25.0, 8.0, 11.0).width_change_mm == pytest.approx(233.7, abs=0.05)


@pytest.mark.parametrize(
    ("angle", "coefficient"), [(0.0, 0.00365), (90.0, 0.00180), (45.0, 0.5 * (0.00365 + 0.0018))]
)
def test_width_moves_by_the_coefficient_of_the_ring_angle(angle, coefficient):
    """W3 along a ring and along a ray; between them strain turns as any strain does: by the square of the cosine."""
    board = Board(100.0, OAK, *pith_at(angle, 5000.0))
    assert across_per_percent(board) == pytest.approx(coefficient, rel=1e-6)
    change = board_movement(board, 20.0, 9.0, 6.0).width_change_mm
    assert change == pytest.approx(-3.0 * coefficient * 100.0, rel=0.015)


def test_thickness_moves_by_the_other_coefficient():
    flat = Board(100.0, OAK, pith_away_mm=5000.0)
    assert board_movement(flat, 40.0, 12.0, 8.0).thickness_change_mm == pytest.approx(
        -4.0 * 0.0018 * 40.0, rel=1e-6
    )


def test_cup_is_that_of_rings_that_keep_their_arcs():
    """A face point at (r, turn) goes to (r (1 + eR), turn (1 + eT - eR)): its sagitta in closed form."""
    width, thick, away, change = 240.0, 40.0, 150.0, -4.0
    e_r, e_t = 0.0018 * change, 0.00365 * change
    r, turn = hypot(0.5 * width, away + 0.5 * thick), np.arctan2(0.5 * width, away + 0.5 * thick)
    new = turn * (1.0 + e_t - e_r)
    edge = r * (1.0 + e_r) * cos(new)
    middle = (away + 0.5 * thick) * (1.0 + e_r)
    cup = board_movement(Board(width, OAK, pith_away_mm=away), thick, 10.0, 10.0 + change).cup_mm
    assert cup == pytest.approx((edge - middle) - 0.0, rel=1e-3) or cup == pytest.approx(
        edge - middle, abs=1e-3
    )
    # The chord of the original face was level, so that the sagitta is all of the cup.
    flat = r * cos(turn) - (away + 0.5 * thick)
    assert flat == pytest.approx(0.0, abs=1e-9)


def test_a_drying_board_turns_hollow_on_its_bark_side():
    """Common practice: rings try to straighten as a board dries, so that it cups away from the heart."""
    board = Board(220.0, OAK, pith_away_mm=110.0)
    assert board_movement(board, 40.0, 10.0, 6.0).cup_mm > 0.2
    assert board_movement(turned_over(board), 40.0, 10.0, 6.0).cup_mm < -0.2
    assert board_movement(board, 40.0, 6.0, 10.0).cup_mm < -0.2
    assert board_movement(Board(220.0, OAK, *pith_at(90.0, 4000.0)), 40.0, 10.0, 6.0).cup_mm == pytest.approx(
        0, abs=0.02
    )


def test_a_panel_bows_by_how_much_wider_its_top_gets_than_its_underside():
    """Of equal boards all one way up the glue lines lie on an arc that turns by the edges' lean at each of them."""
    up, thick = Board(160.0, OAK, pith_away_mm=80.0), 40.0
    moved = board_movement(up, thick, 10.0, 4.0)
    lean = moved.lean_rad[0] - moved.lean_rad[1]
    top, foot = (replace(up, pith_away_mm=80.0 + side * 0.5 * thick) for side in (1.0, -1.0))
    wider = (
        board_movement(foot, 1e-6, 10.0, 4.0).width_change_mm
        - board_movement(top, 1e-6, 10.0, 4.0).width_change_mm
    )
    assert lean == pytest.approx(wider / thick, rel=0.02)
    panel = panel_top_mm((moved, moved, moved))
    lines = panel[[0, len(moved.top_mm), 2 * len(moved.top_mm)]]
    first, second = np.diff(lines, axis=0)
    assert np.arctan2(second[1], second[0]) - np.arctan2(first[1], first[0]) == pytest.approx(lean, rel=0.01)


def test_boards_that_lie_in_turn_bow_no_panel():
    up = Board(160.0, OAK, pith_away_mm=110.0)
    over = turned_over(up)
    moved = [board_movement(one, 40.0, 10.0, 6.0) for one in (up, over, up, over)]
    count = len(moved[0].top_mm)
    panel = panel_top_mm(tuple(moved))
    assert abs(panel[2 * count, 1]) < 0.1 * abs(moved[0].cup_mm)


def test_glued_boards_meet_at_their_edges_as_these_lean():
    """Of one wide board that is sawn in two and glued again as it was, nothing changes."""
    whole = Board(320.0, OAK, pith_aside_mm=0.0, pith_away_mm=120.0)
    halves = (Board(160.0, OAK, 80.0, 120.0), Board(160.0, OAK, -80.0, 120.0))
    one = board_movement(whole, 40.0, 10.0, 6.0)
    two = panel_top_mm(tuple(board_movement(half, 40.0, 10.0, 6.0) for half in halves))
    assert panel_cup_mm(two) == pytest.approx(one.cup_mm, rel=1e-6)
    assert two[-1, 0] - two[0, 0] == pytest.approx(one.top_mm[-1, 0], rel=1e-9)


def test_a_cup_is_said_with_the_way_that_it_goes():
    assert cup_words(0.5, "mm") == "0.5 mm hollow on top"
    assert cup_words(-0.5, "in") == "0.020 in crowned on top"
    assert cup_words(0.04, "mm") == cup_words(-0.04, "in") == "none"


def test_a_seat_moves_by_its_boards_and_its_posts_by_what_lies_between():
    layup = Layup(
        (Board(200.0, OAK, pith_away_mm=3000.0), Board(280.0, OAK, *pith_at(90.0, 3000.0))), 430.0, 45.0
    )
    post = Joint("back post", 150.0, 25.0, diameter_mm=20.0, depth_mm=30.0)
    blank = Blank(joints=(post,))
    wishes = WoodWishes(shop_moisture_percent=9.0, winter_moisture_percent=6.0, summer_moisture_percent=11.0)
    winter, summer = seat_movement(blank, layup, wishes)
    whole = -3.0 * (0.00365 * 200.0 + 0.0018 * 280.0)
    assert winter.width_change_mm == pytest.approx(whole, rel=0.005)
    assert summer.width_change_mm == pytest.approx(-2.0 / 3.0 * whole, rel=0.01)
    # The glue line lies at x = -40: 110 mm of flat and 190 mm of quarter-sawn wood between the posts.
    assert winter.joints[0].apart_mm == 300.0
    assert winter.joints[0].apart_change_mm == pytest.approx(
        -3.0 * (0.00365 * 110.0 + 0.0018 * 190.0), rel=1e-3
    )
    # Of the two bores the left one, in flat-sawn wood, closes more; of a single joint on the right its own is told.
    assert winter.joints[0].bore_change_mm == pytest.approx(-3.0 * 0.00365 * 20.0, rel=1e-3)
    single = replace(blank, joints=(replace(post, side="one"),))
    (alone, _) = seat_movement(single, layup, wishes)
    assert alone.joints[0].bore_change_mm == pytest.approx(-3.0 * 0.0018 * 20.0, rel=1e-3)
    assert alone.joints[0].apart_mm == 0.0
    turned = replace(layup, boards=layup.boards[::-1])
    for room, percent in zip(seat_movement(blank, turned, wishes), (-3.0, 2.0), strict=True):
        assert room.joints[0].bore_change_mm == pytest.approx(percent * 0.00365 * 20.0, rel=1e-3)


def test_slope_of_rings_to_either_side_moves_alike():
    right = Board(200.0, OAK, 150.0 * sin(radians(30)), 150.0 * cos(radians(30)))
    left = replace(right, pith_aside_mm=-right.pith_aside_mm)
    one, other = (board_movement(board, 40.0, 9.0, 6.0) for board in (right, left))
    assert one.width_change_mm == pytest.approx(other.width_change_mm)
    assert one.cup_mm == pytest.approx(other.cup_mm)


def test_a_panel_lies_level_from_edge_to_edge():
    some = (Board(160.0, OAK, pith_away_mm=90.0), Board(200.0, OAK, 40.0, 100.0))
    panel = panel_top_mm(tuple(board_movement(one, 40.0, 10.0, 6.0) for one in some))
    assert panel[[0, -1], 1] == pytest.approx([0.0, 0.0], abs=1e-9)
    assert panel[0, 0] == pytest.approx(-panel[-1, 0])
    assert panel_cup_mm(panel) == pytest.approx(-panel[np.argmax(np.abs(panel[:, 1])), 1])
