from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import pyvista
from numpy.typing import NDArray
from scipy.integrate import quad

from seatmesh.errors import NotSolvedError, ValueRefusedError
from seatmesh.front_roll import roll_fall, roll_length_mm
from seatmesh.mesh import Mesh, extents_mm, faults, volume_mm3
from seatmesh.solids import top_face
from seatmesh.solids.carved import solid, surface_volume_mm3
from seatmesh.solids.plan.feature_lines import feature_lines
from seatmesh.spline import BicubicSpline, clamped_knots
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.outline.shapes import OUTLINES, area_mm2

Carve = Callable[..., Seat]
Floats = NDArray[np.float64]

VARIANTS: dict[str, dict[str, Any]] = {
    "usual": {},
    "uneven": {"deeper_on_the_right_mm": 3.0},
    "no roll": {"front_roll_mm": 0.0},
    "least roll": {"front_roll_mm": 0.3},
    "straight-sided, large roll": {"outline": "straight-sided", "front_roll_mm": 30.0},
    "tapered": {"outline": "tapered to the rear"},
    "no deck": {"deck_mm": 0.0},
    "deck line through the end of a corner": {"deck_mm": 60.0},
    "deck line beside the rear edge": {"deck_mm": 0.05},
    "small odd blank": {"width_mm": 401.3, "depth_mm": 382.7, "corner_radius_mm": 41.7, "thickness_mm": 38.1},
}
STEP: dict[str, Any] = {"deck_mm": 75.0}
"""The hollow is 5 mm deep where it meets this deck line: a step."""


def top_facets(mesh: Mesh) -> Floats:
    """Corners of the facets that look up, shape (m, 3, 3)."""
    corners = mesh.vertices_mm[mesh.faces]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    # Of a wall that stands slantwise in the plan rounding leaves a share of 1e-16 seen from above.
    return np.asarray(corners[normal[:, 2] > 1e-9 * np.linalg.norm(normal, axis=1)])


def straight_up_mm(seat: Seat, mesh: Mesh, points_a_facet: int = 40) -> float:
    """Greatest distance straight up between mesh and surface at random points of every top facet."""
    share = np.random.default_rng(11).dirichlet([0.7, 0.7, 0.7], size=points_a_facet)
    at = np.einsum("ki,mij->mkj", share, top_facets(mesh))
    return float(np.abs(at[..., 2] + seat.depth_mm(at[..., 0], at[..., 1])).max())


@pytest.mark.parametrize("variant", VARIANTS)
def test_every_solid_is_one_closed_body_within_tolerance_of_its_surface(carve: Carve, variant: str) -> None:
    seat = carve(**VARIANTS[variant])
    mesh = solid(seat)
    assert faults(mesh) == ()
    assert len(mesh.faces) < 60_000
    assert straight_up_mm(seat, mesh) < 0.1
    assert volume_mm3(mesh) == pytest.approx(surface_volume_mm3(seat), rel=5e-4)
    blank = seat.blank
    assert mesh.vertices_mm[:, 2].min() == -blank.thickness_mm
    across, along = np.ptp(blank.polygon_mm(), axis=0)
    np.testing.assert_array_equal(extents_mm(mesh), [across, along, blank.thickness_mm])


@pytest.mark.parametrize("tolerance_mm", [0.03, 0.3, 1.0])
def test_the_tolerance_is_kept_and_is_not_wasted(carved_seat: Seat, tolerance_mm: float) -> None:
    mesh = solid(carved_seat, tolerance_mm)
    assert faults(mesh) == ()
    assert 0.5 * tolerance_mm < straight_up_mm(carved_seat, mesh) < tolerance_mm


