"""What a robust spline takes for flat, for scatter and for an outlier, and how it is laid out: written out in full."""

from types import SimpleNamespace

import numpy as np
import pytest
import scipy.sparse as sp

from seatmesh.fit.bounded import robust_spline
from seatmesh.fit.bounded.programme import programme_over
from seatmesh.fit.bounded.robust_spline import RobustFit, best_fairness_mm, lay_out, robust_fit
from seatmesh.gauge.copy.hollow_prior import hollow_prior


@pytest.mark.parametrize("half", [240.0, 246.0, 251.0])
def test_no_span_between_knots_is_wider_than_12_mm_and_none_is_cut_for_nothing(half):
    depth = 1.5 * half
    for made in (
        programme_over(half, 50.0, 50.0 + depth),
        hollow_prior(half, 50.0, 50.0 + depth),
        lay_out(np.zeros(1), np.full(1, 60.0), half, 50.0, 50.0 + depth),
    ):
        across, along = (np.diff(np.unique(knots)) for knots in (made.knots_x, made.knots_y))
        assert len(across) == 2 * np.ceil(half / 12.0 - 1e-9)
        assert len(along) == np.ceil(depth / 12.0 - 1e-9)


def test_points_that_the_target_is_compared_at_are_6_mm_apart_at_most():
    for half in (240.0, 243.0, 245.0):
        made = programme_over(half, 50.0, 50.0 + half)
        assert len(made.x_mm) == len(made.y_mm) == np.ceil(half / 6.0 - 1e-9) + 1


def own_values(monkeypatch, answers):
    """A layout in which each point has an unknown of its own, and fits that give stated values; their weights."""
    asked, left = [], list(answers)

    def told(layout, depth, weight, fairness):
        asked.append(np.asarray(weight, dtype=float))
        return np.array(left.pop(0) if len(left) > 1 else left[0], dtype=float)

    monkeypatch.setattr(robust_spline, "least_squares", told)
    n = len(answers[0])
    knots = np.zeros(5), np.zeros(n + 4)
    return SimpleNamespace(basis=sp.eye_array(n).tocsr(), knots_x=knots[0], knots_y=knots[1]), asked


def test_wood_is_flat_up_to_three_deviations_and_held_a_little_where_the_spline_lies_just_below(monkeypatch):
    """Five of nine points lie 0.1 mm off: the median tells a deviation of 0.14826 mm, three are 0.4448 mm."""
    values = np.array([1.0] * 5 + [-0.44, -0.45, -1.0, -1.0])
    depth = np.array([1.1] * 5 + [0.43, 0.43, 0.44, 0.45])
    layout, asked = own_values(monkeypatch, [values])
    robust_fit(layout, depth, 1.0, rounds=2)
    pull = asked[1]
    assert pull[5] == 0.3, "just below flat wood"
    assert pull[6] == 0.0, "well below"
    assert pull[7] == 0.0, "flat"
    assert pull[8] > 0.0, "carved"


def test_no_scatter_is_taken_for_less_than_two_hundredths(monkeypatch):
    layout, _ = own_values(monkeypatch, [np.ones(6)])
    assert robust_fit(layout, np.full(6, 1.001), 1.0).sigma_mm == 0.02


@pytest.mark.parametrize(("sigma", "limit"), [(0.02, 1.0), (0.2, 2.0)])
def test_what_stands_off_by_ten_deviations_and_a_millimetre_does_not_count(sigma, limit):
    """Tukey's biweight times Huber's weight, 1.345 deviations over the residual (from memory)."""
    for share in (0.5, 0.9, 0.99):
        got = robust_spline._weights(np.array([share * limit]), sigma, True)[0]
        assert got == pytest.approx(1.345 * sigma / (share * limit) * (1.0 - share**2) ** 2)
    assert robust_spline._weights(np.array([1.01 * limit]), sigma, True)[0] == 0.0


def test_every_fifth_point_is_held_out_and_counts_up_to_three_deviations(monkeypatch):
    """One far outlier, which counts 9 variances, weighs between two points 2.1 and two 2.15 deviations off."""
    depth = np.full(10, 5.0)
    first = RobustFit(SimpleNamespace(coefficients=depth), 0.1, np.ones(10), True)
    outlier, choices = depth.copy(), (1.0, 2.0)
    outlier[5] += 4.0
    for off, chosen in ((0.21, 2.0), (0.215, 1.0)):
        both = depth.copy()
        both[[0, 5]] += off
        layout, asked = own_values(monkeypatch, [outlier, both])
        assert best_fairness_mm(layout, depth, first, choices) == chosen
        assert np.flatnonzero(asked[0] == 0.0).tolist() == [0, 5]
