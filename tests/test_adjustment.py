"""Adjustments: their shape against its closed form, and what they may do to a seat, a file and a solid."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from seatmesh import Blank, InputError, Seat, flat_seat, read_seat, solid, write_seat
from seatmesh.adjustment import Adjustment, total_depth_mm
from seatmesh.errors import ValueRefusedError
from seatmesh.mesh import faults
from seatmesh.solids.carved import surface_volume_mm3


def grid(step_mm=0.5, blank=None):
    blank = blank or Blank()
    x = np.arange(0.0, 0.5 * blank.width_mm + step_mm, step_mm)
    x = np.concatenate([-x[:0:-1], x])
    return x[None, :], np.arange(0.0, blank.depth_mm + 0.5 * step_mm, step_mm)[:, None]


def test_its_shape_is_the_closed_form():
    one = Adjustment(30.0, 200.0, 20.0, 3.0)
    # amount (1 - s^2)^2 with s = r / radius: 1, 9/16 at half of the radius, 0 from the edge on.
    assert one.depth_mm(np.array(30.0), np.array(200.0)) == pytest.approx(3.0, rel=1e-12)
    assert one.depth_mm(np.array(40.0), np.array(200.0)) == pytest.approx(3.0 * 9 / 16, rel=1e-12)
    assert one.depth_mm(np.array(30.0), np.array(190.0)) == pytest.approx(3.0 * 9 / 16, rel=1e-12)
    assert np.all(
        one.depth_mm(np.array([9.99, 50.0, 30.0, -30.0]), np.array([200.0, 200.0, 220.01, 200.0])) == 0
    )


def test_its_slope_has_no_jump_and_its_steepest_place_is_known():
    one = Adjustment(0.0, 200.0, 40.0, 2.0)
    x = np.arange(-60.0, 60.0, 0.01)
    slope = np.diff(one.depth_mm(x, np.array(200.0))) / 0.01
    assert np.abs(np.diff(slope)).max() < 1e-4
    # d/ds (1 - s^2)^2 is greatest at s = 1 / sqrt 3, where it is 16 / (6 sqrt 3).
    assert np.abs(slope).max() == pytest.approx(2.0 / 40.0 * 16 / (6 * np.sqrt(3)), rel=1e-4)


@pytest.mark.parametrize("side", ["one", "both"])
def test_the_wood_that_it_takes_is_its_volume(side):
    one = Adjustment(60.0, 200.0, 35.0, 2.0, side)
    x, y = grid()
    assert one.depth_mm(x, y).sum() * 0.25 == pytest.approx(one.wood_mm3, rel=1e-3)
    assert replace(one, amount_mm=-2.0).wood_mm3 == -one.wood_mm3


@pytest.mark.parametrize("x_mm", [3.0, 17.3, 60.0, -60.0])
def test_both_sides_mirror_each_other_and_take_no_more_than_the_amount(x_mm):
    both = Adjustment(x_mm, 200.0, 25.0, 2.5, "both")
    x, y = grid()
    depth = both.depth_mm(x, y)
    np.testing.assert_array_equal(depth, depth[:, ::-1])
    assert depth.max() == pytest.approx(2.5, rel=1e-3)
    assert depth.max() <= 2.5
    alone = Adjustment(x_mm, 200.0, 25.0, 2.5).depth_mm(x, y)
    assert np.all(depth >= alone - 1e-15)
    if abs(x_mm) > 25.0:
        np.testing.assert_allclose(depth, alone + alone[:, ::-1], atol=1e-15)


def test_several_add_up_and_negative_ones_leave_wood():
    one, other = Adjustment(0.0, 200.0, 20.0, 2.0), Adjustment(5.0, 200.0, 20.0, -0.5)
    x, y = grid(2.0)
    np.testing.assert_allclose(total_depth_mm((one, other), x, y), one.depth_mm(x, y) + other.depth_mm(x, y))
    assert total_depth_mm((), x, y).shape == (y.size, x.size)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"radius_mm": 4.9}, r"radius_mm = 4\.9: allowed is 5 mm"),
        ({"radius_mm": -20.0}, "radius_mm"),
        ({"radius_mm": float("nan")}, "radius_mm = nan: allowed is a finite"),
        ({"amount_mm": float("inf")}, "amount_mm = inf"),
        ({"x_mm": float("nan")}, "x_mm"),
        ({"y_mm": float("-inf")}, "y_mm"),
        ({"side": "left"}, "side = 'left': allowed are one, both"),
    ],
)
def test_what_is_no_adjustment_is_refused(change, words):
    with pytest.raises(ValueRefusedError, match=words):
        replace(Adjustment(0.0, 200.0, 20.0, 2.0), **change)


def test_a_seat_takes_and_leaves_what_it_says_on_the_side_it_says(carved_seat):
    x, y = grid(2.0)
    before = carved_seat.depth_mm(x, y)
    one = Adjustment(70.0, 150.0, 40.0, 2.0)
    for amount in (2.0, -3.0):
        again = replace(one, amount_mm=amount)
        change = replace(carved_seat, adjustments=(again,)).depth_mm(x, y) - before
        np.testing.assert_allclose(change, again.depth_mm(x, y), atol=1e-12)
        assert np.all(change[:, x[0] < 30.0] == 0)
    np.testing.assert_array_equal(replace(carved_seat, adjustments=()).depth_mm(x, y), before)


def test_on_wood_that_the_hollow_leaves_it_takes_its_full_amount(carved_seat):
    assert carved_seat.hollow(225.0, 150.0) < -1.0
    seat = replace(carved_seat, adjustments=(Adjustment(225.0, 150.0, 12.0, 2.0),))
    assert seat.depth_mm(225.0, 150.0) == pytest.approx(2.0, rel=1e-12)
    flat = replace(flat_seat(), adjustments=(Adjustment(57.0, 150.0, 30.0, 3.0, "both"),))
    assert flat.depth_mm([57.0, -57.0], 150.0) == pytest.approx([3.0, 3.0])
    assert flat.depth_mm(0.0, 150.0) == 0.0


def test_floor_top_face_deck_and_symmetry_hold_whatever_is_asked():
    rng = np.random.default_rng(4)
    x, y = grid(1.0)
    blank = Blank(thickness_mm=40.0)
    # The front roll falls 10 mm at the edge; it is shaped after the hollow, and no adjustment leaves wood on it.
    for amount in (30.0, -30.0):
        places = rng.uniform([-230.0, 0.0, 15.0], [230.0, 430.0, 90.0], (12, 3))
        adjustments = tuple(Adjustment(*place, amount, "both") for place in places.tolist())
        seat = Seat(blank, front_roll_mm=20.0, adjustments=adjustments)
        depth = seat.depth_mm(x, y)
        assert depth.max() == pytest.approx(20.0 if amount > 0.0 else 10.0)
        assert depth.min() >= 0.0
        assert np.all(depth[y[:, 0] <= 50.0] == 0.0)
        assert np.abs(depth - depth[:, ::-1]).max() < 1e-9


def test_the_floor_counts_the_front_roll_too():
    blank = Blank(thickness_mm=34.0)
    seat = Seat(blank, front_roll_mm=20.0, adjustments=(Adjustment(0.0, 425.0, 40.0, 12.0),))
    assert seat.depth_mm(0.0, np.linspace(380.0, 430.0, 400)).max() == pytest.approx(14.0)


def test_a_hollow_that_is_too_deep_is_not_lifted_in_silence(carve):
    seat = carve(thickness_mm=30.0)
    x, y = grid(2.0)
    adjusted = replace(seat, adjustments=(Adjustment(0.0, 140.0, 60.0, 3.0),))
    assert seat.depth_mm(x, y).max() > seat.blank.greatest_depth_mm + 5.0
    assert adjusted.depth_mm(x, y).max() == seat.depth_mm(x, y).max()


def test_beyond_the_edges_it_is_as_deep_as_at_the_edge():
    seat = Seat(adjustments=(Adjustment(235.0, 425.0, 40.0, 3.0),))
    assert seat.depth_mm(260.0, 400.0) == seat.depth_mm(240.0, 400.0) > 0.0
    assert seat.depth_mm(230.0, 445.0) == seat.depth_mm(230.0, 430.0) > 0.0


ADJUSTED = (
    Adjustment(70.3, 141.0, 30.0, 3.0, "both"),
    Adjustment(-40.0, 300.0, 15.0, -1.5),
    Adjustment(110.0, 425.0, 45.0, 2.0, "both"),
)


def test_a_seat_file_keeps_them_to_the_bit(tmp_path: Path, carved_seat: Seat):
    seat = replace(carved_seat, adjustments=ADJUSTED)
    write_seat(seat, tmp_path / "seat.json")
    back = read_seat(tmp_path / "seat.json")
    assert back.adjustments == ADJUSTED
    x, y = grid(2.0)
    np.testing.assert_array_equal(back.depth_mm(x, y), seat.depth_mm(x, y))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"side": "left"}, r"adjustments\[1\]\.side = 'left'"),
        ({"radius_mm": "20"}, r"adjustments\[1\]\.radius_mm = '20'"),
        ({"radius_mm": 0.0}, r"radius_mm = 0\.0"),
        ({"raduis_mm": 0.0}, r"adjustments\[1\]: unknown key 'raduis_mm'; did you mean 'radius_mm'"),
    ],
)
def test_a_seat_file_with_another_adjustment_is_refused(tmp_path: Path, change, words):
    path = tmp_path / "seat.json"
    write_seat(replace(flat_seat(), adjustments=ADJUSTED), path)
    table = json.loads(path.read_text())
    table["adjustments"][1].update(change)
    path.write_text(json.dumps(table))
    with pytest.raises(InputError, match=words):
        read_seat(path)


def straight_up_mm(seat, mesh):
    corners = mesh.vertices_mm[mesh.faces]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    share = np.random.default_rng(11).dirichlet([0.7, 0.7, 0.7], size=40)
    up = normal[:, 2] > 1e-9 * np.linalg.norm(normal, axis=1)  # walls are upright to rounding
    at = np.einsum("ki,mij->mkj", share, corners[up])
    return float(np.abs(at[..., 2] + seat.depth_mm(at[..., 0], at[..., 1])).max())


def test_a_solid_meets_its_tolerance_with_adjustments(carve):
    # On this thin blank the floor cuts the first one off.
    for thickness in (45.0, 40.0):
        seat = replace(carve(thickness_mm=thickness), adjustments=ADJUSTED)
        mesh = solid(seat)
        assert faults(mesh) == ()
        assert straight_up_mm(seat, mesh) < 0.1
        less = surface_volume_mm3(carve(thickness_mm=thickness)) - surface_volume_mm3(seat)
        assert less < sum(one.wood_mm3 for one in ADJUSTED)
    smallest = replace(flat_seat(), adjustments=(Adjustment(33.3, 222.2, 5.0, 1.0),))
    assert straight_up_mm(smallest, solid(smallest)) < 0.1
