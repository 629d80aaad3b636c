"""The peak on a seat of one's own, estimated, against seats designed for people who were in no fit."""

import numpy as np
import pytest

from seatmesh.design.orders.order import Order, OrderedSitter
from seatmesh.design.shape import shape_seat
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.people.criteria import bound_of, lacks_of, words_of
from seatmesh.people.drawn import draw_part
from seatmesh.people.own_best import OWN_ERROR, own_best_peak_kpa, own_depth_mm
from seatmesh.people.press import press_people
from seatmesh.people.public import SOLDIERS
from seatmesh.surface import Seat


def test_it_is_that_of_seats_designed_since():
    """Three people, depths of 10, 16 and 22 mm: each within four standard errors, all together within two of a mean."""
    people = draw_part(SOLDIERS, 4242, 0, 3)
    errors = []
    for i, depth in enumerate((10.0, 16.0, 22.0)):
        body = people.body(i)
        seat = shape_seat(Order("own", (OrderedSitter(body),), wishes=Wishes(depth_mm=depth)))
        assert own_depth_mm(seat) == pytest.approx(depth, abs=0.3)
        one = slice(i, i + 1)
        said = own_best_peak_kpa(people.builds.women[one], people.measures[one], seat)[0]
        errors.append(np.log(press_people(people.some(np.array([i])), seat).of("peak_kpa")[0] / said))
    assert np.abs(errors).max() < 4.0 * OWN_ERROR
    assert abs(np.mean(errors)) < 2.0 * OWN_ERROR


def test_a_flat_board_is_compared_with_the_shallowest():
    assert own_depth_mm(Seat()) == 8.0


def test_who_just_misses_a_bound_is_not_said_to_have_it():
    assert lacks_of("knee_clearance_mm", 49.7, 50.0) == "knee-backs just under 50 mm ahead of the front edge"
    assert lacks_of("knee_clearance_mm", 41.0, 50.0) == "knee-backs 41 mm ahead of the front edge"
    assert lacks_of("peak_times_own_best", 1.2502, 1.25).startswith("a peak just over 1.25 times")


def test_bounds_speak_inches_where_the_seat_does():
    assert words_of("knee_clearance_mm", 50.8, "in") == 'knee-backs 2" or more ahead of the front edge'
    assert lacks_of("hip_margin_mm", -25.4, 0.0, "in") == 'a blank 1" narrower than the hips'
    assert bound_of("rim_load_share", 0.05) == "at most 5 %"
    assert words_of("hip_margin_mm", 0.0) == "a blank as broad as the hips or broader"
    assert words_of("knee_clearance_mm", 50.0) == "knee-backs 50 mm or more ahead of the front edge"
