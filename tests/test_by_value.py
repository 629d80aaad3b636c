"""Seats, meshes and sittings as values: equal, hashable, not to be written, also after a trip to another process.

What Python asks of equality and hash (equal objects have equal hashes; pickling keeps them) is its own reference, data
model, `object.__hash__`; that a buffer of bytes cannot be made writeable is NumPy's, `ndarray.setflags`.
"""

from __future__ import annotations

import copy
import dataclasses
import multiprocessing
import operator
import pickle
from concurrent.futures import ProcessPoolExecutor

import numpy as np
import pytest

from seatmesh import Blank, Mesh, Seat, estimate_body, flat_seat, read_seat, sit, solid, write_seat
from seatmesh.adjustment import Adjustment
from seatmesh.seating.sitting import ARRAYS
from seatmesh.spline import BicubicSpline

HOLLOW = ("knots_x", "knots_y", "coefficients")


@pytest.fixture(scope="module")
def seat(carve):
    return carve(boards=2)


@pytest.fixture(scope="module")
def sitting(seat):
    return sit(estimate_body("female", 1640, 61), seat)


def locks(one: object) -> list[bool]:
    """Tell of every array of a seat, mesh or sitting whether it can be written."""
    if isinstance(one, Seat):
        return locks(one.hollow)
    arrays = [value for value in vars(one).values() if isinstance(value, np.ndarray)]
    return [array.flags.writeable for array in arrays]


def test_two_seats_read_from_one_file_are_equal_and_hash_alike(seat, tmp_path):
    write_seat(seat, tmp_path / "seat.json")
    one, other = read_seat(tmp_path / "seat.json"), read_seat(tmp_path / "seat.json")
    assert one == other == seat
    assert not one != other  # noqa: SIM202 - the other operator
    assert hash(one) == hash(other) == hash(seat)
    assert len({one, other, seat}) == 1


def test_seats_that_differ_by_the_least_are_not_equal(seat):
    moved = np.array(seat.hollow.coefficients)
    moved[3, 4] = np.nextafter(moved[3, 4], np.inf)
    deeper = dataclasses.replace(seat, hollow=dataclasses.replace(seat.hollow, coefficients=moved))
    others = [
        deeper,
        dataclasses.replace(seat, title="other"),
        dataclasses.replace(seat, blank=dataclasses.replace(seat.blank, width_mm=480.1)),
        flat_seat(seat.blank),
    ]
    for other in others:
        assert seat != other
        assert hash(seat) != hash(other)
    assert seat != "seat"
    assert seat.hollow != seat


def test_zero_has_one_sign_and_numbers_one_width():
    knots = np.array([0.0] * 4 + [1.0] * 4)
    plus = BicubicSpline(knots, knots, np.zeros((4, 4)))
    minus = BicubicSpline(-knots[::-1] + 1.0, knots, -np.zeros((4, 4)))
    narrow = BicubicSpline(knots.astype(np.float32), list(knots), np.zeros((4, 4), dtype=int))
    turned = BicubicSpline(knots.astype(">f8"), knots, np.asfortranarray(np.zeros((4, 4))))
    for other in (minus, narrow, turned):
        assert plus == other
        assert hash(plus) == hash(other)
    assert narrow.knots_x.dtype == turned.knots_x.dtype == np.float64
    assert plus != BicubicSpline(knots, knots, np.zeros((2, 8)))


def test_what_is_not_a_number_is_equal_to_itself():
    bits = np.array([0x7FF8000000000000, 0xFFF8000000000001], dtype=np.uint64).view(float)
    corners = np.zeros((3, 3))
    one, other = corners.copy(), corners.copy()
    one[0, 0], other[0, 0] = bits
    faces = np.array([[0, 1, 2]])
    assert Mesh(one, faces) == Mesh(other, faces)
    assert hash(Mesh(one, faces)) == hash(Mesh(other, faces))
    assert Mesh(one, faces) != Mesh(corners, faces)


