"""Undulations: what a joint calls for is not counted, all else is."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh import Blank, Seat, estimate_body
from seatmesh.design.report.wood_notes import pommel_mm
from seatmesh.fit.bounded.programme import programme_over
from seatmesh.fit.fair import fairness
from seatmesh.fit.fair.fairness import (
    FELT_SLOPE,
    STEP_MM,
    _left_by_joints,
    _samples,
    slope_turns,
    turns_at,
    undulations,
    waviness,
)
from seatmesh.fit.hollow import FAIRNESS_MM, Guest, fair, prepare
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over
from seatmesh.spline import BicubicSpline
from seatmesh.wood.joint import Joint

AT = (110.0, 250.0)
ZONE = Joint("circle", *AT, diameter_mm=30.0, keep_mm=36.0, around_mm=0.0)
"""Leaves 9 mm of depth there."""


def bowl(rises=(), ripple_mm=0.0):
    """A hollow with two walls and a ridge, so that it has all turns of its own across; lifted at places over 24 mm."""
    knots = programme_over(240.0, 50.0, 430.0)
    x = (knots.knots_x[1:-3] + knots.knots_x[2:-2] + knots.knots_x[3:-1])[:, None] / 3.0
    y = (knots.knots_y[1:-3] + knots.knots_y[2:-2] + knots.knots_y[3:-1])[None, :] / 3.0
    depth = (
        16.0 - 24.0 * (x / 240.0) ** 2 - 12.0 * ((y - 240.0) / 190.0) ** 2 - 5.0 * np.exp(-((x / 40.0) ** 2))
    )
    for at_x, at_y, high in rises:
        depth = depth - high * np.exp(-(((np.abs(x) - at_x) / 24.0) ** 2) - ((y - at_y) / 24.0) ** 2)
    depth = depth + ripple_mm * np.cos(2 * np.pi * x / 60.0)
    return BicubicSpline(knots.knots_x, knots.knots_y, depth)


def test_a_rise_that_a_joint_calls_for_is_not_counted():
    lifted = bowl([(*AT, 3.0)])
    seat = Seat(Blank(joints=(ZONE,)), hollow=lifted)
    assert 7.0 < seat.depth_mm(*AT) < 9.0, "the joint holds it up"
    across = seat.depth_mm(np.arange(-238.0, 239.0, 2.0), AT[1])
    assert slope_turns(across, 2.0) > 4
    assert undulations(seat) == 0
    assert undulations(replace(seat, blank=Blank())) > 0, "without a joint it is one"


def test_what_no_joint_calls_for_is_counted_beside_it():
    seat = Seat(Blank(joints=(ZONE,)), hollow=bowl([(*AT, 3.0), (110.0, 130.0, 3.0)]))
    assert undulations(seat) > 0, "a rise elsewhere"
    rippled = Seat(Blank(joints=(ZONE,)), hollow=bowl([(*AT, 3.0)], ripple_mm=2.0))
    bare = replace(rippled, blank=Blank())
    assert 0.5 * undulations(bare) < undulations(rippled) <= undulations(bare), "two turns a patch, no more"


def test_a_joint_that_the_surface_stays_clear_of_calls_for_nothing():
    clear = replace(ZONE, keep_mm=21.0)
    bumped = bowl([(*AT, 3.0)])
    assert undulations(Seat(Blank(joints=(clear,)), hollow=bumped)) == undulations(Seat(hollow=bumped)) > 0


def test_what_holds_a_surface_up_beside_joints_is_what_bounds_it():
    """Where a joint leaves least, over an under-bevel too, the depth allowed is that of the blank itself."""
    beside = Joint("circle", 190.0, 250.0, diameter_mm=30.0, keep_mm=36.0, around_mm=0.0)
    blank = Blank(under_bevel_width_mm=90.0, under_bevel_height_mm=15.0, joints=(beside,))
    allowed, _ = _left_by_joints(blank, 0.0)
    columns, rows = np.meshgrid(*_samples(blank, 0.0))
    held = np.isfinite(allowed)
    assert np.count_nonzero(held) > 50
    assert allowed[held] == pytest.approx(blank.allowed_depth_mm(columns, rows)[held], abs=1e-9)


def test_turns_are_told_where_the_slope_is_at_its_extreme():
    x = np.arange(0.0, 401.0)
    # Depth cos(x / 40 mm) is steepest, its curvature 0, at 20 pi, 60 pi and 100 pi.
    turns = turns_at(10.0 * np.cos(x / 40.0), 1.0)
    assert turns == pytest.approx([20.0 * np.pi, 60.0 * np.pi, 100.0 * np.pi], abs=1.0)


def test_a_mortise_under_the_thigh_does_not_flatten_the_whole_seat():
    # A blind leg mortise over which the floor leaves nothing to carve.
    blank = Blank(joints=(Joint("leg mortise", 150.0, 345.0, 28.0, 12.0, depth_mm=28.0),))
    seat = Seat(blank)
    sitter = lay_over(estimate_body("female", 1640.0, 61.0), seat)
    made, first = fair(prepare([Guest(sitter, press(sitter, seat))], seat, Wishes()), 18.0)
    assert FAIRNESS_MM == 13.0
    assert made.fairness_mm < 2.0 * FAIRNESS_MM
    assert undulations(first.value) == 0
    assert pommel_mm(first.value) > 3.0
    assert float(first.value.depth_mm(150.0, 345.0)) == 0.0


def test_waviness_is_where_the_count_of_undulations_falls_to_none():
    rng = np.random.default_rng(11)
    for _ in range(300):
        slopes = np.cumsum(rng.normal(size=rng.integers(6, 60)))
        profile = np.concatenate([[0.0], np.cumsum(slopes)]) * 0.01
        own = int(rng.integers(0, 5))
        near = tuple(rng.random((rng.integers(0, 3), len(profile))) < 0.3)
        station = fairness._Station(profile, near, own)
        least = fairness._waviness(station)
        assert station.beyond(turns_at(profile, STEP_MM, least + 1e-9)) == 0
        if least > 1e-9:
            assert station.beyond(turns_at(profile, STEP_MM, least - 1e-9)) > 0


def test_waviness_of_a_ripple_is_its_swing_of_slope():
    # Slope a sin(k x): every swing is 2 a; the ends, from and to a level, swing by a alone.
    x = np.arange(0.0, 400.5, STEP_MM)
    profile = -0.03 / 0.05 * np.cos(0.05 * x)
    assert fairness._waviness(fairness._Station(profile, (), 0)) == pytest.approx(0.06, rel=0.01)
    assert fairness._waviness(fairness._Station(profile, (), 20)) == 0.0


def test_waviness_moves_steadily_with_the_surface():
    seat = Seat(hollow=bowl(ripple_mm=0.5))
    values = [waviness(replace(seat, hollow=bowl(ripple_mm=mm))) for mm in np.arange(0.0, 1.01, 0.05)]
    assert max(abs(np.diff(values))) < 0.01
    assert values[-1] > 0.05
    for value, mm in zip(values, np.arange(0.0, 1.01, 0.05), strict=True):
        assert (value <= FELT_SLOPE) == (undulations(replace(seat, hollow=bowl(ripple_mm=mm))) == 0)


def test_a_turn_counts_once_the_slope_has_come_back_by_what_is_felt():
    slopes = np.array([0.0, 0.02, 0.011, 0.03, 0.0, 0.004])
    profile = np.concatenate([[0.0], np.cumsum(slopes)])
    assert turns_at(profile, 1.0, 0.01) == [3]
    assert turns_at(profile, 1.0, 0.008) == [1, 2, 3]
    # Before the first way is known, the farthest end so far is what a slope comes back from.
    start = np.concatenate([[0.0], np.cumsum([0.0, -0.008, 0.008, -0.008])])
    assert turns_at(start, 1.0, 0.01) == [2]


def test_a_flank_runs_out_over_nearly_four_fairness_lengths():
    """A strip as stiff as the fit's on springs, lifted at one place: its differential equation, of fourth order for
    bending and of sixth for the change of bending over 1.15 times the length, solved by finite differences."""
    length, step = FAIRNESS_MM, 0.5
    x = np.arange(0.0, 400.0, step)
    n = len(x)
    second = (np.eye(n, k=1) - 2.0 * np.eye(n) + np.eye(n, k=-1)) / step**2
    second[0, 1] *= 2.0  # level where it is lifted
    fourth = second @ second
    whole = length**4 * fourth - (1.15 * length) ** 6 * second @ fourth + np.eye(n)
    whole[0], load = np.eye(n)[0], np.eye(n)[0]
    lifted = np.linalg.solve(whole, load)
    assert np.interp(fairness.FLANK_MM, x, lifted) == pytest.approx(0.04, abs=0.004)


def test_a_joint_holds_up_what_comes_within_a_millimetre_of_what_it_allows():
    """The joint leaves 9 mm in its middle: a hollow that is 8 mm deep there or more is held up, on either side."""
    seat = Seat(Blank(joints=(ZONE,)), hollow=bowl([(*AT, 3.0)]))
    allowed, _ = fairness._left_by_joints(seat.blank, seat.front_roll_mm)
    least = float(allowed.min())
    assert least == pytest.approx(9.0)
    for below, patches in ((0.97, 2), (1.03, 0)):
        level = np.full(allowed.shape, least - below)
        assert len(fairness._near_joints(replace(seat, hollow=None), level)) == patches


def test_undulations_are_the_turns_beyond_four_on_every_station():
    """Stations 20 mm apart, from the centre line outward and from the deck line forward; each has four of its own."""
    seat = Seat(hollow=bowl(ripple_mm=1.0))
    x, y = np.arange(-238.0, 238.5, 2.0), np.arange(50.0, 430.0, 2.0)
    turns = [slope_turns(seat.depth_mm(x, at), 2.0) for at in np.arange(50.0, 430.0, 20.0)]
    turns += [slope_turns(seat.depth_mm(at, y), 2.0) for at in np.arange(-220.0, 221.0, 20.0)]
    assert max(turns) > 5
    assert undulations(seat) == sum(max(0, one - 4) for one in turns)


@pytest.mark.parametrize(("swing", "felt"), [(0.0098, False), (0.0102, True)])
def test_a_hand_notices_a_change_of_slope_of_one_in_a_hundred(swing, felt):
    """To and fro: 0.0098 is that of a ripple of 0.125 mm crest to trough over 80 mm, 2 pi 0.0625 / 80 either way."""
    slopes = np.array([0.0, 0.5, 1.0, 0.5, 0.0, 0.5, 1.0]) * swing
    assert (slope_turns(np.concatenate([[0.0], np.cumsum(slopes)]), 1.0) > 0) == felt


def test_stations_along_lie_alike_on_both_sides():
    seat = Seat(hollow=bowl())
    _, rows = fairness._samples(seat.blank, seat.front_roll_mm)
    stations = [one for one in fairness._stations(seat) if len(one.depth) == len(rows)]
    assert len(stations) % 2 == 1
    for left, right in zip(stations, stations[::-1], strict=True):
        assert left.depth == pytest.approx(right.depth, abs=1e-9)
