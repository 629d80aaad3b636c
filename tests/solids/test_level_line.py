from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from seatmesh.solids.plan.level_line import lay_in, onto_line, without_flips
from seatmesh.solids.plan.plan_mesh import fill_half
from seatmesh.solids.plan.triangulate import border, plan_area

Floats = NDArray[np.float64]

RING = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 120.0], [0.0, 120.0]])


def circle(x: Floats, y: Floats) -> Floats:
    """Round (0, 60), 40 mm: it meets the centre line twice."""
    return 1600.0 - x**2 - (y - 60.0) ** 2


def laid(spacing_mm: float) -> tuple[Floats, NDArray[np.int64], NDArray[np.bool_]]:
    points, faces, _ = fill_half(RING, (), spacing_mm)
    fixed = np.zeros(len(points), dtype=bool)
    fixed[border(faces)] = True
    return lay_in(points, faces, circle, fixed, np.ones(len(faces), dtype=bool))


@pytest.mark.parametrize("spacing_mm", [4.0, 7.0, 11.0])
def test_no_face_is_crossed_and_the_plan_is_covered_once(spacing_mm: float) -> None:
    points, faces, on = laid(spacing_mm)
    area = plan_area(points, faces)
    assert area.min() > 1e-3 * spacing_mm**2
    assert area.sum() == pytest.approx(12_000.0, rel=1e-12)
    assert len(np.unique(border(faces)[:, 0])) == len(border(faces))
    value = np.where(on, 0.0, circle(*points.T))[faces]
    assert not np.any((value.min(axis=1) < 0.0) & (value.max(axis=1) > 0.0))
    # Points on the line are on it, but for one that was fixed close by.
    distance = np.abs(np.hypot(points[on, 0], points[on, 1] - 60.0) - 40.0)
    assert np.sort(distance)[-3:].max() < 0.07 * spacing_mm
    assert np.sort(distance)[:-2].max() < 1e-6


def test_the_faces_inside_the_circle_have_its_area_to_second_order() -> None:
    off = []
    for spacing in (12.0, 6.0, 3.0):
        points, faces, _ = laid(spacing)
        middle = points[faces].mean(axis=1)
        inside = circle(*middle.T) > 0.0
        off.append(abs(plan_area(points, faces[inside]).sum() / (0.5 * np.pi * 1600.0) - 1.0))
    assert off[2] < 1e-3
    assert np.log2(off[0] / off[2]) / 2.0 > 1.5


def test_points_within_reach_arrive_and_the_others_stay() -> None:
    at = np.array([[41.0, 60.0], [30.0, 60.0], [0.0, 60.0]])
    moved, arrived = onto_line(at, circle, np.array([2.0, 2.0, 2.0]))
    assert arrived.tolist() == [True, False, False]
    np.testing.assert_allclose(moved[0], [40.0, 60.0], atol=1e-9)
    np.testing.assert_array_equal(moved[1:], at[1:])


def test_a_move_that_would_turn_a_face_over_is_taken_back() -> None:
    old = np.array([[0.0, 0.0], [2.0, 0.0], [1.0, 1.0], [1.0, -1.0]])
    faces = np.array([[0, 1, 2], [1, 0, 3]])
    new = old.copy()
    new[2] = (1.0, -0.2)
    new[3] = (1.2, -1.0)
    kept = without_flips(old, new, faces)
    assert not kept[2]
    assert kept[3]
