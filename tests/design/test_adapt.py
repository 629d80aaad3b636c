"""A copied seat adapted to another sitter: nearer to that sitter's own, and nothing new for the same one."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh import flat_seat
from seatmesh.design.adapt import adapted
from seatmesh.design.orders.order import Order, OrderedSitter, find_body
from seatmesh.design.shape import shape_seat
from seatmesh.errors import ValueRefusedError
from seatmesh.fit.wished.wishes import Wishes


@pytest.fixture(scope="module")
def sitters(tmp_path_factory):
    return find_body("violin-1", tmp_path_factory.mktemp("x")), find_body(
        "cello", tmp_path_factory.mktemp("x")
    )


@pytest.fixture(scope="module")
def seats(sitters):
    return [
        shape_seat(Order(one.name, (OrderedSitter(one),), wishes=Wishes(depth_mm=14.0))) for one in sitters
    ]


def test_one_fitted_seat_becomes_the_other(sitters, seats):
    changed = adapted(seats[0], *sitters)
    x, y = np.meshgrid(np.arange(-200.0, 201.0, 20.0), np.arange(60.0, 400.0, 20.0))
    np.testing.assert_allclose(changed.depth_mm(x, y), seats[1].depth_mm(x, y), atol=0.25)
    assert np.abs(seats[0].depth_mm(x, y) - seats[1].depth_mm(x, y)).max() > 1.0


def test_for_the_same_sitter_nothing_changes_and_unlike_sides_stay(sitters, seats):
    hollow = seats[0].hollow
    lean = 0.8 * np.linspace(-1.0, 1.0, hollow.coefficients.shape[0])[:, None]
    leaning = hollow.coefficients + lean * (hollow.coefficients > 2.0)
    uneven = replace(seats[0], hollow=replace(hollow, coefficients=leaning))
    same = adapted(uneven, sitters[0], sitters[0])
    np.testing.assert_allclose(same.hollow.coefficients, uneven.hollow.coefficients, atol=1e-9)


def test_a_flat_seat_and_another_blanks_hollow_are_refused(sitters, seats):
    with pytest.raises(ValueRefusedError, match="flat"):
        adapted(flat_seat(), *sitters)
    with pytest.raises(ValueRefusedError, match="its own blank"):
        adapted(replace(seats[0], blank=replace(seats[0].blank, width_mm=440.0)), *sitters)
