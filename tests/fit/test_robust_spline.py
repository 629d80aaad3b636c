from __future__ import annotations

import numpy as np
import pytest

from seatmesh.fit.bounded.robust_spline import HUBER, best_fairness_mm, lay_out, robust_fit
from seatmesh.formats.scan_contents import Raw
from seatmesh.reading.find_front_roll import front_roll_mm
from seatmesh.reading.pose.rim_planes import rim_planes
from seatmesh.reading.quality.coverage import coverage, near_mm
from seatmesh.reading.strays import without_strays
from seatmesh.reading.surface_points import Face
from seatmesh.spline import bending_energy
from seatmesh.surface import front_roll_depth
from seatmesh.wood.blank import Blank

RANDOM = np.random.default_rng(17)


def face_of(x, y, depth):
    return Face(x, y, depth, np.column_stack([x, y]), depth, 2.0)


X, Y = RANDOM.uniform(-100.0, 100.0, 20_000), RANDOM.uniform(50.0, 250.0, 20_000)


def test_the_scatter_is_that_of_the_noise_and_outliers_do_not_count() -> None:
    depth = 10.0 + 0.02 * X - 0.01 * Y
    noise = RANDOM.normal(0.0, 0.2, len(X))
    far = RANDOM.choice(len(X), 400, replace=False)
    noise[far] += 6.0
    layout = lay_out(X, Y, 100.0, 50.0, 250.0)
    fit = robust_fit(layout, depth + noise, 3.0)
    # Unknowns take 340 of 20,000 degrees of freedom; 2 % of points on one side widen the median by 1.3 %.
    assert fit.sigma_mm == pytest.approx(0.2, rel=0.015)
    assert fit.settled
    assert np.all(fit.weight[far] < 0.05)
    away = fit.spline_at(layout) - depth
    assert np.sqrt(np.mean(away**2)) < 0.03
    assert abs(away.mean()) < 0.006


def test_huber_counts_95_percent_of_normal_noise_in_full() -> None:
    """Efficiency 95 % on normal noise at 1.345 (Huber 1981; from memory); 82 % lie within, by the normal law."""
    layout = lay_out(X, Y, 100.0, 50.0, 250.0)
    fit = robust_fit(layout, 10.0 + RANDOM.normal(0.0, 0.2, len(X)), 3.0)
    full = np.mean(fit.weight > 0.95)
    assert HUBER == 1.345
    assert full == pytest.approx(0.82, abs=0.03)


def test_a_crisp_edge_stays_crisp() -> None:
    slope = 0.2 * (X - 20.0)
    layout = lay_out(X, Y, 100.0, 50.0, 250.0)
    fit = robust_fit(layout, np.maximum(slope, 0.0), 1.0)
    deep = X > 20.0
    off = fit.spline_at(layout)[deep] - slope[deep]
    assert np.sqrt(np.mean(off**2)) < 2e-3
    assert np.abs(off).max() < 0.02
    # A least-squares fit through the corner is off by a tenth of a millimetre beside it.
    beside = np.abs(X - 20.0) < 4.0
    assert np.abs(np.maximum(fit.spline_at(layout), 0.0) - np.maximum(slope, 0.0))[beside].max() < 0.02


def test_fairness_follows_the_noise() -> None:
    depth = 10.0 + 2.0 * np.sin(X / 9.0)
    layout = lay_out(X, Y, 100.0, 50.0, 250.0)
    exact = robust_fit(layout, depth, 1.0)
    assert best_fairness_mm(layout, depth, exact, (1.0, 6.0, 12.0)) == 1.0
    loud = 10.0 + np.random.default_rng(3).normal(0.0, 2.0, len(X))
    assert best_fairness_mm(layout, loud, robust_fit(layout, loud, 1.0), (1.0, 6.0, 12.0)) == 12.0


def test_fairness_is_the_bending_energy_to_the_fourth_power_of_a_length() -> None:
    """The minimum balances data and energy: a small step off it along its own bend changes nothing to first order."""
    depth = 10.0 + 2.0 * np.sin(X / 15.0)
    layout = lay_out(X, Y, 100.0, 50.0, 250.0)
    fairness = 8.0
    fit = robust_fit(layout, depth, fairness)
    c = fit.spline.coefficients.ravel()
    off = fit.spline_at(layout) - depth
    assert np.all(fit.weight[np.abs(off) < 0.9 * HUBER * fit.sigma_mm] > 0.5)
    energy = bending_energy(layout.knots_x, layout.knots_y)
    pull = layout.basis.T @ (fit.weight * off) * (layout.area_mm2 / len(depth))
    stiffness = fairness**4 * (energy @ c)
    assert np.linalg.norm(pull + stiffness) < 0.02 * np.linalg.norm(stiffness)


