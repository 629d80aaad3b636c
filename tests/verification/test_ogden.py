"""The tissue's law against closed forms and finite differences."""

from __future__ import annotations

import numpy as np
import pytest
from ogden import Ogden, volume_ratio


def _gradients(spread: float, seed: int = 7) -> np.ndarray:
    noise = np.random.default_rng(seed).standard_normal((6, 5))
    return np.array([1.0, 0.0, 0.0, 1.0, 1.0]) + spread * noise


@pytest.mark.parametrize("alpha", [2.0, 5.0, 14.4])
@pytest.mark.parametrize("spread", [0.15, 1e-9])
def test_tangent_is_the_derivative_of_stress(alpha: float, spread: float) -> None:
    material, F, step = Ogden(3.0, alpha), _gradients(spread), 1e-6
    _, tangent = material.stress_and_tangent(F)
    ahead = [material.stress_and_tangent(F + step * unit)[0] for unit in np.eye(5)]
    behind = [material.stress_and_tangent(F - step * unit)[0] for unit in np.eye(5)]
    differences = np.stack([(a - b) / (2 * step) for a, b in zip(ahead, behind, strict=True)], axis=-1)
    assert np.abs(tangent - differences).max() < 1e-7 * np.abs(tangent).max()


def test_derivatives_of_the_volume_ratio() -> None:
    F, step = _gradients(0.2), 1e-6
    _, first, second = volume_ratio(F)
    for i, unit in enumerate(np.eye(5)):
        ahead, behind = volume_ratio(F + step * unit), volume_ratio(F - step * unit)
        assert first[:, i] == pytest.approx((ahead[0] - behind[0]) / (2 * step), abs=1e-8)
        assert second[:, i] == pytest.approx((ahead[1] - behind[1]) / (2 * step), abs=1e-8)


def test_neo_hookean_stress_is_mu_times_f_less_its_inverse_transpose() -> None:
    F = _gradients(0.15)
    J, G, _ = volume_ratio(F)
    stress, _ = Ogden(3.0, 2.0).stress_and_tangent(F)
    assert stress == pytest.approx(3.0 * (F - G / J[:, None]), rel=1e-12)


@pytest.mark.parametrize("stretch", [0.4, 0.8, 1.7])
@pytest.mark.parametrize("alpha", [2.0, 5.0])
def test_pull_along_one_axis(alpha: float, stretch: float) -> None:
    """Ogden 1972: nominal stress (2 mu/alpha) (l^(alpha - 1) - l^(-alpha/2 - 1)) of an incompressible bar."""
    side = stretch**-0.5
    F = np.array([[side, 0.0, 0.0, stretch, side]])
    stress, _ = Ogden(3.0, alpha).stress_and_tangent(F)
    pressure = -stress[0, 0] / (stretch * side)
    along = stress[0, 3] + pressure * side**2
    expected = 6.0 / alpha * (stretch ** (alpha - 1.0) - stretch ** (-alpha / 2 - 1.0))
    assert along == pytest.approx(expected, rel=1e-12)


def test_a_turn_alone_makes_no_energy_conjugate_work() -> None:
    """Objectivity: after a rotation the stress is the rotated stress."""
    F = _gradients(0.15)
    c, s = np.cos(0.7), np.sin(0.7)
    turn = np.array([[c, -s], [s, c]])
    turned = F.copy()
    turned[:, :4] = (turn @ F[:, :4].reshape(-1, 2, 2)).reshape(-1, 4)
    stress = Ogden(3.0, 5.0).stress_and_tangent(F)[0]
    stress_turned = Ogden(3.0, 5.0).stress_and_tangent(turned)[0]
    expected = (turn @ stress[:, :4].reshape(-1, 2, 2)).reshape(-1, 4)
    assert stress_turned[:, :4] == pytest.approx(expected, rel=1e-11)
    assert stress_turned[:, 4] == pytest.approx(stress[:, 4], rel=1e-11)
