"""Shares and their error: Wilson's interval by published arithmetic, and coverage over draws with known truth."""

import numpy as np
import pytest

from seatmesh.people.counted.share import Sums, share_of, wilson


def sums(w, x):
    return Sums(w.sum(), (w**2).sum(), (w * x).sum(), (w**2 * x).sum(), (w**2 * x**2).sum())


def test_wilson_solves_its_equation():
    """Its ends are the shares whose own normal interval just reaches the one seen (Wilson 1927)."""
    for p, n in ((0.1, 50.0), (0.5, 12.0), (0.97, 400.0)):
        for end in wilson(p, n):
            assert abs(end - p) == pytest.approx(1.959963984540054 * np.sqrt(end * (1 - end) / n))
    assert wilson(0.0, 40.0)[0] == 0.0
    assert wilson(1.0, 40.0)[1] == 1.0


def test_equal_weights_are_plain_counting():
    x = np.repeat([1.0, 0.0], [30, 70])
    share = share_of(sums(np.full(100, 3.0), x))
    assert share.value == pytest.approx(0.3)
    assert share.standard_error == pytest.approx(np.sqrt(0.3 * 0.7 / 100))
    assert share.effective == pytest.approx(100.0)


def test_nobody_counted_is_not_a_share():
    share = share_of(Sums(0.0, 0.0, 0.0, 0.0, 0.0))
    assert np.isnan(share.value)
    assert share.facts()["share"] is None


def test_intervals_hold_the_truth_as_often_as_they_say():
    """2,000 samples of 400 people whose weights go with what they score: 95 % within the error of counting, 1.5."""
    generator = np.random.default_rng(8)
    held = kish_only = 0
    u = generator.normal(size=2_000_000)
    w_all, x_all = np.exp(0.5 * u), (u > 0.8).astype(float)
    truth = (w_all * x_all).sum() / w_all.sum()
    for k in range(2000):
        w, x = w_all[k * 400 : (k + 1) * 400], x_all[k * 400 : (k + 1) * 400]
        share = share_of(sums(w, x))
        held += share.low_95 <= truth <= share.high_95
        low, high = wilson(share.value, w.sum() ** 2 / (w**2).sum())
        kish_only += low <= truth <= high
    assert 0.935 <= held / 2000 <= 0.965
    # Kish's size alone takes weights to have nothing to do with the score, and misses more often.
    assert kish_only < held
