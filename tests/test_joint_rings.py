"""Joints in the plan as rings: sides, turns and strokes by plane geometry."""

from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from seatmesh.wood.joint_rings import axis_run_mm, rings_mm


@pytest.mark.parametrize("turn", [0.0, 30.0, 90.0, -50.0])
def test_a_bar_is_a_rectangle_of_its_sides_turned_about_its_middle(turn):
    bar = SimpleNamespace(kind="bar", at_mm=(40.0, 120.0), length_mm=80.0, width_mm=14.0, turn_deg=turn)
    (ring,) = rings_mm(bar)
    sides = np.roll(ring, -1, axis=0) - ring
    assert sorted(np.hypot(*sides.T)) == pytest.approx([14.0, 14.0, 80.0, 80.0])
    assert shapely.Polygon(ring).area == pytest.approx(80.0 * 14.0)
    assert ring.mean(axis=0) == pytest.approx([40.0, 120.0])
    long = sides[np.argmax(np.hypot(*sides.T))]
    assert np.tan(np.arctan2(long[1], long[0]) - np.radians(turn)) == pytest.approx(0.0, abs=1e-9)


def test_a_round_joint_is_a_ring_of_its_diameter():
    (ring,) = rings_mm(SimpleNamespace(kind="circle", at_mm=(40.0, 120.0), diameter_mm=30.0))
    assert np.hypot(*(ring - [40.0, 120.0]).T) == pytest.approx(15.0)
    assert shapely.Polygon(ring).area == pytest.approx(np.pi * 15.0**2, rel=0.004)


def test_the_stroke_of_a_leaning_joint_is_what_its_axis_runs_in_the_plan():
    """It leans away from (0, half of the depth), so the wood's side runs the other way: length times the sine."""
    asked = {}

    def lean(middle):
        asked["middle"] = middle
        return 0.6, 0.8

    for deep, length in ((30.0, 30.0), (None, 45.0)):
        joint = SimpleNamespace(
            kind="leg mortise", angle_deg=12.0, depth_mm=deep, at_mm=(150.0, 345.0), lean=lean
        )
        run = axis_run_mm(joint, 430.0, 45.0)
        assert run[0].tolist() == [150.0, 345.0]
        assert run[1] - run[0] == pytest.approx(-length * np.sin(np.radians(12.0)) * np.array([0.6, 0.8]))
        assert asked["middle"] == 215.0
    assert axis_run_mm(SimpleNamespace(kind="leg mortise", angle_deg=0.0), 430.0, 45.0) is None
