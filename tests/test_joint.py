"""Joints: the wood that stays round a drilled hole, at places and over cells; zones; what is refused."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from seatmesh.errors import MissingKeyError, ValueRefusedError
from seatmesh.wood.blank import Blank
from seatmesh.wood.drilled import Cells, Cylinder
from seatmesh.wood.joint import Joint, WoodAround

WIDE = Blank(width_mm=600.0, depth_mm=600.0, outline="straight-sided")


def bound(joint, x, y, blank=WIDE):
    return replace(blank, joints=(joint,)).allowed_depth_mm(x, y)


def drilled(joint, blank=WIDE, steps=(28, 36, 3)):
    """Points all over a drilled hole, from the face it is drilled from, shape (n, 3); made from vectors alone."""
    lean = np.radians(joint.angle_deg)
    turn = np.radians(joint.sight_line_deg)
    away = np.array([np.sin(turn), np.cos(turn)])
    above = joint.kind in ("back post", "spindle")
    # Into the wood: a leg's foot leans away, so its hole runs back on the way up; a post's runs back on the way down.
    axis = np.array([*(-np.sin(lean) * away), -np.cos(lean) if above else np.cos(lean)])
    side = np.array([away[1], -away[0], 0.0])
    other = np.cross(axis, side)
    start = np.array([joint.x_mm, joint.y_mm, 0.0 if above else -blank.thickness_mm])
    along = np.linspace(0.0, joint.depth_mm, steps[0])[:, None, None, None]
    round_ = np.linspace(0.0, 2 * np.pi, steps[1], endpoint=False)[None, :, None, None]
    out = np.linspace(0.0, 0.5 * joint.diameter_mm, steps[2])[None, None, :, None]
    return (start + along * axis + out * (np.cos(round_) * side + np.sin(round_) * other)).reshape(-1, 3)


LEG = Joint(
    "leg mortise", 60.0, 300.0, 26.0, 14.0, 70.0, depth_mm=27.0, keep_mm=7.0, around_mm=9.0, side="one"
)
POST = Joint("back post", -40.0, 200.0, 24.0, 17.0, 200.0, depth_mm=30.0, around_mm=8.0, side="one")


def distance_to_surface(joint, points):
    """Least distance between points and the surface that is as deep as allowed everywhere (none below the floor)."""
    from scipy.spatial import cKDTree

    x, y = joint.at_mm
    gx, gy = np.meshgrid(x + np.arange(-50, 50, 1.0), y + np.arange(-50, 50, 1.0))
    depth = bound(joint, gx, gy, replace(WIDE, floor_mm=0.0)).ravel()
    # Where the surface drops sheer, the wall belongs to it; what is not carved does not.
    layers = [
        np.column_stack([gx.ravel(), gy.ravel(), -np.minimum(depth, top)])
        for top in np.arange(0.0, 45.5, 1.0)
    ]
    surface = np.unique(np.vstack([layer[depth > 0.0] for layer in layers]), axis=0)
    return cKDTree(surface).query(points)[0].min()


@pytest.mark.parametrize("joint", [LEG, replace(LEG, angle_deg=0.0), replace(LEG, keep_mm=12.0), POST])
def test_a_surface_as_deep_as_allowed_keeps_the_wood_round_the_hole(joint):
    keep = joint.around_mm if joint.keep_mm is None else min(joint.keep_mm, joint.around_mm)
    points = drilled(joint)
    reached = distance_to_surface(joint, points)
    # No less than asked for, and not much more (the surface is sampled every millimetre).
    assert keep - 0.01 < reached < keep + 1.0


def test_an_upright_blind_mortise_leaves_what_arithmetic_says():
    joint = Joint("leg mortise", 80.0, 300.0, 25.0, depth_mm=25.0, keep_mm=8.0, around_mm=10.0)
    # 45 thick, 25 drilled, 8 kept: 12 mm; over a disc of 12.5 + 10 mm.
    assert bound(joint, 80.0, 300.0) == pytest.approx(12.0)
    assert bound(joint, 80.0 + 22.4, 300.0) == pytest.approx(12.0)
    assert bound(joint, 80.0 + 22.6, 300.0) == pytest.approx(25.0)
    assert bound(joint, -80.0, 300.0) == pytest.approx(12.0), "both sides"
    assert bound(replace(joint, side="one"), -80.0, 300.0) == pytest.approx(25.0)
    assert bound(replace(joint, keep_mm=None), 80.0, 300.0) == pytest.approx(0.0), (
        "the floor over the mortise"
    )


def test_a_leaning_mortise_is_highest_where_trigonometry_says():
    # Foot leans to the front by 15 deg, so the hole runs to the rear as it rises.
    joint = Joint("leg mortise", 0.0, 300.0, 20.0, 15.0, 0.0, depth_mm=30.0, keep_mm=5.0, around_mm=0.0)
    tan, cos, sin = np.tan(np.radians(15)), np.cos(np.radians(15)), np.sin(np.radians(15))
    end_y = 300.0 - 35.0 * sin
    # On the end's plane, and on its high rim 10 mm ahead of its middle.
    assert bound(joint, 0.0, end_y, replace(WIDE, floor_mm=0.0)) == pytest.approx(45.0 - 35.0 * cos)
    rim = end_y + 9.999 * cos
    assert bound(joint, 0.0, rim, replace(WIDE, floor_mm=0.0)) == pytest.approx(
        45 - 35 * cos - 9.999 * sin, abs=1e-3
    )
    assert tan > 0


def test_a_post_that_leans_back_reaches_forward_under_the_hollow():
    post = Joint("back post", 0.0, 50.0, 24.0, 20.0, depth_mm=30.0, around_mm=5.0, side="one")
    assert bound(post, 0.0, 50.0) == 0.0, "its mouth stays uncut"
    ahead = 50.0 + 12.0 + 5.0 + 4.0
    assert 0.0 < bound(post, 0.0, ahead) < 25.0
    assert bound(post, 0.0, 50.0 - 30.0) == 25.0
    assert bound(replace(post, angle_deg=0.0), 0.0, ahead) == 25.0


def test_a_mortise_that_goes_through_keeps_its_thickness_along_its_lean():
    joint = Joint("leg mortise", 100.0, 300.0, 28.0, 15.0, 90.0, keep_mm=32.0, around_mm=6.0, side="one")
    assert bound(joint, 100.0, 300.0) == pytest.approx(13.0)
    top_x = 100.0 - 45.0 * np.tan(np.radians(15.0))
    assert bound(joint, top_x - 19.9, 300.0) == pytest.approx(13.0)
    assert bound(joint, top_x - 20.1, 300.0) == pytest.approx(25.0)
    assert bound(joint, 100.0 + 20.1, 300.0) == pytest.approx(25.0)


def test_zones_and_the_bevel_under_them():
    bar = Joint(
        "bar",
        0.0,
        250.0,
        length_mm=200.0,
        width_mm=40.0,
        turn_deg=90.0,
        depth_mm=6.0,
        keep_mm=22.0,
        around_mm=0.0,
    )
    assert bound(bar, 0.0, 349.0) == pytest.approx(45.0 - 6.0 - 22.0)
    assert bound(bar, 21.0, 250.0) == pytest.approx(25.0)
    triangle = Joint(
        "polygon", points_mm=((20, 100), (120, 100), (20, 200)), keep_mm=30.0, around_mm=0.0, side="one"
    )
    assert bound(triangle, 40.0, 150.0) == pytest.approx(15.0)
    assert bound(triangle, 90.0, 190.0) == pytest.approx(25.0)
    disc = Joint("circle", 250.0, 300.0, 60.0, keep_mm=25.0, around_mm=0.0)
    bevelled = replace(WIDE, under_bevel_width_mm=80.0, under_bevel_height_mm=16.0)
    # 50 mm inside the edge the bevel has risen by 16 * 30 / 80 = 6 mm.
    assert bound(disc, 250.0, 300.0, bevelled) == pytest.approx(45.0 - 6.0 - 25.0)
    leg = replace(LEG, x_mm=250.0, angle_deg=0.0)
    assert bound(leg, 250.0, 300.0, bevelled) == pytest.approx(45.0 - 6.0 - 27.0 - 7.0), (
        "drilled from the bevel"
    )


def random_joint(rng):
    kind = ["leg mortise", "back post", "spindle", "circle", "bar", "polygon"][rng.integers(6)]
    x, y = rng.uniform(-200, 200), rng.uniform(50, 550)
    return Joint(
        kind,
        x,
        y,
        diameter_mm=rng.uniform(8, 40),
        angle_deg=rng.choice([0.0, rng.uniform(0, 30)]),
        sight_line_deg=rng.choice([None, rng.uniform(0, 360)]),
        depth_mm=rng.choice([None, rng.uniform(5, 35)]),
        keep_mm=rng.choice([None, rng.uniform(3, 30)]),
        around_mm=rng.uniform(0, 15),
        length_mm=rng.uniform(20, 200),
        width_mm=rng.uniform(10, 80),
        turn_deg=rng.uniform(0, 180),
        points_mm=((x, y), (x + rng.uniform(10, 80), y), (x, y + rng.uniform(10, 80))),
        side=["one", "both"][rng.integers(2)],
    )


@pytest.mark.parametrize("seed", range(40))
def test_a_cell_is_never_allowed_more_than_any_place_in_it(seed):
    rng = np.random.default_rng(seed)
    joint = random_joint(rng)
    blank = replace(WIDE, joints=(joint,))
    n, size = 400, rng.uniform(0.5, 12.0)
    x, y = joint.at_mm
    x0, y0 = x + rng.uniform(-60, 60, n), y + rng.uniform(-60, 60, n)
    cells = Cells(x0, x0 + size, y0, y0 + size)
    left = np.full(n, blank.greatest_depth_mm)
    over_cell = np.minimum(joint.greatest_depth(cells, left, blank.wood()), left)
    share = np.linspace(0.0, 1.0, 9)
    px = x0[:, None, None] + size * share[None, :, None]
    py = y0[:, None, None] + size * share[None, None, :]
    inside = blank.allowed_depth_mm(px, py).min(axis=(1, 2))
    assert np.all(np.maximum(over_cell, 0.0) <= inside + 1e-9)
    # And not uselessly less: over a tiny cell it is the bound at its middle.
    tiny = Cells(x0, x0, y0, y0)
    at = np.clip(joint.greatest_depth(tiny, left, blank.wood()), 0.0, left)
    assert at == pytest.approx(blank.allowed_depth_mm(x0, y0), abs=1e-9)


def test_refused():
    with pytest.raises(MissingKeyError, match="diameter_mm"):
        Joint("leg mortise", 10.0, 10.0)
    with pytest.raises(MissingKeyError, match="length_mm"):
        Joint("bar", 10.0, 10.0)
    with pytest.raises(ValueRefusedError, match="angle_deg = 60"):
        Joint("spindle", 10.0, 10.0, 12.0, angle_deg=60.0)
    with pytest.raises(ValueRefusedError, match="x_mm = nan"):
        Joint("spindle", float("nan"), 10.0, 12.0)
    with pytest.raises(ValueRefusedError, match="cross"):
        Joint("polygon", points_mm=((0, 0), (10, 10), (10, 0), (0, 10)))
    with pytest.raises(ValueRefusedError, match="three or more"):
        Joint("polygon", points_mm=((0, 0), (10, 10)))


def test_a_bar_keeps_wood_all_round_it_at_the_distance_asked_for():
    """100 x 30 mm, turned by 25 degrees, with 10 mm all round: held back is a rectangle of 120 x 50 mm."""
    bar = Joint("bar", 40.0, 300.0, length_mm=100.0, width_mm=30.0, turn_deg=25.0, keep_mm=36.0, side="one")
    assert bar.around_mm == 10.0
    c, s = np.cos(np.radians(25.0)), np.sin(np.radians(25.0))
    rng = np.random.default_rng(8)
    x, y = rng.uniform(-60.0, 140.0, 4000), rng.uniform(200.0, 400.0, 4000)
    along, across = c * (x - 40.0) + s * (y - 300.0), c * (y - 300.0) - s * (x - 40.0)
    inside = (np.abs(along) <= 60.0) & (np.abs(across) <= 25.0)
    # 45 mm thick, 36 mm kept: 9 mm; elsewhere the floor of 20 mm leaves 25 mm.
    assert bound(bar, x, y) == pytest.approx(np.where(inside, 9.0, 25.0))
    nearer = replace(bar, around_mm=3.0)
    inside = (np.abs(along) <= 53.0) & (np.abs(across) <= 18.0)
    assert bound(nearer, x, y) == pytest.approx(np.where(inside, 9.0, 25.0))


def test_a_polygon_keeps_wood_within_a_distance_of_its_corners_and_sides():
    corners = ((0.0, 250.0), (60.0, 250.0), (60.0, 300.0), (20.0, 330.0))
    zone = Joint("polygon", points_mm=corners, keep_mm=36.0, around_mm=12.0, side="one")
    rng = np.random.default_rng(9)
    x, y = rng.uniform(-40.0, 110.0, 3000), rng.uniform(210.0, 370.0, 3000)
    near = shapely.distance(shapely.Polygon(corners), shapely.points(x, y)) <= 12.0
    assert bound(zone, x, y) == pytest.approx(np.where(near, 9.0, 25.0))


@pytest.mark.parametrize(
    ("at", "way"), [((90.0, 420.0), (0.6, 0.8)), ((-90.0, 180.0), (-0.6, -0.8)), ((0.0, 300.0), (0.0, 1.0))]
)
def test_a_leg_leans_away_from_the_middle_of_the_seat(at, way):
    """Half of 600 mm of depth is the middle: 90 and 120 mm from it are 3 to 4."""
    assert Joint("leg mortise", *at, 26.0, 14.0).lean(300.0) == pytest.approx(way)


@pytest.mark.parametrize("lean", [20.0, 50.0])
def test_a_leaning_hole_lies_over_the_ellipses_of_its_two_ends(lean):
    """A round end of radius 15 seen from above is an ellipse 15 cos a wide along the lean, and 15 across it."""
    angle = np.radians(lean)
    hole = Cylinder((10.0, 20.0, -60.0), (1.0, 0.0), angle, 50.0)
    near, far = 10.0 - 15.0 * np.cos(angle), 10.0 + 50.0 * np.sin(angle) + 15.0 * np.cos(angle)
    for x, y, over in (
        (near - 0.1, 20.0, False), (near + 0.1, 20.0, True), (far - 0.1, 20.0, True), (far + 0.1, 20.0, False),
        (10.0 + 25.0 * np.sin(angle), 34.9, True), (10.0 + 25.0 * np.sin(angle), 35.1, False),
    ):  # fmt: skip
        at = np.array([x]), np.array([y])
        assert np.isfinite(hole.highest(Cells(at[0], at[0], at[1], at[1]), 15.0))[0] == over


@pytest.mark.parametrize(
    ("lean_deg", "short_mm"), [(0.0, 5.0), (30.0, 30.0 - 25.0 / np.cos(np.radians(30.0)))]
)
def test_a_mortise_over_a_bevel_falls_short_by_what_the_bevel_took(lean_deg, short_mm):
    """By hand: of 30 mm the bevel leaves 25, longer along a leaning axis; 20 mm deep and 10 mm to stay want 30."""
    mortise = Joint(
        "leg mortise", 150.0, 345.0, diameter_mm=25.0, depth_mm=20.0, angle_deg=lean_deg, keep_mm=10.0
    )
    assert mortise.short_of_mm(WoodAround(30.0, 18.0, 215.0, lambda x, y: 5.0)) == pytest.approx(short_mm)
