"""Quantiles of mixtures, against sampling and against SciPy's normal distribution."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from seatmesh.body.survey.mixture import Mixture

TWO = Mixture(np.array([0.3, 0.7]), np.array([360.0, 415.0]), np.array([14.0, 18.0]))


@pytest.mark.parametrize("probability", [0.05, 0.3, 0.5, 0.95])
def test_quantiles_agree_with_sampling(probability: float) -> None:
    generator = np.random.default_rng(7)
    part = generator.random(1_000_000) < 0.3
    sample = np.where(part, generator.normal(360, 14, len(part)), generator.normal(415, 18, len(part)))
    # A sampled quantile has a standard error of 0.07 mm here at most (least density 0.007 / mm).
    assert TWO.quantile(probability) == pytest.approx(np.quantile(sample, probability), abs=0.3)


@pytest.mark.parametrize("probability", [0.001, 0.05, 0.5, 0.95, 0.999])
def test_quantiles_solve_the_distribution(probability: float) -> None:
    value = TWO.quantile(probability)
    below = 0.3 * norm.cdf(value, 360, 14) + 0.7 * norm.cdf(value, 415, 18)
    assert below == pytest.approx(probability, abs=1e-9)


def test_standard_deviation_is_that_of_the_moments() -> None:
    mean = 0.3 * 360 + 0.7 * 415
    second = 0.3 * (14**2 + 360**2) + 0.7 * (18**2 + 415**2)
    assert TWO.sd == pytest.approx(np.sqrt(second - mean**2), rel=1e-12)


def test_measure_reports_the_mixture_and_not_a_normal_around_its_median() -> None:
    measure = TWO.measure()
    assert measure.origin == "estimated"
    assert (measure.low_90, measure.value, measure.high_90) == tuple(
        TWO.quantile(p) for p in (0.05, 0.5, 0.95)
    )
    assert measure.low_90 > measure.value - 1.645 * measure.standard_error + 5.0 or (
        measure.high_90 < measure.value + 1.645 * measure.standard_error - 5.0
    )


def test_one_part_is_a_plain_normal() -> None:
    one = Mixture(np.array([1.0]), np.array([400.0]), np.array([20.0]))
    assert one.quantile(0.95) == pytest.approx(norm.ppf(0.95, 400, 20), rel=1e-12)
    assert one.measure().interval_90 is None
    assert (one.measure().value, one.measure().standard_error) == (400.0, 20.0)


@pytest.mark.parametrize("weight", [0.0, 1e-300, 1.0])
def test_a_part_without_weight_does_not_matter(weight: float) -> None:
    lopsided = Mixture(np.array([weight, 1.0 - weight]), np.array([360.0, 415.0]), np.array([14.0, 18.0]))
    sole = (360.0, 14.0) if weight == 1.0 else (415.0, 18.0)
    assert lopsided.quantile(0.05) == pytest.approx(norm.ppf(0.05, *sole), abs=1e-6)


def test_equal_parts_are_one() -> None:
    same = Mixture(np.array([0.5, 0.5]), np.array([1.0, 1.0]), np.array([2.0, 2.0]))
    assert same.quantile(0.95) == pytest.approx(norm.ppf(0.95, 1, 2), rel=1e-9)
