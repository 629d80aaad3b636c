"""The way to cut: downhill in a hollow of level fibres, with the fibres where they slope, split where it turns."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh.adjustment import Adjustment
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.boards.board import Board, turned_end_for_end, turned_over
from seatmesh.wood.boards.layup import Layup
from seatmesh.woodwork import way_to_cut as cutting
from seatmesh.woodwork.way_to_cut import (
    FORWARD,
    NEITHER,
    NONE_GOOD,
    REARWARD,
    arrows,
    fibre_angle_deg,
    share_none_good,
    turning_lines,
    way_to_cut,
)

BOWL = Seat(Blank(), adjustments=(Adjustment(0.0, 220.0, 150.0, 20.0),))
GOUGE = Seat(Blank(), adjustments=(Adjustment(0.0, 220.0, 40.0, 12.0),))


def laid(*boards):
    return Layup(boards, 430.0, 45.0)


LEVEL = laid(Board(480.0))


def ways_at(seat, layup, x, y):
    way = way_to_cut(seat, layup)
    return way.way[np.argmin(np.abs(way.y_mm - y)), np.argmin(np.abs(way.x_mm - x))]


def test_in_a_bowl_of_level_fibres_cuts_go_downhill_along_the_grain():
    """Common practice: downhill is with the grain in a hollow."""
    assert ways_at(BOWL, LEVEL, 0.0, 150.0) == FORWARD
    assert ways_at(BOWL, LEVEL, 0.0, 290.0) == REARWARD
    assert ways_at(BOWL, LEVEL, 0.0, 220.0) == NEITHER
    way = way_to_cut(BOWL, LEVEL)
    for place, direction in arrows(way, 30.0):
        ahead = place + 4.0 * direction
        assert BOWL.depth_mm(*ahead) > BOWL.depth_mm(*place)


@pytest.mark.parametrize("rise", [4.0, -6.0])
def test_fibres_meet_a_level_face_at_their_slope(rise):
    """On an uncut face the angle is the slope of the grain itself."""
    layup = laid(Board(480.0, rise_deg=rise))
    flat = flat_seat()
    assert fibre_angle_deg(flat, layup, np.array([50.0]), np.array([200.0])) == pytest.approx(rise, abs=1e-9)
    over = laid(turned_over(layup.boards[0]))
    end = laid(turned_end_for_end(layup.boards[0]))
    for other in (over, end):
        assert fibre_angle_deg(flat, other, np.array([50.0]), np.array([200.0])) == pytest.approx(
            -rise, abs=1e-9
        )


def test_rising_fibres_move_the_place_where_cuts_meet_to_the_front():
    steep = laid(Board(480.0, rise_deg=5.0))
    lines = turning_lines(way_to_cut(BOWL, steep), valleys=True)
    at = np.concatenate([line[np.abs(line[:, 0]) < 30.0, 1] for line in lines])
    assert at.size
    assert at.min() > 225.0
    # Where the bowl rises toward the front by 5 degrees fibres lie along its surface.
    y = at.mean()
    slope = np.degrees(np.arctan(float(BOWL.depth_mm(0.0, y - 1.0) - BOWL.depth_mm(0.0, y + 1.0)) / 2.0))
    assert slope == pytest.approx(5.0, abs=1.0)


def test_a_line_that_is_valley_and_ridge_is_split():
    steep = laid(Board(480.0, rise_deg=3.0))
    way = way_to_cut(BOWL, steep)
    valleys, ridges = turning_lines(way, True), turning_lines(way, False)
    assert valleys
    assert ridges
    for lines, sign in ((valleys, 1.0), (ridges, -1.0)):
        for line in lines:
            x, y = line[len(line) // 2]
            before = fibre_angle_deg(BOWL, steep, np.array([x]), np.array([y - 8.0]))[0]
            after = fibre_angle_deg(BOWL, steep, np.array([x]), np.array([y + 8.0]))[0]
            assert sign * (before - after) > 0.0


def test_the_bottom_of_a_tight_gouge_is_scraped_and_a_wide_bowl_is_not():
    assert share_none_good(way_to_cut(BOWL, LEVEL)) == 0.0
    assert ways_at(GOUGE, LEVEL, 0.0, 220.0) == NONE_GOOD
    assert share_none_good(way_to_cut(GOUGE, LEVEL)) > 0.05


def test_boards_whose_grain_runs_against_each_other_are_scraped_along_the_glue_line():
    up = Board(240.0, rise_deg=4.0)
    layup = laid(up, turned_end_for_end(up))
    shallow = Seat(Blank(boards=2), adjustments=(Adjustment(0.0, 220.0, 190.0, 3.0),))
    assert ways_at(shallow, layup, 4.0, 220.0) == NONE_GOOD
    assert ways_at(shallow, layup, 100.0, 220.0) == REARWARD
    assert ways_at(shallow, layup, -100.0, 220.0) == FORWARD


def test_beside_a_glue_line_off_the_centre_the_same():
    up = Board(200.0, rise_deg=4.0)
    layup = laid(up, replace(turned_end_for_end(up), width_mm=280.0))
    shallow = Seat(Blank(glue_lines_mm=(-40.0,)), adjustments=(Adjustment(0.0, 220.0, 190.0, 3.0),))
    assert ways_at(shallow, layup, -36.0, 220.0) == NONE_GOOD
    assert ways_at(shallow, layup, -48.0, 220.0) == NONE_GOOD
    assert ways_at(shallow, layup, 40.0, 220.0) == REARWARD
    assert ways_at(shallow, layup, -64.0, 220.0) == FORWARD


def test_a_glue_line_costs_a_column_of_places_and_not_a_grid(monkeypatch):
    asked = []

    def counted(seat, layup, x, y):
        asked.append(np.broadcast(x, y).size)
        return fibre_angle_deg(seat, layup, x, y)

    monkeypatch.setattr(cutting, "fibre_angle_deg", counted)
    rows = len(way_to_cut(BOWL, LEVEL).y_mm)
    alone = sum(asked)
    asked.clear()
    way_to_cut(BOWL, laid(*(Board(120.0) for _ in range(4))))
    assert sum(asked) - alone == 3 * 2 * rows


def test_nothing_is_said_of_uncut_wood():
    way = way_to_cut(flat_seat(), LEVEL)
    assert not way.carved.any()
    assert arrows(way, 30.0) == []
    assert turning_lines(way, True) == []
    assert share_none_good(way) == 0.0


def test_fibres_that_run_aside_are_followed_aside():
    """A round gouge is the same whichever way its fibres run: what is scraped turns with them."""
    counts = []
    for turn in (0.0, 20.0, -20.0):
        layup = laid(Board(480.0, aside_deg=turn))
        way = way_to_cut(GOUGE, layup)
        row, column = np.nonzero(way.way == NONE_GOOD)
        x, y = way.x_mm[column], way.y_mm[row] - 220.0
        along = x * np.sin(np.radians(turn)) + y * np.cos(np.radians(turn))
        across = x * np.cos(np.radians(turn)) - y * np.sin(np.radians(turn))
        counts.append(len(x))
        assert np.abs(along).max() < 12.0
        assert 14.0 < np.abs(across).max() < 40.0
        for place, direction in arrows(way, 30.0):
            assert abs(direction @ [np.sin(np.radians(turn)), np.cos(np.radians(turn))]) == pytest.approx(1.0)
            assert place.shape == (2,)
    assert counts[1:] == pytest.approx([counts[0]] * 2, rel=0.12)


@pytest.mark.parametrize("spacing", [20.0, 48.0])
def test_arrows_stand_as_far_apart_as_asked(spacing):
    places = np.array([place for place, _ in arrows(way_to_cut(BOWL, LEVEL), spacing)])
    for axis in (0, 1):
        apart = np.diff(np.unique(places[:, axis].round(6)))
        assert apart.min() == pytest.approx(spacing, abs=2.5)


def test_a_gutter_is_cut_lengthwise_and_has_no_arrows():
    seat = Seat(Blank(gutter_depth_mm=4.0), adjustments=(Adjustment(0.0, 220.0, 150.0, 20.0),))
    way = way_to_cut(seat, LEVEL, 2.0)
    gutter = seat.blank.gutter_mm(way.x_mm[None, :], way.y_mm[:, None]) > 0.1
    assert gutter.any()
    assert not way.carved[gutter].any()
    assert way.carved.any()
