"""Conditioning of a normal distribution: its precision form, removal one by one, and SciPy's density."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from seatmesh.body.survey.conditioning import Floats, MeasureReadings, condition, without
from seatmesh.body.survey.population import load_population

Case = tuple[Floats, Floats, MeasureReadings]
READ = np.array([0, 1, 2, 6])


@pytest.fixture
def case() -> Case:
    population = load_population()["female"]
    off = np.array([55.0, 0.21, -18.0, 9.0])
    return (
        population.mean,
        population.covariance,
        MeasureReadings(READ, population.mean[READ] + off, np.array([6.0, 0.015, 8.0, 6.0])),
    )


def test_agrees_with_the_precision_form(case: Case) -> None:
    mean, covariance, readings = case
    seen = condition(*case)
    # Information adds up: P = (C^-1 + H^T R^-1 H)^-1, mean = P (C^-1 m + H^T R^-1 y).
    observe = np.eye(len(mean))[READ]
    noise = np.diag(readings.errors**-2.0)
    posterior = np.linalg.inv(np.linalg.inv(covariance) + observe.T @ noise @ observe)
    expected = posterior @ (np.linalg.solve(covariance, mean) + observe.T @ noise @ readings.values)
    assert seen.mean == pytest.approx(expected, rel=1e-9)
    assert seen.sd == pytest.approx(np.sqrt(np.diag(posterior)), rel=1e-7)


def test_density_agrees_with_scipy(case: Case) -> None:
    mean, covariance, readings = case
    spread = covariance[np.ix_(READ, READ)] + np.diag(readings.errors**2)
    expected = multivariate_normal(mean[READ], spread).logpdf(readings.values)
    assert condition(*case).log_density == pytest.approx(expected, rel=1e-10)


@pytest.mark.parametrize("place", range(4))
def test_expectation_without_a_reading_is_that_of_leaving_it_out(case: Case, place: int) -> None:
    mean, covariance, readings = case
    seen = condition(*case)
    others = condition(mean, covariance, without(readings, place))
    i = READ[place]
    spread = np.hypot(others.sd[i], readings.errors[place])
    assert seen.expected[place] == pytest.approx(others.mean[i], rel=1e-9)
    assert seen.surprise[place] == pytest.approx((readings.values[place] - others.mean[i]) / spread, rel=1e-8)


def test_exact_readings_leave_nothing_open(case: Case) -> None:
    mean, covariance, readings = case
    seen = condition(mean, covariance, MeasureReadings(READ, readings.values, np.zeros(4)))
    assert seen.mean[READ] == pytest.approx(readings.values, rel=1e-12)
    assert seen.sd[READ] == pytest.approx(np.zeros(4), abs=1e-4)


def test_useless_readings_leave_the_population(case: Case) -> None:
    mean, covariance, readings = case
    seen = condition(mean, covariance, MeasureReadings(READ, readings.values, np.full(4, 1e6)))
    assert seen.mean == pytest.approx(mean, rel=1e-6)
    assert seen.sd == pytest.approx(np.sqrt(np.diag(covariance)), rel=1e-6)
