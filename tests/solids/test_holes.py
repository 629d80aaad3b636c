from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from seatmesh.errors import NotSolvedError, ValueRefusedError
from seatmesh.mesh import Mesh, extents_mm, faults, volume_mm3
from seatmesh.solids.carved import solid
from seatmesh.solids.holes import cut_holes
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import Joint
from seatmesh.wood.joint_cuts import Hole, Housing, joint_cuts

CIRCLE = np.pi * 12.5**2


@pytest.fixture(scope="module")
def plain() -> Mesh:
    return solid(flat_seat(Blank(outline="straight-sided")))


@pytest.mark.parametrize(
    ("hole", "taken_mm3"),
    [
        (Hole(100.0, 100.0, 25.0), CIRCLE * 45.0),
        (Hole(100.0, 100.0, 25.0, depth_mm=30.0), CIRCLE * 30.0),
        (Hole(-100.0, 300.0, 25.0, "top", depth_mm=30.0), CIRCLE * 30.0),
        # A leaning cylinder between two planes: its section there, times their distance.
        (Hole(100.0, 100.0, 25.0, to_right_deg=15.0), CIRCLE * 45.0 / np.cos(np.radians(15.0))),
        (Hole(0.0, 100.0, 25.0, to_front_deg=-20.0, depth_mm=30.0), CIRCLE * 30.0),
    ],
)
def test_a_hole_takes_the_volume_of_its_cylinder(plain: Mesh, hole: Hole, taken_mm3: float) -> None:
    cut = cut_holes(plain, [hole])
    assert faults(cut) == ()
    # A polygon inside the circle has up to 0.3 % less.
    assert volume_mm3(plain) - volume_mm3(cut) == pytest.approx(taken_mm3, rel=3e-3)
    np.testing.assert_array_equal(extents_mm(cut), extents_mm(plain))


def test_a_leaning_hole_comes_out_where_its_angles_say(plain: Mesh) -> None:
    cut = cut_holes(plain, [Hole(100.0, 200.0, 20.0, to_right_deg=10.0, to_front_deg=-15.0)])
    for z, x, y in ((-45.0, 100.0, 200.0), (0.0, 100.0 - 45.0 * 0.17633, 200.0 + 45.0 * 0.26795)):
        rim = cut.vertices_mm[(cut.vertices_mm[:, 2] == z) & (np.abs(cut.vertices_mm[:, 0]) < 200.0)]
        rim = rim[np.hypot(rim[:, 0] - x, rim[:, 1] - y) < 12.0]
        assert len(rim) > 20
        np.testing.assert_allclose(0.5 * (rim.min(axis=0) + rim.max(axis=0))[:2], [x, y], atol=0.05)


def test_a_carved_seat_with_leg_and_spindle_holes_stays_one_closed_body(carved_seat: Seat) -> None:
    legs = [
        Hole(x, y, 28.0, to_right_deg=0.1 * x, to_front_deg=f)
        for x in (-150.0, 150.0)
        for y, f in ((90.0, -12.0), (350.0, 8.0))
    ]
    spindles = [
        Hole(x, 25.0, 12.0, "top", to_front_deg=-10.0, depth_mm=30.0)
        for x in (-100.0, -50.0, 0.0, 50.0, 100.0)
    ]
    mesh = solid(carved_seat)
    before = mesh.vertices_mm.copy()
    cut = cut_holes(mesh, legs + spindles)
    assert faults(cut) == ()
    assert volume_mm3(cut) < volume_mm3(mesh)
    again = cut_holes(mesh, legs + spindles)
    np.testing.assert_array_equal(cut.vertices_mm, again.vertices_mm)
    np.testing.assert_array_equal(cut.faces, again.faces)
    np.testing.assert_array_equal(mesh.vertices_mm, before)
    assert cut_holes(mesh, []) is mesh


