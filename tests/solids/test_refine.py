"""Delaunay refinement: chains are edges, no angle is small, triangles are as small as is asked and no smaller."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from seatmesh.errors import NotSolvedError
from seatmesh.solids.plan import refine
from seatmesh.solids.plan.chains import chains_of
from seatmesh.solids.plan.kept_lines import CLEAR_MM, kept_lines
from seatmesh.solids.plan.plan_mesh import fill_half, half_ring, inner_points
from seatmesh.solids.plan.refine import LEAST_ANGLE_DEG, Filled, refined
from seatmesh.solids.plan.triangulate import border, edges_of, has_edges, plan_area, rooms
from seatmesh.wood.outline.shapes import OUTLINES, area_mm2, outline_polygon

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SQUARE = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]])
TWO = np.array([[0, 1, 2], [0, 2, 3]])


def everywhere(_: Floats) -> bool:
    return True


def smallest_angle_deg(points: Floats, faces: Ints) -> float:
    ends = points[edges_of(faces)]
    along = ends[:, :, 1] - ends[:, :, 0]
    unit = along / np.linalg.norm(along, axis=-1, keepdims=True)
    cosine = -np.einsum("mij,mij->mi", unit, np.roll(unit, 1, axis=1))
    return float(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))).min())


def filled(
    ring: Floats, lines: tuple[Floats, ...] = (), edges: tuple[Floats, ...] = (), spacing: float = 12.0
) -> Filled:
    laid_ring, laid = half_ring(ring, lines)
    chains = chains_of(kept_lines(laid_ring, laid, edges, everywhere, 0.01), spacing)
    return refined(chains, shapely.Polygon(laid_ring), inner_points(laid_ring, chains, spacing))[0]


def test_edge_i_lies_opposite_vertex_i_and_the_border_keeps_its_triangle_on_the_left() -> None:
    assert edges_of(TWO)[0].tolist() == [[1, 2], [2, 0], [0, 1]]
    assert sorted(map(tuple, border(TWO).tolist())) == [(0, 1), (1, 2), (2, 3), (3, 0)]
    assert has_edges(TWO, np.array([[2, 0], [0, 2], [1, 3]])).tolist() == [True, True, False]


def test_rooms_are_parted_by_walls_alone() -> None:
    assert rooms(TWO, np.array([[0, 1]])).tolist() == [0, 0]
    assert rooms(TWO, np.array([[2, 0]])).tolist() == [0, 1]


def test_triangles_are_as_small_as_is_asked_and_not_much_smaller() -> None:
    ring = SQUARE[[0, 1, 2, 3]]
    chains = chains_of(kept_lines(ring, (), (), everywhere, 0.01), 20.0)

    def asked(points: Floats, faces: Ints) -> Floats:
        sides = points[faces] - np.roll(points[faces], 1, axis=1)
        away = np.linalg.norm(points[faces].mean(axis=1) - 50.0, axis=1)
        return np.asarray(np.linalg.norm(sides, axis=2).max(axis=1) / (1.0 + 0.1 * away))

    plan, worst = refined(chains, shapely.Polygon(ring), inner_points(ring, chains, 20.0), asked)
    assert 0.9 < worst <= 1.0
    assert smallest_angle_deg(plan.points, plan.faces) >= LEAST_ANGLE_DEG - 1e-6
    area = plan_area(plan.points, plan.faces)
    assert area.min() > 0.0
    assert area.sum() == pytest.approx(1e4, rel=1e-12)
    # Equilateral triangles of the greatest side would be so many: refinement by halves takes two to five times that.
    least = np.sum(
        area
        / (
            np.sqrt(3.0)
            / 4.0
            * (1.0 + 0.1 * np.linalg.norm(plan.points[plan.faces].mean(axis=1) - 50.0, axis=1)) ** 2
        )
    )
    assert 1.5 * least < len(plan.faces) < 4.0 * least


def test_the_same_chains_give_the_same_triangles() -> None:
    one, other = (filled(SQUARE, (np.array([[0.0, 30.0], [100.0, 30.0]]),)) for _ in range(2))
    np.testing.assert_array_equal(one.points, other.points)
    np.testing.assert_array_equal(one.faces, other.faces)


@pytest.mark.parametrize("outline", OUTLINES)
def test_a_half_plan_is_whole_along_outline_centre_line_and_creases(outline: str) -> None:
    polygon = outline_polygon(outline, 480.0, 430.0, 60.0)
    right = polygon[: len(polygon) // 2 + 1]
    creases = (50.0, 60.0, 412.7)
    lines = tuple(
        shapely.get_coordinates(
            shapely.intersection(shapely.Polygon(right), shapely.LineString([(0.0, y), (300.0, y)]))
        )
        for y in creases
    )
    plan = filled(right, lines)
    points, faces = plan.points, plan.faces
    assert has_edges(faces, plan.edges).all()
    assert {tuple(at) for at in points.tolist()} >= {tuple(at) for at in right.tolist()}
    assert plan_area(points, faces).sum() == pytest.approx(0.5 * area_mm2(polygon), rel=1e-12)
    assert smallest_angle_deg(points, faces) > 10.0
    rim = points[border(faces)]
    on_centre = np.all(rim[:, :, 0] == 0.0, axis=1)
    assert np.abs(rim[on_centre, 0, 1] - rim[on_centre, 1, 1]).sum() == pytest.approx(430.0, rel=1e-12)
    ends = points[edges_of(faces)]
    for y, line in zip(creases, lines, strict=True):
        along = np.unique(
            np.sort(ends[np.all(np.abs(ends[..., 1] - y) < 0.01, axis=-1)][..., 0], axis=-1), axis=0
        )
        assert np.sum(along[:, 1] - along[:, 0]) == pytest.approx(line[:, 0].max(), rel=1e-9)


def test_filling_a_concave_ring_leaves_its_bay_open() -> None:
    ring = np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 40.0], [20.0, 10.0], [0.0, 40.0]])
    plan = fill_half(ring, 10.0)
    assert plan_area(plan.points, plan.faces).sum() == pytest.approx(area_mm2(ring), rel=1e-12)
    assert plan_area(plan.points, plan.faces).min() > 0.0


def test_lines_that_run_close_together_get_small_triangles_between_them_alone() -> None:
    line = np.array([[0.0, 50.0], [100.0, 50.0]])
    plan = filled(SQUARE, (line, line + np.array([0.0, 0.5])))
    y = plan.points[plan.faces][..., 1]
    between = (y.min(axis=1) < 50.2) & (y.max(axis=1) > 50.3)
    assert np.all((y[between] >= 50.0 - 1e-9) & (y[between] <= 50.5 + 1e-9))
    assert smallest_angle_deg(plan.points, plan.faces) >= LEAST_ANGLE_DEG - 1e-6
    assert 300 < len(plan.faces) < 6000


def test_lines_that_meet_at_an_acute_angle_keep_it_and_no_other_angle_is_small() -> None:
    """Ten degrees between two lines: there one angle has to be as small."""
    slope = np.tan(np.radians(10.0))
    plan = filled(
        SQUARE,
        (np.array([[0.0, 50.0], [100.0, 50.0]]), np.array([[0.0, 50.0], [100.0, 50.0 + 100.0 * slope]])),
    )
    assert has_edges(plan.faces, plan.edges).all()
    assert 9.9 < smallest_angle_deg(plan.points, plan.faces) <= 10.0 + 1e-6
    assert len(plan.faces) < 3000
    at_corner = np.any((plan.points[plan.faces] == [0.0, 50.0]).all(axis=2), axis=1)
    assert smallest_angle_deg(plan.points, plan.faces[~at_corner]) > 14.0


def test_edges_of_the_hollow_end_on_other_lines_or_give_way_to_them() -> None:
    """One crosses the line at 45 degrees, one runs beside it at less than `CLEAR_MM`."""
    line = np.array([[0.0, 50.0], [100.0, 50.0]])
    crossing = np.column_stack([np.linspace(20.0, 80.0, 61), np.linspace(20.0, 80.0, 61)])
    beside = np.array([[10.3, 50.0], [90.0, 50.0]]) + np.array([0.0, 0.7 * CLEAR_MM])
    with_crossing, with_beside, without = (
        filled(SQUARE, (line,), edges) for edges in ((crossing,), (beside,), ())
    )
    assert [50.0, 50.0] in np.round(with_crossing.points, 9).tolist()
    on = np.abs(with_crossing.points[with_crossing.edges] @ [1.0, -1.0]).max(axis=1) < 1e-9
    ends = with_crossing.points[with_crossing.edges][on]
    assert np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1).sum() == pytest.approx(
        60.0 * np.sqrt(2.0), rel=1e-9
    )
    np.testing.assert_array_equal(with_beside.points, without.points)


def test_a_plan_that_cannot_be_made_whole_ends_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(refine, "ROUNDS", 1)
    line = np.array([[0.0, 50.0], [100.0, 50.0]])
    with pytest.raises(NotSolvedError, match=r"after 1 rounds .* simpler outline"):
        filled(SQUARE, (line, np.array([[27.0, 50.3], [100.0, 50.3]])))
