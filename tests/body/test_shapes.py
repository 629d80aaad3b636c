"""Solids of the body against distances and undersides found by brute force, and against VTK."""

import numpy as np
import pytest
import pyvista

from seatmesh.body.figure.shapes import RIM, Ellipsoid, TaperedCapsule, blended_lowest, round_underside

BONE = Ellipsoid((55.0, 0.0, 25.0), (19.4, 31.6, 25.0))
LIMB = TaperedCapsule((90.0, 15.0, 40.0), (130.0, 330.0, 30.0), (95.0, 60.0), (80.0, 60.0))
SHAFT = TaperedCapsule((120.0, 15.0, 68.0), (130.0, 330.0, 45.0), (20.0, 28.0), (20.0, 28.0))
LONG = TaperedCapsule((0.0, 0.0, 100.0), (0.0, 400.0, 100.0), (40.0, 20.0), (40.0, 20.0))
SHORT = TaperedCapsule((0.0, -70.0, 40.0), (0.0, -140.0, 70.0), (26.0, 38.0), (26.0, 38.0))


def distance(solid, points):
    centres, radii = solid.nearest(points.T)
    return np.linalg.norm(np.column_stack(centres) - points, axis=1) - radii


def test_distance_from_an_ellipsoid_agrees_with_a_second_library():
    ball = pyvista.Icosphere(nsub=6)
    ball.points = ball.points * np.asarray(BONE.semi_axes) + np.asarray(BONE.centre)
    rng = np.random.default_rng(3)
    points = np.column_stack([rng.uniform(0, 120, 200), rng.uniform(-80, 80, 200), rng.uniform(-60, -5, 200)])
    theirs = pyvista.PolyData(points).compute_implicit_distance(ball)["implicit_distance"]
    assert distance(BONE, points) == pytest.approx(theirs, abs=0.02)


def test_straight_below_the_tip_the_distance_is_the_height():
    below = np.array([[55.0, 0.0, -40.0]])
    assert distance(BONE, below) == pytest.approx([40.0])
    assert BONE.underside(np.array([55.0]), np.array([0.0]))[0] == pytest.approx([0.0])


def test_tip_radii_are_those_of_a_sit_bone():
    # B12, from memory: radius of the sit bone 10 to 20 mm across, 30 to 50 mm fore and aft.
    a, b, c = BONE.semi_axes
    assert 10 <= a**2 / c <= 20
    assert 30 <= b**2 / c <= 50


def test_distance_from_a_shaft_by_brute_force():
    along = np.linspace(0.0, 1.0, 4001)[:, None]
    axis = np.asarray(SHAFT.start) + along * (np.asarray(SHAFT.end) - np.asarray(SHAFT.start))
    radius = 20.0 + 8.0 * along[:, 0]
    points = np.array([[90.0, 100.0, -30.0], [160.0, 300.0, -20.0], [120.0, -40.0, -10.0]])
    brute = (np.linalg.norm(points[:, None] - axis, axis=2) - radius).min(axis=1)
    # The capsule takes the radius at the foot of the perpendicular on its axis: a taper of 8 mm in 315 turns that
    # by less than a tenth of a mm.
    assert distance(SHAFT, points) == pytest.approx(brute, abs=0.1)


def test_underside_of_a_limb_is_lowest_under_its_axis():
    x = np.linspace(20.0, 200.0, 181)
    heights, _ = LIMB.underside(x, np.full_like(x, 170.0))
    axis_x = 90.0 + 40.0 * (170.0 - 15.0) / 315.0
    assert x[np.argmin(heights)] == pytest.approx(axis_x, abs=1.5)
    along = (170.0 - 15.0) / 315.0
    assert heights.min() == pytest.approx(40.0 - 10.0 * along - (80.0 - 20.0 * along), abs=0.1)