@pytest.mark.parametrize("radius", [0.0, 8.0, 25.0])
def test_the_front_roll_is_found_from_its_points(radius: float) -> None:
    blank = Blank()
    x, y = np.meshgrid(np.arange(-236.0, 237.0, 4.0), np.arange(54.0, 429.5, 2.5))
    hollow = np.maximum(8.0 - (x / 70.0) ** 2 - ((y - 300.0) / 50.0) ** 2, 0.0)
    depth = hollow + front_roll_depth(blank.depth_mm - y, radius)
    face = face_of(x.ravel(), y.ravel(), depth.ravel())
    assert front_roll_mm(face, blank) == pytest.approx(radius, abs=0.1)


def test_coverage_is_the_share_near_a_point_and_the_widest_circle_without_one() -> None:
    blank = Blank(outline="straight-sided")
    x, y = np.meshgrid(np.arange(-239.0, 240.0, 1.0), np.arange(50.0, 430.0, 1.0))
    plan = np.column_stack([x.ravel(), y.ravel()])
    kept = plan[np.hypot(plan[:, 0] - 40.0, plan[:, 1] - 230.0) > 60.0]
    share, hole, middle = coverage(face_of(kept[:, 0], kept[:, 1], kept[:, 0]), blank)
    assert hole == pytest.approx(120.0, abs=3.0)
    assert middle == pytest.approx((40.0, 230.0), abs=2.0)
    unseen = np.pi * (60.0 - near_mm(2.0)) ** 2 / (478.0 * 377.0)
    assert 1.0 - share == pytest.approx(unseen, rel=0.01)
    assert coverage(face_of(*(np.zeros(0),) * 3), blank)[0] == 0.0


def test_a_place_is_seen_within_one_and_a_half_times_the_distance_of_points() -> None:
    assert [near_mm(spacing) for spacing in (0.0, 4.0, 20.0)] == [3.0, 6.0, 9.0]


def test_the_carved_sides_rim_is_among_the_planes_whichever_way_it_lies() -> None:
    blank = Blank()
    x, y = np.meshgrid(np.arange(-236.0, 237.0, 4.0), np.arange(2.0, 429.0, 4.0))
    hollow = np.maximum(12.0 - 12.0 * (x / 200.0) ** 2 - 12.0 * ((y - 220.0) / 150.0) ** 2, 0.0)
    top = np.column_stack([x.ravel(), y.ravel(), -hollow.ravel()])
    under = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, -45.0)])
    for side in (1.0, -1.0):
        points = np.vstack([top, under]) * [1.0, side, side]
        found = rim_planes(points, points, blank.width_mm * blank.depth_mm)
        (rim,) = (one for one in found if one.plane.normal[2] * side > 0.9)
        np.testing.assert_allclose(rim.plane.normal, [0.0, 0.0, side], atol=2e-3)
        assert rim.plane.offset == pytest.approx(0.0, abs=0.3)


def test_points_without_triangles_hang_together_by_nearness() -> None:
    x, y = np.meshgrid(np.arange(0.0, 400.0, 20.0), np.arange(0.0, 400.0, 20.0))
    seat = np.column_stack([x.ravel(), y.ravel(), np.zeros(x.size)])
    crumb = np.array([[500.0, 500.0, 80.0], [505.0, 500.0, 80.0]])
    clean = without_strays(Raw(np.vstack([seat, crumb])))
    assert len(clean.raw.points) == len(seat)
    assert (clean.parts_dropped, clean.points_dropped) == (1, 2)


def test_triangles_that_share_no_corner_are_kept_by_nearness() -> None:
    x, y = np.meshgrid(np.arange(0.0, 400.0, 5.0), np.arange(0.0, 400.0, 5.0))
    first = np.column_stack([x.ravel(), y.ravel(), np.zeros(x.size)])
    soup = np.stack(
        [first, first + np.array([4.0, 0.0, 0.0]), first + np.array([0.0, 4.0, 0.0])], axis=1
    ).reshape(-1, 3)
    clean = without_strays(Raw(soup, np.arange(len(soup)).reshape(-1, 3)))
    assert len(clean.raw.faces) == len(first)
    assert len(clean.raw.points) == len(np.unique(soup, axis=0))


def test_a_front_roll_is_not_guessed_where_its_edge_was_not_seen() -> None:
    x, y = np.meshgrid(np.arange(-236.0, 237.0, 4.0), np.arange(54.0, 424.0, 2.5))
    depth = np.maximum(8.0 - (x / 70.0) ** 2 - ((y - 300.0) / 50.0) ** 2, 0.0)
    assert front_roll_mm(face_of(x.ravel(), y.ravel(), depth.ravel()), Blank()) is None
