"""What the sitter would like: it moves steadily with body and place, and nothing in it jumps from point to point."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh import Blank, Seat, estimate_body
from seatmesh.fit.wished.target import FREE_WEIGHT, Impression, impression, target
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.front_roll import roll_length_mm
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over
from seatmesh.tissue import TISSUE, TissueBed

X, Y = np.linspace(0.0, 240.0, 41), np.linspace(50.0, 430.0, 65)
BODY = Wishes(closeness=1.0, pommel_mm=0.0, tailbone_relief_mm=0.0)


def bowl(rise, lowest_y_mm=150.0, tailbone_y_mm=86.0):
    return Impression(
        np.broadcast_to(rise, (len(Y), len(X))), lowest_y_mm, (190.0, -110.0, 300.0), tailbone_y_mm, 146.0
    )


def wish(rise, wishes=BODY, depth_mm=18.0):
    return target(bowl(rise), X, Y, depth_mm, wishes, Blank())


def test_the_body_itself_is_wished_for_and_flat_wood_hardly_counts():
    rise = 0.12 * X[None, :]
    seen = wish(rise)
    assert seen.depth_mm == pytest.approx(
        np.broadcast_to(np.maximum(18.0 - rise, -10.0), seen.depth_mm.shape)
    )
    # 1 down to 1 mm above the wood, 0.03 from 3 mm on, and halfway between at 2 mm.
    at = {above: wish(18.0 + above).weight[0, 0] for above in (0.5, 1.5, 2.0, 2.5, 3.5)}
    assert at[0.5] == 1.0
    assert at[2.0] == pytest.approx(0.515)
    assert at[1.5] == pytest.approx(0.03 + 0.97 * 0.84375)
    assert at[2.5] == pytest.approx(0.03 + 0.97 * 0.15625)
    assert at[3.5] == FREE_WEIGHT == 0.03


def test_the_tailbone_is_relieved_as_far_as_the_seat_is_hollow_there():
    relieved = replace(BODY, tailbone_relief_mm=6.0)
    row = int(np.argmin(np.abs(Y - 86.0)))
    off = np.exp(-(((Y[row] - 86.0) / 25.0) ** 2))
    for depth, share in ((0.0, 0.0), (1.0, 0.15625), (2.0, 0.5), (3.0, 0.84375), (4.0, 1.0), (6.0, 1.0)):
        got = wish(18.0 - depth, relieved).depth_mm[row, 0] - depth
        assert got == pytest.approx(6.0 * off * share, abs=1e-9)


def test_the_lowest_place_lies_between_the_rows_of_points():
    sitter = lay_over(estimate_body("male", 1760.0, 78.0), Seat())
    sitting = press(sitter, Seat())
    shifts = np.arange(0.0, 12.01, 0.5)
    lowest = np.array([impression(sitter, sitting, X, Y, shift).lowest_y_mm for shift in shifts])
    # Rows are 6 mm apart; moved by half a millimetre at a time, it follows, whatever row is nearest.
    assert np.diff(lowest) == pytest.approx(np.full(len(shifts) - 1, 0.5), abs=0.15)


def test_a_common_dish_ends_at_the_hips_behind_the_buttocks_and_toward_the_knees():
    """Its reach is taken from the sitter: half of the hip breadth, 0.9 of the buttocks behind, 0.8 toward the knees."""
    sitter = lay_over(estimate_body("male", 1760.0, 78.0), Seat())
    seen = impression(sitter, press(sitter, Seat()), X, Y)
    anatomy = sitter.seated.anatomy
    dish = replace(BODY, closeness=0.0)
    x, y = np.array([0.0]), np.array([seen.lowest_y_mm])
    behind, ahead = (
        seen.lowest_y_mm + 0.9 * anatomy.buttock_back,
        seen.lowest_y_mm + 0.8 * sitter.seated.knee_back_y,
    )
    for place, deep in (
        ((x, y), 18.0),
        ((x, np.array([behind])), 0.0),
        ((x, np.array([ahead])), 0.0),
        ((np.array([0.0, anatomy.hip_half_breadth]), y), 0.0),
        ((np.array([0.0, 0.5 * anatomy.hip_half_breadth]), y), 13.5),
    ):
        wished = target(replace(seen, rise_mm=np.zeros((1, 1))), *place, 18.0, dish, Blank())
        assert wished.depth_mm[0, -1] == pytest.approx(deep, abs=1e-9)


def test_the_front_eases_down_by_seven_degrees_where_the_roll_takes_over():
    """A parabola, level at the length's start: EASE_SLOPE is its slope where the roll's arc of 60 degrees begins."""
    blank = Blank()
    eased = replace(BODY, front_roll_mm=20.0, front_roll_length_mm=90.0)
    roll = roll_length_mm(20.0)
    y = np.array([blank.depth_mm - 90.0, blank.depth_mm - roll - 1e-3, blank.depth_mm - roll + 1e-3, 300.0])

    def depth(wishes):
        return target(
            replace(bowl(6.0), rise_mm=np.full((4, 1), 9.0)), np.zeros(1), y, 18.0, wishes, blank
        ).depth_mm[:, 0]

    further = depth(eased) - depth(BODY)
    assert further[0] == pytest.approx(0.0)
    assert further[3] == 0.0
    assert (further[2] - further[1]) / 2e-3 == pytest.approx(np.tan(np.radians(6.84)), rel=0.005)


def test_the_pommels_foot_runs_out_over_12_mm_beside_the_deepest_place():
    """Two troughs at 100 mm; the ridge is lifted over all of what lies inside them, less over the last 12 mm."""
    x = np.arange(0.0, 241.0, 1.0)
    # Steeper to the middle than to the side, so that what counts as nearly as deep moves the place.
    rise = np.maximum(0.15 * (100.0 - x), 0.05 * (x - 100.0))[None, :]
    wishes = replace(BODY, pommel_mm=0.0)
    y = np.array([420.0])
    seen = Impression(rise, 150.0, (190.0, -110.0, 300.0), 86.0, 146.0)
    wished = target(seen, x, y, 18.0, wishes, Blank()).depth_mm[0]
    # Without a pommel all within is brought down to the troughs; where the trough lies counts those nearly as deep.
    near = np.exp(-rise[0] / 0.25) * (x <= 160.0)
    reach = float(near @ x / near.sum())
    share = np.clip((reach - x) / 12.0, 0.0, 1.0)
    assert wished == pytest.approx(18.0 - rise[0] + share * rise[0], abs=1e-9)


def test_troughs_are_looked_for_within_160_mm_and_the_lowest_place_within_80_mm():
    wishes = replace(BODY, pommel_mm=0.0)
    for deep_at, found in ((158.0, True), (163.0, False)):
        x = np.array([0.0, 50.0, deep_at])
        seen = Impression(np.array([[4.0, 4.0, 0.0]]), 150.0, (190.0, -110.0, 300.0), 86.0, 146.0)
        wished = target(seen, x, np.array([420.0]), 18.0, wishes, Blank()).depth_mm[0]
        assert wished[0] == pytest.approx(18.0 if found else 14.0, abs=1e-3)


def test_outside_the_hollow_the_target_runs_on_to_ten_millimetres_above_the_wood():
    assert wish(27.9).depth_mm.min() == pytest.approx(-9.9)
    assert wish(40.0).depth_mm.min() == -10.0


def test_the_body_is_pressed_evenly_by_its_mean_pressure_on_the_flat():
    """The mean over all that touches, of the pressure map; skin and what it gives, in its pose there."""
    sitter = lay_over(estimate_body("male", 1760.0, 78.0), Seat())
    sitting = press(sitter, Seat())
    seen = impression(sitter, sitting, X, Y)
    columns, rows = np.meshgrid(X, Y)
    fields = sitter.seated.fields((columns - sitter.at_mm[0]).ravel(), (rows - sitter.at_mm[1]).ravel())
    touched = sitting.wood * (sitting.pressure_kpa > 0.0)
    mean_kpa = float((sitting.pressure_kpa * touched).sum() / touched.sum())
    give = TissueBed(TISSUE, fields.backing).overlap_at(mean_kpa / 1000.0)
    height = (fields.skin + give).reshape(columns.shape) - sitting.pose.sink_mm(columns, rows)
    near = np.abs(rows - sitter.at_mm[1]) < 80.0
    assert seen.rise_mm == pytest.approx(height - height[near].min(), abs=1e-4)
