"""Glue lines through mortises and beside the pommel, short grain, weight: against what is counted by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from seatmesh.adjustment import Adjustment
from seatmesh.solids.carved import surface_volume_mm3
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.boards.board import Board
from seatmesh.wood.boards.layup import Layup, usual_layup
from seatmesh.wood.boards.plank import rough_boards
from seatmesh.wood.boards.wood_wishes import WoodWishes
from seatmesh.wood.joint import Joint
from seatmesh.wood.species import species_named
from seatmesh.woodwork.glue_lines import beside_pommel, meets, through_mortises
from seatmesh.woodwork.masses import masses
from seatmesh.woodwork.short_grain import _regions, fibre_length_mm, short_grain

LEG = Joint("leg mortise", 150.0, 330.0, diameter_mm=28.0, depth_mm=30.0, angle_deg=15.0, sight_line_deg=90.0)


@pytest.mark.parametrize(
    ("x", "runs_through"),
    [
        (150.0, True), (150.0 + 14.0 / math.cos(math.radians(15)) + 2.9, True), (168.0, False),
        # On its way up the hole strays 30 mm x sin 15 = 7.8 mm toward the middle of the seat.
        (150.0 + 14.0 / math.cos(math.radians(15)) + 3.05, False),
        (150.0 - 7.76 - 17.0, True), (150.0 - 7.76 - 18.0, False), (-150.0, True), (0.0, False),
    ],
)  # fmt: skip
def test_a_glue_line_through_a_leaning_mortise(x, runs_through):
    assert meets(LEG, x, 430.0, 45.0) is runs_through


def test_glue_lines_that_run_through_mortises_are_named_with_the_joint():
    seat = flat_seat(
        Blank(glue_lines_mm=(-150.0, 30.0), joints=(LEG, Joint("circle", 30.0, 200.0, diameter_mm=50.0)))
    )
    (note,) = through_mortises(seat)
    assert "150 mm to the sitter's left" in note
    assert "joint 1 (leg mortise, 150 mm to either side" in note
    (note,) = through_mortises(replace(seat, units="in"))
    assert "5 29/32\" to the sitter's left" in note
    assert '5 29/32" to either side' in note
    assert "mm" not in note


def test_a_glue_line_beside_the_pommel_is_noted_within_the_stated_distance():
    seat = flat_seat(Blank(glue_lines_mm=(-20.0, 60.0)))
    (note,) = beside_pommel(seat, 25.0, 10.0)
    assert "20 mm to the sitter's left" in note
    assert beside_pommel(seat, 15.0, 10.0) == []


def test_a_seat_weighs_its_wood():
    seat = Seat(Blank(boards=2), adjustments=(Adjustment(0.0, 220.0, 150.0, 15.0),))
    layup = Layup((Board(240.0, species_named("walnut")), Board(240.0, species_named("ash"))), 430.0, 45.0)
    rough = rough_boards(layup, WoodWishes())
    found = masses(seat, layup, rough)
    # The volume by another way: cells cut along the outline.
    assert sum(found.volumes_mm3) == pytest.approx(surface_volume_mm3(seat), rel=2e-3)
    # W5: walnut .55 and ash .60, with 12 % of water.
    half = 0.5 * surface_volume_mm3(seat) * 1e-9
    assert found.mass_kg == pytest.approx(half * 1120.0 * (0.55 + 0.60), rel=2e-3)
    assert found.off_rough_mm3 == pytest.approx(2 * 246.0 * 470.0 * 51.0 - surface_volume_mm3(seat), rel=2e-3)


def test_fibres_are_as_long_as_the_wood_lets_them():
    seat = flat_seat(Blank(corner_radius_mm=0.0))
    level = Layup((Board(480.0),), 430.0, 45.0)
    steep = Layup((Board(480.0, rise_deg=20.0),), 430.0, 45.0)
    middle = np.array([[0.0, 215.0, -22.5]])
    assert fibre_length_mm(seat, level, middle, 300.0) == pytest.approx(430.0, abs=6.5)
    # No farther than it is asked for, either way.
    assert fibre_length_mm(seat, level, middle, 30.0) == pytest.approx(60.0, abs=0.01)
    # Through 45 mm at 20 degrees.
    assert fibre_length_mm(seat, steep, middle, 300.0) == pytest.approx(
        45.0 / math.sin(math.radians(20)), abs=6.5
    )


def test_short_grain_is_found_at_corners_and_nowhere_on_a_plain_seat(carve):
    plain = carve()
    assert short_grain(plain, usual_layup(plain.blank)) == ()
    # Sides that taper to the front: at the widest place fibres run from edge to edge in a hand's breadth.
    points = ((0.0, 0.0), (180.0, 0.0), (240.0, 120.0), (240.0, 140.0), (120.0, 430.0), (0.0, 430.0))
    wing = flat_seat(Blank(own_outline_mm=points))
    found = short_grain(wing, usual_layup(wing.blank))
    assert {one.what for one in found} == {"edge"}
    assert {round(abs(one.x_mm)) > 220 for one in found} == {True}
    steep = Layup((Board(480.0, rise_deg=20.0),), 430.0, 45.0)
    corners = short_grain(plain, steep)
    assert any("corner" in one.what for one in corners)
    assert all(one.length_mm < 70.0 for one in corners)


def _least_over_a_tilted_end(seat, joint, side):
    """Turn a flat disc by SciPy's rotation and stand it at the end of the hole: the wood over its lowest place."""
    turn = math.radians(joint.sight_line_deg)
    lean = side * math.sin(turn), math.cos(turn)
    # About the level line square to the lean, so that the axis (0, 0, 1) tips away from where the foot leans.
    tip = Rotation.from_rotvec(math.radians(joint.angle_deg) * np.array([lean[1], -lean[0], 0.0]))
    x, y = np.mgrid[-1:1:201j, -1:1:201j] * joint.diameter_mm / 2
    flat = np.stack([x, y, 0 * x], axis=-1)[np.hypot(x, y) <= joint.diameter_mm / 2]
    foot = np.array([side * joint.x_mm, joint.y_mm, -seat.blank.thickness_mm])
    at = foot + tip.apply(flat + np.array([0.0, 0.0, joint.depth_mm]))
    return float((-seat.depth_mm(at[:, 0], at[:, 1]) - at[:, 2]).min())


