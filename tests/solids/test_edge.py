"""Round-over, under-bevel, deck lines of any shape and gutters: closed, within tolerance, kept as edges."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from seatmesh.errors import ValueRefusedError
from seatmesh.front_roll import roll_fall, roll_length_mm
from seatmesh.mesh import Mesh, faults, volume_mm3
from seatmesh.solids.carved import solid, surface_volume_mm3
from seatmesh.solids.measured import measured_distance_mm
from seatmesh.solids.parts import facet_parts
from seatmesh.solids.plan.feature_lines import feature_lines
from seatmesh.solids.plan.inset_rings import inset, on_ring
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.outline.shapes import OUTLINES

Carve = Callable[..., Seat]
Floats = NDArray[np.float64]
BEVEL = {"under_bevel_width_mm": 40.0, "under_bevel_height_mm": 16.0}

VARIANTS: dict[str, dict[str, Any]] = {
    "round-over": {"round_over_mm": 6.0},
    "bevel wider than the corners are round": BEVEL | {"under_bevel_width_mm": 100.0},
    "sharp corners": {"outline": "straight-sided", "round_over_mm": 8.0} | BEVEL,
    "corners rounder than the round": {"corner_radius_mm": 8.0, "round_over_mm": 12.0} | BEVEL,
    "gutter": {"gutter_depth_mm": 3.0},
    "bowed forward": {"deck_line": "bowed", "deck_bow_mm": 30.0},
    "bowed to the rear, gutter": {
        "deck_line": "bowed",
        "deck_bow_mm": -25.0,
        "deck_mm": 70.0,
        "gutter_depth_mm": 3.0,
    },
    "along the outline": {"deck_line": "offset"},
    "D-shaped, half-round gutter through the round-over": {
        "outline": "D-shaped",
        "deck_line": "bowed",
        "deck_bow_mm": 30.0,
        "gutter_depth_mm": 4.0,
        "round_over_mm": 5.0,
    },
}
WITH_EVERYTHING: dict[str, Any] = {
    "outline": "waisted",
    "deck_line": "offset",
    "gutter_depth_mm": 3.0,
    "round_over_mm": 6.0,
} | BEVEL


@pytest.mark.parametrize("variant", VARIANTS)
def test_edges_and_deck_lines_are_closed_and_within_tolerance(carve: Carve, variant: str) -> None:
    seat = carve(**VARIANTS[variant])
    mesh = solid(seat)
    assert faults(mesh) == ()
    assert len(mesh.faces) < 70_000
    assert 0.05 < measured_distance_mm(mesh, seat, 20_000) < 0.1
    assert volume_mm3(mesh) == pytest.approx(surface_volume_mm3(seat), rel=5e-4)


def test_a_seat_with_everything_is_closed_and_within_tolerance(carve: Carve) -> None:
    seat = carve(**WITH_EVERYTHING)
    mesh = solid(seat, 0.4)
    assert faults(mesh) == ()
    assert len(mesh.faces) < 70_000
    assert measured_distance_mm(mesh, seat, 10_000) < 0.4
    assert volume_mm3(mesh) == pytest.approx(surface_volume_mm3(seat), rel=1e-3)


def test_edge_volumes_are_those_of_a_box_with_mitred_corners() -> None:
    """Closed forms over a rectangle: each ring inside it has the length 2 (w + d) - 8 inside."""
    blank = Blank(outline="straight-sided", round_over_mm=10.0, **BEVEL)
    girth, box = 2.0 * (480.0 + 430.0), 480.0 * 430.0 * 45.0
    # Fall of a quarter circle r over the distance: integral r^2 (1 - pi / 4), first moment r^3 (5 / 6 - pi / 4).
    over = girth * 100.0 * (1.0 - np.pi / 4.0) - 8.0 * 1000.0 * (5.0 / 6.0 - np.pi / 4.0)
    under = girth * 0.5 * 40.0 * 16.0 - 8.0 * 16.0 * 40.0**2 / 6.0
    assert surface_volume_mm3(flat_seat(blank)) == pytest.approx(box - over - under, rel=1e-9)
    assert box - volume_mm3(solid(flat_seat(blank), 0.01)) == pytest.approx(over + under, rel=2e-3)


def test_the_round_and_the_bevel_lie_where_their_numbers_say() -> None:
    seat = flat_seat(Blank(outline="straight-sided", round_over_mm=10.0, **BEVEL))
    mesh = solid(seat, 0.05)
    x, y, z = mesh.vertices_mm.T
    side = (np.abs(y - 215.0) < 150.0) & (x > 225.0)
    across, up = x[side & (z > -20.0)], z[side & (z > -20.0)]
    np.testing.assert_allclose(np.hypot(across - 230.0, up + 10.0)[across > 230.0], 10.0, rtol=0.0, atol=1e-9)
    assert {(240.0, -10.0), (240.0, -29.0)} <= set(zip(np.round(x, 9), np.round(z, 9), strict=True))
    foot = z == -45.0
    assert (x[foot].max(), y[foot].min(), y[foot].max()) == pytest.approx((200.0, 40.0, 390.0), abs=1e-9)
    assert mesh.vertices_mm[:, 2].max() == 0.0


def test_the_round_follows_the_front_roll_down(carve: Carve) -> None:
    seat = carve(round_over_mm=6.0, outline="straight-sided")
    mesh = solid(seat)
    front = mesh.vertices_mm[np.abs(mesh.vertices_mm[:, 1] - 430.0) < 1e-9]
    top = front[np.abs(front[:, 0]) < 200.0][:, 2].max()
    assert top == pytest.approx(-(float(roll_fall(np.array(roll_length_mm(20.0)), 20.0)) + 6.0), abs=1e-9)


def edges_along(mesh: Mesh, distance: Callable[[Floats, Floats], Floats], near_mm: float) -> float:
    """Length in the plan of edges of the mesh whose two ends and middle lie on a line of the plan."""
    pairs = np.unique(np.sort(mesh.faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1), axis=0)
    ends = mesh.vertices_mm[pairs]
    at = np.concatenate([ends, ends.mean(axis=1, keepdims=True)], axis=1)
    on = (np.abs(distance(at[..., 0], at[..., 1])) < near_mm).all(axis=1) & (ends[..., 2] > -20.0).all(axis=1)
    return float(np.linalg.norm(ends[on, 0, :2] - ends[on, 1, :2], axis=1).sum())


@pytest.mark.parametrize(
    "options", [{}, {"deck_line": "bowed", "deck_bow_mm": 30.0}, {"deck_line": "offset"}]
)
def test_deck_line_and_gutter_lip_are_chains_of_edges(carve: Carve, options: dict[str, Any]) -> None:
    seat = carve(gutter_depth_mm=2.0, **options)
    mesh = solid(seat, 0.3)
    outline = shapely.Polygon(seat.blank.polygon_mm())
    x, y = np.meshgrid(np.arange(-245.0, 245.1, 1.0), np.arange(-5.0, 435.1, 1.0))
    for lip in (0.0, 8.0):

        def off(px: Floats, py: Floats, lip: float = lip) -> Floats:
            return seat.blank.ahead_of_deck_mm(px, py) - lip

        # The length of the line itself, from its band's area: 4 mm wide, within the outline.
        band = np.abs(off(x, y)) < 2.0
        length = np.count_nonzero(band & shapely.contains_xy(outline, x, y)) / 4.0
        # Where the hollow is deeper than the gutter its lip is none and may be crossed.
        assert edges_along(mesh, off, 0.02) > 0.97 * length


def test_no_facet_of_the_deck_reaches_over_its_line(carve: Carve) -> None:
    for options in ({"deck_line": "bowed", "deck_bow_mm": 30.0}, {"deck_line": "offset"}):
        seat = carve(**options)
        mesh = solid(seat)
        deck = np.array(facet_parts(mesh, seat)) == "deck"
        x, y, z = mesh.vertices_mm[mesh.faces[deck]].transpose(2, 0, 1)
        assert seat.blank.ahead_of_deck_mm(x, y).max() < 0.02
        assert np.all(z == 0.0)


@pytest.mark.parametrize("outline", OUTLINES)
def test_an_inset_ring_is_the_polygons_own_buffer(outline: str) -> None:
    polygon = Blank(outline=outline).polygon_mm()
    for distance in (0.5, 6.0, 59.0, 61.0, 120.0):
        ring = shapely.Polygon(inset(polygon, distance, "round_over_mm"))
        # GEOS, with mitred joins, is the second opinion; on bays its joins are straight too.
        other = shapely.buffer(shapely.Polygon(polygon), -distance, join_style="mitre", mitre_limit=100.0)
        assert shapely.symmetric_difference(shapely.buffer(ring, 0.0), other).area < 2e-4 * other.area


def test_sides_keep_their_direction_and_rounded_corners_become_one_point() -> None:
    polygon = Blank(corner_radius_mm=20.0).polygon_mm()
    ring = inset(polygon, 30.0, "round_over_mm")
    corners = {tuple(point) for point in np.round(ring, 6).tolist()}
    assert {(210.0, 30.0), (210.0, 400.0), (-210.0, 30.0), (-210.0, 400.0)} <= corners
    assert len(corners) == 6
    np.testing.assert_array_equal(on_ring(polygon, np.array([0.0, 2.0])), polygon[[0, 2]])


@pytest.mark.parametrize(
    ("options", "key"),
    [
        ({"round_over_mm": 300.0}, "round_over_mm"),
        ({"under_bevel_width_mm": 300.0, "under_bevel_height_mm": 5.0}, "under_bevel_width_mm"),
        ({"round_over_mm": 20.0, "under_bevel_width_mm": 30.0, "under_bevel_height_mm": 30.0}, "at the edge"),
    ],
)
def test_edges_without_room_are_refused(carve: Carve, options: dict[str, Any], key: str) -> None:
    with pytest.raises(ValueRefusedError, match=key):
        solid(carve(front_roll_mm=0.0, **options))


def test_a_hollow_through_the_bevel_is_refused(carve: Carve) -> None:
    seat = carve(thickness_mm=19.5, under_bevel_width_mm=150.0, under_bevel_height_mm=12.0, front_roll_mm=0.0)
    with pytest.raises(ValueRefusedError, match="greatest depth"):
        solid(seat)


def test_feature_lines_meet_the_outline_and_one_another_in_their_ends(carve: Carve) -> None:
    seat = carve(deck_line="offset", deck_reach_mm=370.0, gutter_depth_mm=3.0)
    polygon = seat.blank.polygon_mm()
    right = polygon[: len(polygon) // 2 + 1]
    lines = feature_lines(seat, right)
    # The start of the roll crosses deck line and lip: five pieces with the ends of these two beyond it.
    assert len(lines) >= 5
    for i, one in enumerate(lines):
        for other in lines[i + 1 :]:
            met = shapely.intersection(shapely.LineString(one), shapely.LineString(other))
            ends = np.vstack([one[[0, -1]], other[[0, -1]]])
            for point in shapely.get_coordinates(met):
                assert np.linalg.norm(ends - point, axis=1).min() < 1e-9
    assert faults(solid(seat, 0.5)) == ()