@pytest.mark.parametrize(
    "fields",
    [
        {"x_mm": float("nan")},
        {"diameter_mm": 0.0},
        {"to_right_deg": 46.0},
        {"to_front_deg": float("nan")},
        {"depth_mm": 0.0},
        {"side": "left"},
    ],
)
def test_a_hole_that_cannot_be_drilled_is_refused(fields: dict[str, Any]) -> None:
    with pytest.raises(ValueRefusedError, match="hole, "):
        Hole(**({"x_mm": 0.0, "y_mm": 100.0, "diameter_mm": 20.0} | fields))


def test_an_open_mesh_and_a_seat_cut_in_two_are_refused(plain: Mesh) -> None:
    with pytest.raises(ValueRefusedError, match="closed solid"):
        cut_holes(Mesh(plain.vertices_mm, plain.faces[1:]), [Hole(0.0, 100.0, 20.0)])
    across = [Hole(x, 200.0, 100.0) for x in np.arange(-240.0, 241.0, 60.0)]
    with pytest.raises(NotSolvedError, match="2 bodies"):
        cut_holes(plain, across)


JOINTS = (
    Joint("leg mortise", 150.0, 95.0, 25.0, 12.0, depth_mm=26.0),
    Joint("spindle", 0.0, 25.0, 14.0, 10.0, depth_mm=28.0),
    Joint("bar", 0.0, 200.0, length_mm=120.0, width_mm=30.0, depth_mm=8.0, turn_deg=20.0),
    Joint("circle", -100.0, 250.0, 40.0, depth_mm=6.0, side="one"),
    Joint("polygon", points_mm=((60.0, 240.0), (100.0, 240.0), (80.0, 280.0)), depth_mm=5.0, side="one"),
    Joint("circle", 0.0, 330.0, 40.0),
)


def test_joints_are_cut_where_and_as_deep_as_they_say() -> None:
    blank = Blank(outline="straight-sided", joints=JOINTS)
    plain = solid(flat_seat(blank))
    cuts = joint_cuts(blank)
    # Mirrored but on the centre line or where they keep to one side; a zone without a depth cuts none.
    assert len(cuts) == 2 + 1 + 2 + 1 + 1
    cut = cut_holes(plain, cuts)
    assert faults(cut) == ()
    mortises = 2.0 * np.pi * 12.5**2 * 26.0 + np.pi * 7.0**2 * 28.0
    # Two bars crossing at 40 degrees share a rhombus of 30^2 / sin 40 deg.
    bars = (2.0 * 120.0 * 30.0 - 30.0**2 / np.sin(np.radians(40.0))) * 8.0
    pockets = np.pi * 20.0**2 * 6.0 + 0.5 * 40.0 * 40.0 * 5.0
    assert volume_mm3(plain) - volume_mm3(cut) == pytest.approx(mortises + bars + pockets, rel=3e-3)


def test_a_legs_mortise_leans_as_its_leg_does_and_starts_on_the_bevel() -> None:
    bevel = {"under_bevel_width_mm": 60.0, "under_bevel_height_mm": 12.0}
    blank = Blank(joints=(Joint("leg mortise", 200.0, 215.0, 20.0, 15.0, depth_mm=20.0),), **bevel)
    hole, image = joint_cuts(blank)
    assert isinstance(hole, Hole)
    # 40 mm from the edge a bevel 60 wide has risen by 12 (1 - 40 / 60) = 4 mm.
    assert hole.face_z_mm == pytest.approx(-41.0)
    # The foot leans to the side that it stands on: straight out here, and down.
    np.testing.assert_allclose(
        hole.outward, [np.sin(np.radians(15.0)), 0.0, -np.cos(np.radians(15.0))], atol=1e-12
    )
    assert isinstance(image, Hole)
    np.testing.assert_allclose(image.outward * [-1.0, 1.0, 1.0], hole.outward, atol=1e-12)


def test_a_housing_without_area_is_refused() -> None:
    with pytest.raises(ValueRefusedError, match="three corners"):
        Housing(((0.0, 0.0), (10.0, 0.0)), 5.0)
