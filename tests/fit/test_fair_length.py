"""The least fair length: found on any measure that falls with the length, or said to be out of reach."""

import numpy as np
import pytest

from seatmesh.fit.fair import fair_length
from seatmesh.fit.fair.fairness import FELT_SLOPE
from seatmesh.solution import Solution


def looked_for(monkeypatch, waviness, least=16.0, steady=True):
    """Look for the least length of a made-up measure; return it, and all lengths that were tried."""
    tried = []

    def made(length):
        tried.append(length)
        return Solution(length, "converged", 1, 0.0)

    monkeypatch.setattr(fair_length, "waviness", lambda seat: FELT_SLOPE + waviness(seat))
    found = fair_length.least_fair(made, least)
    assert found.solution.value == found.length_mm
    assert found.steady == steady
    return found.length_mm, tried


def test_where_all_is_fair_one_is_made(monkeypatch):
    assert looked_for(monkeypatch, lambda _: -0.01) == (16.0, [16.0])
    assert looked_for(monkeypatch, lambda _: 0.0) == (16.0, [16.0])


@pytest.mark.parametrize("right", [16.3, 19.47, 24.99, 25.01, 37.0, 47.9])
@pytest.mark.parametrize("kind", ["line", "root", "steep", "step"])
def test_the_least_is_found_to_the_tolerance_and_on_the_fair_side(monkeypatch, right, kind):
    measures = {
        "line": lambda mm: max(0.003 * (right - mm), -FELT_SLOPE),
        "root": lambda mm: 0.02 * np.sign(right - mm) * np.sqrt(abs(right - mm)),
        "steep": lambda mm: max(0.05 * np.expm1(0.3 * (right - mm)), -FELT_SLOPE),
        "step": lambda mm: 0.02 if mm < right else -1e-9,
    }
    length, tried = looked_for(monkeypatch, measures[kind], steady=kind not in ("step", "root"))
    assert right <= length <= right + fair_length.EXACT_MM
    assert len(tried) <= {"line": 16, "root": 22, "steep": 20, "step": 26}[kind]


def test_where_nothing_is_fair_the_most_is_made(monkeypatch):
    length, tried = looked_for(monkeypatch, lambda _: 0.02)
    assert length == fair_length.MOST_MM == tried[-1]
    assert len(tried) == 13


def test_a_length_is_found_to_a_twentieth_of_a_millimetre_and_hardly_closer(monkeypatch):
    """Between the greatest length that was not fair and the one that is handed back, over sixty steep measures."""
    apart = []
    for right in np.linspace(16.1, 46.9, 60):
        length, tried = looked_for(
            monkeypatch, lambda mm, at=right: max(0.05 * np.expm1(0.3 * (at - mm)), -FELT_SLOPE)
        )
        apart.append(length - max(one for one in tried if one < right))
    assert 0.049 < max(apart) <= 0.05