def test_a_mesh_of_other_integers_is_the_same_mesh(seat):
    mesh = solid(seat, 2.0)
    small = Mesh(mesh.vertices_mm.tolist(), mesh.faces.astype(np.uint32))
    assert small == mesh
    assert hash(small) == hash(mesh)
    assert small.faces.dtype == np.int64
    with pytest.raises(TypeError, match="float64"):
        Mesh(mesh.vertices_mm, mesh.faces + 0.5)


def test_a_mesh_without_facets_is_one_too():
    empty = Mesh([], [])
    assert empty == Mesh(np.zeros(0), np.zeros(0))
    assert empty.faces.dtype == np.int64


def test_no_array_can_be_written(seat, sitting):
    mesh = solid(seat, 2.0)
    arrays = [getattr(seat.hollow, name) for name in HOLLOW]
    arrays += [mesh.vertices_mm, mesh.faces, *(getattr(sitting, name) for name in ARRAYS)]
    for array in arrays:
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 1
        with pytest.raises(ValueError, match="WRITEABLE"):
            array.setflags(write=True)
        with pytest.raises(ValueError, match="WRITEABLE"):
            array.base.setflags(write=True)


def test_the_arrays_that_were_given_stay_the_givers_own(seat):
    given = np.array(seat.hollow.coefficients)
    spline = BicubicSpline(seat.hollow.knots_x, seat.hollow.knots_y, given)
    given[0, 0] += 1.0
    assert given.flags.writeable
    assert spline == seat.hollow
    view = np.broadcast_to(given, given.shape)
    held = BicubicSpline(seat.hollow.knots_x, seat.hollow.knots_y, view)
    given[0, 0] += 1.0
    assert held.coefficients[0, 0] == given[0, 0] - 1.0
    assert held.knots_x is seat.hollow.knots_x, "what is locked is not copied again"


@pytest.mark.parametrize("protocol", range(pickle.HIGHEST_PROTOCOL + 1))
def test_pickles_and_copies_are_equal_and_locked(seat, sitting, protocol):
    for one in (seat, solid(seat, 2.0), sitting):
        for made in (pickle.loads(pickle.dumps(one, protocol)), copy.copy(one), copy.deepcopy(one)):
            assert made == one
            assert hash(made) == hash(one)
            assert not any(locks(made))


def test_another_process_gets_and_gives_locked_arrays(seat):
    with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn")) as pool:
        for name in HOLLOW:
            written = operator.attrgetter(f"hollow.{name}.flags.writeable")
            assert not pool.submit(written, seat).result()
        back = pool.submit(dataclasses.replace, seat, title="away").result()
    assert back == dataclasses.replace(seat, title="away")
    assert not any(locks(back))


def test_a_replaced_seat_shares_what_it_keeps(seat):
    named = dataclasses.replace(seat, title="named")
    assert named.hollow is seat.hollow
    if hasattr(copy, "replace"):
        assert copy.replace(seat, title="named") == named


def test_lists_do_for_tuples():
    joined = Blank(boards=2, glue_lines_mm=[0.0], joints=[])
    outlined = Blank(own_outline_mm=np.array([[0.0, 0.0], [200.0, 0.0], [0.0, 400.0]]))
    assert joined == Blank(boards=2, glue_lines_mm=(-0.0,))
    assert hash(joined) == hash(Blank(boards=2, glue_lines_mm=(0.0,)))
    assert outlined == Blank(own_outline_mm=((0.0, 0.0), (200.0, 0.0), (0.0, 400.0)))
    change = Adjustment(60.0, 150.0, 40.0, 1.5)
    assert hash(Seat(adjustments=[change])) == hash(Seat(adjustments=(change,)))
    assert Seat(adjustments=[change]) == Seat(adjustments=(change,))


def test_sittings_and_bodies_are_values(seat, sitting):
    again = sit(estimate_body("female", 1640, 61), seat)
    assert again == sitting
    assert hash(again) == hash(sitting)
    assert again.body == sitting.body
    assert hash(again.body) == hash(sitting.body)
    other = estimate_body("female", 1641, 61)
    assert other != sitting.body
    assert hash(other) != hash(sitting.body)
    assert sit(other, seat) != sitting