def test_the_true_distance_is_within_tolerance_at_a_step_and_beside_it(carve: Carve) -> None:
    seat = carve(**STEP)
    assert seat.depth_mm(60.0, 75.0001) > 4.0
    mesh = solid(seat, 0.2)
    assert faults(mesh) == ()
    assert len(mesh.faces) < 100_000
    faces = np.column_stack([np.full(len(mesh.faces), 3), mesh.faces])
    random = np.random.default_rng(5)
    near_step = np.column_stack([random.uniform(-235.0, 235.0, 4000), random.uniform(74.8, 75.4, 4000)])
    anywhere = np.column_stack([random.uniform(-235.0, 235.0, 4000), random.uniform(60.0, 370.0, 4000)])
    x, y = np.vstack([near_step, anywhere]).T
    points = pyvista.PolyData(np.column_stack([x, y, -seat.depth_mm(x, y)]))
    found = points.compute_implicit_distance(pyvista.PolyData(mesh.vertices_mm, faces.ravel()))
    assert np.abs(found["implicit_distance"]).max() < 0.2
    assert straight_up_mm(seat, mesh) > 1.0


def test_vertices_of_the_top_lie_on_the_surface(uneven_seat: Seat) -> None:
    x, y, z = top_facets(solid(uneven_seat)).reshape(-1, 3).T
    np.testing.assert_allclose(z, -uneven_seat.depth_mm(x, y), rtol=0.0, atol=1e-12)


def test_the_outline_is_kept_corner_by_corner(carve: Carve) -> None:
    for outline in OUTLINES:
        seat = carve(outline=outline)
        mesh = solid(seat, 0.5)
        polygon = seat.blank.polygon_mm()
        plan = {tuple(point) for point in mesh.vertices_mm[:, :2].tolist()}
        assert plan >= {tuple(point) for point in polygon.tolist()}
        corners = top_facets(mesh)
        along, across = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
        covered = 0.5 * np.sum(along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0])
        assert covered == pytest.approx(area_mm2(polygon), rel=1e-10)


def test_no_facet_bridges_the_deck_line_or_the_start_of_the_front_roll(carve: Carve) -> None:
    for options in ({}, STEP, {"outline": "tapered to the rear"}):
        seat = carve(**options)
        y = top_facets(solid(seat, 0.3))[..., 1]
        roll = 430.0 - roll_length_mm(20.0)
        for line in (seat.blank.deck_mm, roll):
            assert not np.any((y.min(axis=1) < line - 1e-9) & (y.max(axis=1) > line + 1e-9))


