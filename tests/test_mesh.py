from __future__ import annotations

import numpy as np
import pytest

from seatmesh.mesh import (
    Mesh,
    bodies,
    degenerate_facets,
    extents_mm,
    facet_areas_mm2,
    faults,
    is_closed,
    volume_mm3,
)

CORNERS = np.array([[0.0, 0.0, 0.0], [3.0, 0.0, 0.0], [0.0, 4.0, 0.0], [0.0, 0.0, 5.0]])
OUTWARD = np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]])
TETRAHEDRON = Mesh(CORNERS, OUTWARD)


def test_a_tetrahedron_has_a_sixth_of_the_box_and_its_own_areas() -> None:
    assert volume_mm3(TETRAHEDRON) == pytest.approx(3 * 4 * 5 / 6, rel=1e-14)
    slanted = 0.5 * np.sqrt((4 * 5) ** 2 + (3 * 5) ** 2 + (3 * 4) ** 2)
    np.testing.assert_allclose(facet_areas_mm2(TETRAHEDRON), [6.0, 7.5, 10.0, slanted], rtol=1e-14)
    np.testing.assert_array_equal(extents_mm(TETRAHEDRON), [3.0, 4.0, 5.0])
    assert faults(TETRAHEDRON) == ()


def test_volume_does_not_depend_on_where_the_mesh_lies_or_how_it_is_turned() -> None:
    turn = np.linalg.qr(np.random.default_rng(7).normal(size=(3, 3)))[0]
    turn *= np.linalg.det(turn)
    moved = Mesh(CORNERS @ turn.T + np.array([100.0, -50.0, 20.0]), OUTWARD)
    assert volume_mm3(moved) == pytest.approx(10.0, rel=1e-10)


def test_scaling_takes_lengths_by_the_factor_and_volume_by_its_cube() -> None:
    quarter = TETRAHEDRON.scaled(0.25)
    np.testing.assert_array_equal(extents_mm(quarter), np.array([3.0, 4.0, 5.0]) / 4)
    assert volume_mm3(quarter) == pytest.approx(10.0 / 64, rel=1e-14)
    np.testing.assert_array_equal(TETRAHEDRON.vertices_mm, CORNERS)


def test_a_missing_facet_a_turned_facet_and_a_doubled_facet_are_not_closed() -> None:
    turned = OUTWARD.copy()
    turned[0] = turned[0, ::-1]
    doubled = np.vstack([OUTWARD, OUTWARD[:1]])
    for faces in (OUTWARD[1:], turned, doubled):
        assert not is_closed(Mesh(CORNERS, faces))
        assert "edge" in faults(Mesh(CORNERS, faces))[0]


def test_faces_that_look_inward_are_a_fault() -> None:
    inward = Mesh(CORNERS, OUTWARD[:, ::-1])
    assert volume_mm3(inward) == pytest.approx(-10.0, rel=1e-14)
    assert len(faults(inward)) == 1
    assert "inward" in faults(inward)[0]


def test_two_bodies_are_counted_and_unused_vertices_are_not() -> None:
    two = Mesh(np.vstack([CORNERS, CORNERS + 10.0]), np.vstack([OUTWARD, OUTWARD + 4]))
    assert bodies(two) == 2
    assert faults(two) == ("it falls into 2 bodies",)
    assert bodies(Mesh(np.vstack([CORNERS, CORNERS + 10.0]), OUTWARD)) == 1


def test_facets_that_are_lines_or_points_are_counted_at_any_size() -> None:
    line = Mesh(np.vstack([CORNERS, [[1.5, 0.0, 1e-9]]]), np.vstack([OUTWARD, [[0, 1, 4]]]))
    point = Mesh(CORNERS, np.vstack([OUTWARD, [[1, 1, 1]]]))
    for factor in (1e-3, 1.0, 1e3):
        assert degenerate_facets(TETRAHEDRON.scaled(factor)) == 0
        assert degenerate_facets(line.scaled(factor)) == 1
        assert degenerate_facets(point.scaled(factor)) == 1
    assert "1 facets" in " ".join(faults(point))
