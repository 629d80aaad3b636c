"""The theory of a bonded layer, which the elements of a seated body are checked against, against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from layer_theory import bonded_layer, dimitriadis

MU = 10.0


def test_hertz_is_the_limit_of_the_layer_theory() -> None:
    """Check-values C1 (Johnson 1985, 4.2): a^2 = R d and F = (4/3) E* sqrt(R) d^1.5, E* = 4 mu."""
    thick = bonded_layer(1.0, 100.0, 1e5, MU)
    assert thick.approach_mm == pytest.approx(1.0 / 100.0, rel=1e-4)
    assert thick.force_n == pytest.approx(4 / 3 * 4e-3 * MU * 10.0 * thick.approach_mm**1.5, rel=1e-4)


def test_dimitriadis_series() -> None:
    """Check-values C7: at x = 0.5 the factor on Hertz is 1.98947."""
    hertz = 16 / 9 * 3e-3 * MU * np.sqrt(200.0) * 0.125**1.5
    assert dimitriadis(0.125, 200.0, 10.0, MU) / hertz == pytest.approx(1.98947, abs=1e-5)


@pytest.mark.parametrize(("contact", "short_by"), [(0.05, 0.001), (0.3, 0.025), (0.6, 0.09)])
def test_dimitriadis_against_the_theory(contact: float, short_by: float) -> None:
    """The series (C7) is exact for a small contact and falls short as it grows: 2 % at x 0.27, 8 % at x 0.49."""
    exact = bonded_layer(contact * 10.0, 2000.0, 10.0, MU)
    ratio = exact.force_n / dimitriadis(exact.approach_mm, 2000.0, 10.0, MU)
    assert 1.0 <= ratio <= 1.0 + short_by
    if contact < 0.1:
        assert ratio == pytest.approx(1.0, abs=1e-3)


def test_the_thin_limit_of_the_theory() -> None:
    """Check-values C6 on a frictionless knob (c = 3): force over pi c G a^6 / (96 R h^3) tends to 1 as it thins."""
    thinness = np.array([6.0, 8.0, 10.0, 12.0, 16.0])
    ratios = []
    for contact in thinness:
        exact = bonded_layer(contact, 2000.0, 1.0, MU, points=120)
        ratios.append(exact.force_n / (3e-3 * MU * np.pi * contact**6 / (96.0 * 2000.0)))
    assert np.polyfit(1.0 / thinness, ratios, 4)[-1] == pytest.approx(1.0, abs=0.005)
