from __future__ import annotations

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from seatmesh.errors import NotSolvedError
from seatmesh.solids.plan import plan_mesh
from seatmesh.solids.plan.plan_mesh import fill_half, half_ring
from seatmesh.solids.plan.triangulate import (
    border,
    edges_of,
    fill,
    halve_edges,
    has_edges,
    longest_edge,
    plan_area,
)
from seatmesh.wood.outline.shapes import OUTLINES, area_mm2, outline_polygon

SQUARE = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])
TWO = np.array([[0, 1, 2], [0, 2, 3]])


def plan_of(
    outline: str, lines_y: tuple[float, ...]
) -> tuple[NDArray[np.float64], tuple[NDArray[np.float64], ...]]:
    """Return the right half of an outline and straight lines across it, ready to be filled."""
    polygon = outline_polygon(outline, 480.0, 430.0, 60.0)
    right = polygon[: len(polygon) // 2 + 1]
    lines = []
    for y in lines_y:
        met = shapely.intersection(shapely.Polygon(right), shapely.LineString([(0.0, y), (300.0, y)]))
        lines.append(shapely.get_coordinates(met))
    return half_ring(right, lines)


def smallest_angle_deg(points: NDArray[np.float64], faces: NDArray[np.int64]) -> float:
    ends = points[edges_of(faces)]
    along = ends[:, :, 1] - ends[:, :, 0]
    unit = along / np.linalg.norm(along, axis=-1, keepdims=True)
    cosine = -np.einsum("mij,mij->mi", unit, np.roll(unit, 1, axis=1))
    return float(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))).min())


def test_edge_i_lies_opposite_vertex_i_and_the_border_keeps_its_triangle_on_the_left() -> None:
    assert edges_of(TWO)[0].tolist() == [[1, 2], [2, 0], [0, 1]]
    assert longest_edge(SQUARE, TWO).tolist() == [1, 2]
    assert sorted(map(tuple, border(TWO).tolist())) == [(0, 1), (1, 2), (2, 3), (3, 0)]
    assert has_edges(TWO, np.array([[2, 0], [0, 2], [1, 3]])).tolist() == [True, True, False]


def test_halving_the_shared_longest_edge_cuts_both_triangles_in_two() -> None:
    marked = np.zeros((2, 3), dtype=bool)
    marked[0, 1] = True
    points, faces, source = halve_edges(SQUARE, TWO, marked)
    assert points[4:].tolist() == [[1.0, 1.0]]
    assert len(faces) == 4
    assert source.tolist() == [-1] * 4
    np.testing.assert_allclose(plan_area(points, faces), 1.0)


def test_halving_a_short_edge_halves_the_longest_one_too() -> None:
    marked = np.zeros((2, 3), dtype=bool)
    marked[0, 2] = True
    points, faces, _ = halve_edges(SQUARE, TWO, marked)
    assert sorted(map(tuple, points[4:].tolist())) == [(1.0, 0.0), (1.0, 1.0)]
    assert len(faces) == 5


def test_random_halving_stays_whole_covers_the_same_area_and_keeps_its_angles() -> None:
    random = np.random.default_rng(3)
    points = np.vstack([SQUARE * 50.0, random.uniform(10.0, 90.0, (40, 2))])
    faces = fill(points, SQUARE * 50.0)
    least = smallest_angle_deg(points, faces)
    for _ in range(8):
        before = faces
        points, faces, source = halve_edges(points, faces, random.uniform(size=faces.shape) < 0.1)
        kept = source >= 0
        np.testing.assert_array_equal(np.sort(faces[kept], axis=1), np.sort(before[source[kept]], axis=1))
        area = plan_area(points, faces)
        assert area.min() > 0.0
        assert area.sum() == pytest.approx(100.0**2, rel=1e-12)
        rim = points[border(faces)]
        assert np.all(np.any((rim[:, 0] == rim[:, 1]) & np.isin(rim[:, 0], [0.0, 100.0]), axis=1))
    # Longest-edge bisection keeps half of the smallest angle (Rosenberg and Stenger 1975, from memory).
    assert smallest_angle_deg(points, faces) >= 0.5 * least


def test_halving_nothing_changes_nothing() -> None:
    points, faces, source = halve_edges(SQUARE, TWO, np.zeros((2, 3), dtype=bool))
    np.testing.assert_array_equal(points, SQUARE)
    assert sorted(source.tolist()) == [0, 1]
    assert len(faces) == 2


def test_filling_a_concave_ring_leaves_its_bay_open() -> None:
    ring = np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [2.0, 1.0], [0.0, 4.0]])
    faces = fill(ring, ring)
    assert plan_area(ring, faces).sum() == pytest.approx(area_mm2(ring), rel=1e-12)
    assert plan_area(ring, faces).min() > 0.0


@pytest.mark.parametrize("outline", OUTLINES)
def test_a_half_plan_is_whole_along_outline_centre_line_and_creases(outline: str) -> None:
    polygon = outline_polygon(outline, 480.0, 430.0, 60.0)
    creases = (50.0, 60.0, 412.7)
    ring, lines = plan_of(outline, creases)
    points, faces, on_lines = fill_half(ring, lines, 12.0)
    assert len(ring) < on_lines < len(points)
    np.testing.assert_array_equal(points[: len(ring)], ring)
    assert plan_area(points, faces).sum() == pytest.approx(0.5 * area_mm2(polygon), rel=1e-12)
    rim = points[border(faces)]
    on_centre = np.all(rim[:, :, 0] == 0.0, axis=1)
    assert np.abs(rim[on_centre, 0, 1] - rim[on_centre, 1, 1]).sum() == pytest.approx(430.0, rel=1e-12)
    ends = points[edges_of(faces)]
    for y in creases:
        along = np.unique(
            np.sort(ends[np.all(np.abs(ends[..., 1] - y) < 0.01, axis=-1)][..., 0], axis=-1), axis=0
        )
        width = ring[np.abs(ring[:, 1] - y) < 0.01, 0].max()
        assert np.sum(along[:, 1] - along[:, 0]) == pytest.approx(width, rel=1e-9)


def test_triangles_keep_clear_of_the_lines_so_that_none_is_needle_shaped() -> None:
    points, faces, _ = fill_half(*plan_of("straight-sided", (50.0, 412.7)), 10.0)
    assert smallest_angle_deg(points, faces) > 25.0


def test_lines_that_run_close_together_are_split_until_they_are_whole() -> None:
    points, faces, _ = fill_half(*plan_of("rounded", (50.0, 50.5)), 12.0)
    between = (points[faces][..., 1].min(axis=1) < 50.2) & (points[faces][..., 1].max(axis=1) > 50.3)
    assert np.all(points[faces][between][..., 1].min(axis=1) >= 50.0 - 1e-9)
    assert len(faces) < 20_000


def test_a_plan_that_cannot_be_made_whole_ends_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(plan_mesh, "ROUNDS", 1)
    ring, lines = plan_of("rounded", (50.0, 50.5))
    with pytest.raises(NotSolvedError, match=r"after 1 rounds .* simpler outline"):
        fill_half(ring, lines, 12.0)
