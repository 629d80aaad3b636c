"""More readings than a copy's likelihood takes in: as many of them are taken, evenly, from the first to the last."""

import numpy as np
import pytest

from seatmesh.gauge.bar.placings import Placings
from seatmesh.gauge.copy import reading_parts
from seatmesh.gauge.copy.hollow_prior import hollow_prior
from seatmesh.gauge.copy.reading_parts import ReadingParts, likeliest, likelihood, usual_variances

N = 25


@pytest.fixture(scope="module")
def parts():
    x, y = np.tile(np.linspace(-160.0, 160.0, 5), 5), np.repeat(np.linspace(80.0, 320.0, 5), 5)
    rows, of = np.unique(y, return_inverse=True)
    off = 10.0 - 10.0 * (x / 200.0) ** 2 + np.random.default_rng(3).normal(0.0, 0.2, N)
    placings = Placings(of, x, rows, np.ones(5, dtype=bool), True, 200.0)
    none = np.zeros(N, dtype=bool)
    prior = hollow_prior(200.0, 50.0, 400.0)
    return ReadingParts(x, y, off, placings, ~none, none, none, prior, np.zeros(5, dtype=bool))


def test_every_second_of_25_readings_speaks_where_13_may(parts, monkeypatch):
    cut = np.ones(N, dtype=bool)
    some = parts.some(np.arange(0, N, 2))
    expected = likelihood(some, cut[::2], usual_variances())
    found = likeliest(some, cut[::2], usual_variances())
    monkeypatch.setattr(reading_parts, "MOST_READINGS", 13)
    assert likelihood(parts, cut, usual_variances()) == pytest.approx(expected)
    assert likeliest(parts, cut, usual_variances()).log == pytest.approx(found.log)
