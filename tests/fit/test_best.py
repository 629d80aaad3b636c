"""The gradient through the balance, against finite differences; the best shape against the closed form."""

import numpy as np
import pytest

from seatmesh import Seat, estimate_body
from seatmesh.fit import best
from seatmesh.fit.fairness import undulations
from seatmesh.fit.hollow import Guest, fair, prepare
from seatmesh.fit.wishes import Wishes
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over


def guest(sex, stature, mass):
    sitter = lay_over(estimate_body(sex, stature, mass), Seat())
    return Guest(sitter, press(sitter, Seat()))


@pytest.fixture(scope="module")
def case():
    guests = [guest("male", 1760.0, 78.0), guest("female", 1620.0, 70.0)]
    fit, first = fair(prepare(guests, Seat(), Wishes()), 18.0)
    return guests, fit, first


def test_gradient_runs_through_the_balance(case):
    guests, fit, first = case
    half = (fit.programme.shape[0] + 1) // 2
    c = first.value.hollow.coefficients[:half].ravel()
    surface = best.Surface.over(fit, guests[0].sitter)
    peaks = best._peaks(guests, fit, first.value)

    def value(c):
        return peaks(surface.depth(c)[0])[0]

    _, by_depth = peaks(surface.depth(c)[0])
    gradient = surface.basis.T @ (by_depth * surface.depth(c)[1])
    rng = np.random.default_rng(2)
    for _ in range(3):
        way = rng.normal(size=len(c))
        slope = (value(c + 1e-3 * way) - value(c - 1e-3 * way)) / 2e-3
        assert gradient @ way == pytest.approx(slope, rel=1e-3)


def test_smooth_peak_is_near_the_peak(case):
    guests, fit, first = case
    surface = best.Surface.over(fit, guests[0].sitter)
    half = (fit.programme.shape[0] + 1) // 2
    depth, _ = surface.depth(first.value.hollow.coefficients[:half].ravel())
    peaks = best._peaks(guests[:1], fit, first.value)
    upright = best.Peaks(peaks.pressed[:1], [None])
    smooth = upright(depth)[0] / upright.pressed[0].weight * 1000.0
    assert smooth == pytest.approx(press(guests[0].sitter, first.value).figures.peak_kpa, rel=0.08)


def test_best_is_better_fair_and_inside_its_bounds(case):
    guests, fit, first = case
    found = best.best_hollow(fit, guests, 18.0, first)
    assert best.weighted_peak(guests, found.value) < best.weighted_peak(guests, first.value)
    assert undulations(found.value) == 0
    assert np.all(found.value.hollow.coefficients <= fit.upper + 1e-12)
