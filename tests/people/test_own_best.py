"""The peak on a seat of one's own, estimated, against seats designed for people who were in no fit."""

import numpy as np
import pytest

from seatmesh.design.orders.order import Order, OrderedSitter
from seatmesh.design.shape import shape_seat
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.people.criteria import words_of
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


def test_bounds_speak_inches_where_the_seat_does():
    assert words_of("knee_clearance_mm", 50.8, "in") == 'knee-backs 2" or more ahead of the front edge'
    assert words_of("knee_clearance_mm", 50.0) == "knee-backs 50 mm or more ahead of the front edge"