def over_mortises(seat):
    return [one for one in short_grain(seat, usual_layup(seat.blank)) if one.what == "over a mortise"]


@pytest.mark.parametrize(("angle", "sight"), [(0.0, 0.0), (15.0, 40.0), (30.0, 90.0), (25.0, 180.0)])
def test_wood_over_a_leaning_mortise_is_told_at_its_highest_corner(carve, angle, sight):
    leg = Joint(
        "leg mortise", 150.0, 150.0, diameter_mm=28.0, depth_mm=24.0, angle_deg=angle, sight_line_deg=sight
    )
    seat = carve(joints=(leg,))
    right, left = over_mortises(seat)
    assert right.x_mm > 0.0 > left.x_mm
    for one, side in ((right, 1.0), (left, -1.0)):
        assert one.length_mm == pytest.approx(_least_over_a_tilted_end(seat, leg, side), abs=0.05)
        reach = 14.01 + 24.0 * math.sin(math.radians(angle))
        assert math.hypot(one.x_mm - side * 150.0, one.y_mm - 150.0) < reach


def test_a_leaning_mortise_is_short_grain_by_its_corner_where_its_axis_would_be_none():
    """Under a flat top 45 mm less 33 cos 15 leave 13.1 mm over the axis, and 14 sin 15 less, 9.5, over the corner."""
    seat = flat_seat(Blank(joints=(replace(LEG, depth_mm=33.0),)))
    one, other = over_mortises(seat)
    turn = math.radians(15.0)
    assert one.length_mm == pytest.approx(45.0 - 33.0 * math.cos(turn) - 14.0 * math.sin(turn), abs=1e-6)
    # The corner that stands highest is the outer one: the foot leans to the right, and so does the end's disc.
    assert one.x_mm == pytest.approx(150.0 - 33.0 * math.sin(turn) + 14.0 * math.cos(turn), abs=1e-6)
    assert (other.x_mm, other.length_mm) == pytest.approx((-one.x_mm, one.length_mm))
    for depth, count in ((32.0, 0), (32.6, 2)):
        seat = flat_seat(Blank(joints=(replace(LEG, depth_mm=depth),)))
        assert len(over_mortises(seat)) == count
    (single,) = over_mortises(flat_seat(Blank(joints=(replace(LEG, depth_mm=33.0, side="one"),))))
    assert single.x_mm > 0.0
    centre = replace(LEG, depth_mm=33.0, x_mm=0.0)
    assert len(over_mortises(flat_seat(Blank(joints=(centre,))))) == 2
    assert len(over_mortises(flat_seat(Blank(joints=(replace(centre, sight_line_deg=0.0),))))) == 1


def test_what_counts_as_a_corner_is_the_outer_three_quarters_of_either_half():
    seat = flat_seat()
    for x, corner in ((50.0, 0), (70.0, 1)):
        points = np.column_stack([np.full(6, x), np.linspace(400.0, 425.0, 6), np.full(6, -20.0)])
        found = _regions(seat, points, np.full(6, 40.0))
        assert len(found) == corner
    points = np.column_stack([np.full(6, 200.0), np.linspace(200.0, 225.0, 6), np.full(6, -20.0)])
    assert [one.what for one in _regions(seat, points, np.full(6, 40.0))] == ["edge"]
    # 70 mm of fibre are no short grain, and three places are too few to tell of.
    assert _regions(seat, points, np.full(6, 70.5)) == []
    assert _regions(seat, points, np.full(6, 69.5)) != []
    assert _regions(seat, points[:3], np.full(3, 40.0)) == []


def test_a_pommel_as_short_as_a_knob_is_short_grain_and_a_long_ridge_is_not(carve):
    """Between hollows beside it, behind it and ahead of it a knob stands whose fibres run out at both ends."""
    ridge = carve()
    assert not any(one.what == "pommel" for one in short_grain(ridge, usual_layup(ridge.blank)))
    hollows = [(-75.0, 320.0, 70.0), (75.0, 320.0, 70.0), (0.0, 255.0, 55.0), (0.0, 390.0, 50.0)]
    knob = Seat(Blank(), adjustments=tuple(Adjustment(x, y, r, 14.0) for x, y, r in hollows))
    (pommel,) = [one for one in short_grain(knob, usual_layup(knob.blank)) if one.what == "pommel"]
    assert pommel.x_mm == 0.0
    assert 295.0 < pommel.y_mm < 355.0
    # Three millimetres under its top, by the same depths.
    y = np.arange(250.0, 400.0, 0.5)
    level = float(knob.depth_mm(0.0, pommel.y_mm)) + 3.0
    inside = y[knob.depth_mm(0.0, y) <= level]
    assert pommel.length_mm == pytest.approx(np.ptp(inside[np.abs(inside - pommel.y_mm) < 60.0]), abs=8.0)