def test_lines_that_hardly_part_from_an_edge_are_no_lines(carve: Carve) -> None:
    def count(seat: Seat) -> int:
        polygon = seat.blank.polygon_mm()
        return len(feature_lines(seat, polygon[: len(polygon) // 2 + 1]))

    assert count(carve()) == 2
    assert count(carve(gutter_depth_mm=2.0)) == 3
    assert count(carve(deck_mm=0.1, front_roll_mm=0.15)) == 0
    assert count(carve(deck_mm=430.0, front_roll_mm=0.0)) == 0


def test_vertices_mirror_each_other(carved_seat: Seat, uneven_seat: Seat) -> None:
    mirror = np.array([-1.0, 1.0, 1.0])
    even, uneven = (solid(seat).vertices_mm for seat in (carved_seat, uneven_seat))

    def as_set(points: Floats) -> set[tuple[float, ...]]:
        return {tuple(point) for point in (np.round(points, 9) + 0.0).tolist()}

    assert as_set(even) == as_set(even * mirror)
    assert as_set(uneven) != as_set(uneven * mirror)
    assert as_set(uneven[:, :2]) == as_set(uneven[:, :2] * mirror[:2])


def test_an_uneven_seat_is_deeper_on_the_sitters_right() -> None:
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 4), clamped_knots(50.0, 430.0, 4)
    hollow = BicubicSpline(knots_x, knots_y, np.linspace(-10.0, 10.0, 7)[:, None] * np.ones(7))
    vertices = solid(Seat(hollow=hollow), 0.5).vertices_mm
    low = vertices[(vertices[:, 2] < -1.0) & (vertices[:, 2] > -44.0)]
    assert len(low) > 100
    assert np.all(low[:, 0] > 0.0)


@pytest.mark.parametrize("outline", OUTLINES)
def test_an_uncarved_blank_has_the_volume_of_its_outline(outline: str) -> None:
    blank = Blank(outline=outline)
    mesh = solid(flat_seat(blank))
    assert faults(mesh) == ()
    area = area_mm2(blank.polygon_mm())
    assert volume_mm3(mesh) == pytest.approx(45.0 * area, rel=1e-12)
    assert surface_volume_mm3(flat_seat(blank)) == pytest.approx(45.0 * area, rel=1e-12)


def test_volumes_match_a_seat_whose_integral_is_known() -> None:
    """Straight-sided, a ramp 4 mm + 0.02 y ahead of the deck, and the front roll by quadrature."""
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 3), clamped_knots(0.0, 430.0, 5)
    averages = (knots_y[1:-3] + knots_y[2:-2] + knots_y[3:-1]) / 3.0
    hollow = BicubicSpline(knots_x, knots_y, np.tile(4.0 + 0.02 * averages, (6, 1)))
    seat = Seat(Blank(outline="straight-sided"), hollow=hollow, front_roll_mm=24.0)
    ramp = 4.0 * (430.0 - 50.0) + 0.01 * (430.0**2 - 50.0**2)
    length = roll_length_mm(24.0)
    roll = quad(lambda along: float(roll_fall(np.array(along), 24.0)), 0.0, length)[0]
    wood = 480.0 * (45.0 * 430.0 - ramp - roll)
    off = [abs(surface_volume_mm3(seat, step) / wood - 1.0) for step in (4.0, 2.0, 1.0)]
    assert off[1] < 3e-5
    assert np.all(np.log2([off[0] / off[1], off[1] / off[2]]) > 1.6)
    assert volume_mm3(solid(seat, 0.2)) == pytest.approx(wood, rel=3e-4)


def test_the_mesh_has_the_volume_of_the_surface(carved_seat: Seat) -> None:
    wood = surface_volume_mm3(carved_seat, 1.0)
    assert surface_volume_mm3(carved_seat) == pytest.approx(wood, rel=2e-5)
    assert volume_mm3(solid(carved_seat, 0.02)) == pytest.approx(wood, rel=1e-4)


def test_the_same_seat_gives_the_same_mesh(uneven_seat: Seat) -> None:
    first, second = solid(uneven_seat), solid(uneven_seat)
    np.testing.assert_array_equal(first.vertices_mm, second.vertices_mm)
    np.testing.assert_array_equal(first.faces, second.faces)


@pytest.mark.parametrize("tolerance_mm", [0.0, -0.1, 0.004, float("nan"), float("inf")])
def test_a_tolerance_that_no_mesh_can_keep_is_refused(tolerance_mm: float) -> None:
    with pytest.raises(ValueRefusedError, match=r"tolerance_mm = .*0\.005"):
        solid(flat_seat(), tolerance_mm)


def test_a_hollow_through_the_blank_is_refused(carve: Carve) -> None:
    with pytest.raises(ValueRefusedError, match=r"greatest depth = 18\.\d\d mm: .*thickness of 18 mm"):
        solid(carve(thickness_mm=18.0))


def test_a_depth_that_is_not_finite_is_refused() -> None:
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 3), clamped_knots(50.0, 430.0, 3)
    hollow = BicubicSpline(knots_x, knots_y, np.full((6, 6), np.nan))
    with pytest.raises(ValueRefusedError, match="depth"):
        solid(Seat(hollow=hollow))


def test_refinement_without_end_ends_in_words(carved_seat: Seat, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(top_face, "MOST_FACETS", 5000)
    with pytest.raises(NotSolvedError, match=r"still .* mm off .* coarser"):
        solid(carved_seat, 0.02)


def test_speed_of_a_solid_at_the_usual_tolerance(carved_seat: Seat, benchmark: Any) -> None:
    mesh = benchmark(solid, carved_seat)
    assert len(mesh.faces) < 60_000