def test_underside_runs_on_without_an_edge():
    """Height, slope and bend by differences on both sides of the rim; the circle's own bend is -(1 - out^2)^-1.5."""
    out = np.array([RIM - 1e-6, RIM + 1e-6])
    values = round_underside(out)
    assert values[0] == pytest.approx(values[1], abs=1e-5)
    step = 1e-4
    for side in (-2.0 * step, 2.0 * step):
        below, here, above = round_underside(RIM + side + step * np.array([-1.0, 0.0, 1.0]))
        assert (above - below) / (2.0 * step) == pytest.approx(-RIM / np.sqrt(1.0 - RIM**2), rel=0.005)
        assert (below - 2.0 * here + above) / step**2 == pytest.approx(-((1.0 - RIM**2) ** -1.5), rel=0.02)
    far = np.diff(round_underside(np.array([1.0, 2.0, 3.0])))
    assert far[1] < far[0] < 0.0
    assert far[1] / far[0] < 1.01
    # By hand: all further bend together is half of 0.06 of that at the rim.
    end = RIM / np.sqrt(1.0 - RIM**2) + 0.03 * (1.0 - RIM**2) ** -1.5
    assert np.diff(round_underside(np.array([200.0, 201.0])))[0] == pytest.approx(-end, rel=1e-4)


@pytest.mark.parametrize("limb", [LIMB, SHORT])
def test_a_limb_tapers_in_without_a_crease(limb):
    """The underside's slope along the limb does not jump where the limb begins and ends: a jump shows as a second
    difference in proportion to the step, a bend as one in proportion to its square."""
    axis = np.array(limb.end[:2]) - np.array(limb.start[:2])
    length = float(np.hypot(*axis))
    ahead, across = axis / length, np.array([axis[1], -axis[0]]) / length
    for out in (0.0, 20.0):

        def height(s, out=out):
            x, y = np.array(limb.start[:2])[:, None] + ahead[:, None] * s + across[:, None] * out
            return limb.underside(x, y)[0]

        for end in (0.0, length):
            second = [
                abs(float(height(np.array([end - step, end, end + step])) @ np.array([1.0, -2.0, 1.0])))
                for step in (0.4, 0.04)
            ]
            assert second[1] < 0.03 * second[0] + 1e-9, (out, end, second)


def test_the_taper_sets_in_over_twenty_millimetres():
    """By hand: halfway through them 6/8 - 8/16 + 3/32 of 20 mm, which is 6.875 mm in place of 10."""
    heights, _ = LONG.underside(np.zeros(3), np.array([10.0, 20.0, 390.0]))
    share = np.array([6.875, 20.0, 400.0 - 6.875]) / 400.0
    rounded = np.array([np.hypot(40.0 - 20.0 * one, 0.0) for one in share])
    off = np.array([10.0 - 6.875, 0.0, 6.875 - 10.0])
    assert heights == pytest.approx(100.0 - rounded * np.sqrt(1.0 - (off / rounded) ** 2))
    flat = LONG.nearest(np.array([[0.0], [10.0], [0.0]]))
    assert flat[0][1] == pytest.approx(6.875)
    assert flat[1] == pytest.approx(40.0 - 20.0 * 6.875 / 400.0)


def test_what_lies_level_with_the_ends_of_a_limb_and_well_inside_is_that_of_a_straight_taper():
    heights, _ = SHORT.underside(np.full(3, 0.0), np.array([-70.0, -105.0, -140.0]))
    assert heights == pytest.approx([40.0 - 26.0, 55.0 - 32.0, 70.0 - 38.0])


def test_blending_is_smooth_symmetric_and_no_higher_than_the_lowest():
    a, b = np.linspace(-20, 20, 41), np.linspace(20, -20, 41)
    blend = blended_lowest([a, b], 8.0)
    assert np.all(blend <= np.minimum(a, b) + 1e-12)
    assert blend == pytest.approx(blended_lowest([b, a], 8.0))
    assert np.minimum(a, b)[20] - blend[20] == pytest.approx(8.0 * np.log(2.0))
