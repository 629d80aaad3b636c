"""The finite elements against theory: one state of uniform strain at half height, and a knob on a bonded layer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from layer_theory import bonded_layer, dimitriadis
from ogden import Ogden, volume_ratio
from press_assembly import assemble, flat_ground, round_ground
from press_discrete import Discrete, discretise
from press_figures import figures, profile
from press_mesh import buttock, flat_layer, thigh
from press_solver import press_through, press_to_approach

MU = 10.0


def _with_sliding_bone(d: Discrete) -> Discrete:
    """Let tissue slide along the bone, but for its first node, which is on the axis."""
    sideways = d.bone - 1
    return replace(d, fixed=np.append(np.setdiff1d(d.fixed, sideways), sideways[:1]))


@pytest.mark.parametrize("alpha", [2.0, 5.0])
def test_a_disc_pressed_to_half_its_height(alpha: float) -> None:
    """Strained alike everywhere: force pi R^2 (2 mu/alpha) (l^(-alpha/2 - 1) - l^(alpha - 1)) at l = 0.5."""
    d = _with_sliding_bone(discretise(flat_layer(20.0, 30.0, 6.0, 3)))
    start = None
    for approach in np.linspace(2.0, 10.0, 5):
        solution = press_to_approach(d, Ogden(MU, alpha), float(approach), start=start)
        assert solution.converged, solution.verdict
        start = solution.value.unknowns * (approach + 2.0) / approach
    left = 0.5
    expected = np.pi * 30.0**2 * 2e-3 * MU / alpha * (left ** (-alpha / 2 - 1) - left ** (alpha - 1))
    assert solution.value.load_n == pytest.approx(expected, rel=2e-3)


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


@pytest.mark.parametrize("contact", [0.3, 0.6, 1.0])
def test_elements_against_the_layer_theory(contact: float) -> None:
    """Force within 1 % on a coarse mesh and 0.35 % on a finer one, from a contact of 0.3 to 1 thickness."""
    exact = bonded_layer(contact * 10.0, 2000.0, 10.0, MU)
    errors = []
    for layers in (4, 12):
        d = discretise(flat_layer(10.0, 60.0, contact * 10.0 / (1.5 * layers), layers))
        solution = press_to_approach(d, Ogden(MU, 2.0), exact.approach_mm, round_ground(2000.0))
        assert solution.converged
        errors.append(abs(solution.value.load_n / exact.force_n - 1.0))
    assert errors[0] < 0.01
    assert errors[1] < 0.0035


@pytest.mark.parametrize("part", ["sit bone", "thigh"])
def test_balance_volume_and_the_profile_carry_the_load(part: str) -> None:
    material = Ogden(MU, 5.0)
    turned = part == "sit bone"
    d = discretise(buttock(40.0, 18.0, fineness=1) if turned else thigh(60.0, 14.0, fineness=1))
    load = 100.0 if turned else 0.4
    (state,) = press_through(d, material, [load])
    residual, _, force = assemble(d, material, flat_ground, state.unknowns)
    assert force == pytest.approx(load, rel=1e-6)
    assert -residual[d.bone].sum() == pytest.approx(load, rel=1e-5)
    of_element = np.einsum("eqfi,ei->eqf", d.strain, state.unknowns[d.dofs_u])
    J, _, _ = volume_ratio(of_element + np.array([1.0, 0.0, 0.0, 1.0, 1.0]))
    assert (d.weight * J).sum() == pytest.approx(d.weight.sum(), rel=1e-9)
    r, p = profile(d, material, state.unknowns)
    ring = 2 * np.pi * r if turned else np.full_like(r, 2.0)
    assert np.trapezoid(ring * p, r) * 1e-3 == pytest.approx(load, rel=0.02)


def test_load_scales_with_the_modulus() -> None:
    """Twice the modulus and twice the load: the same shape, twice the pressure."""
    d = discretise(buttock(32.5, 15.0, fineness=1))
    (soft,) = press_through(d, Ogden(5.0, 5.0), [50.0])
    (hard,) = press_through(d, Ogden(10.0, 5.0), [100.0])
    assert hard.approach_mm == pytest.approx(soft.approach_mm, rel=1e-6)
    assert profile(d, Ogden(10.0, 5.0), hard.unknowns)[1] == pytest.approx(
        2 * profile(d, Ogden(5.0, 5.0), soft.unknowns)[1], rel=1e-5, abs=1e-6
    )


def test_figures_of_a_hertz_patch() -> None:
    """Check-values C8: 0.118 of the load on the hottest 8 %; the mean over 1 cm2 by its integral."""
    r = np.linspace(0.0, 40.0, 4001)
    p = 30.0 * np.sqrt(np.maximum(1.0 - (r / 40.0) ** 2, 0.0))
    load = 2 / 3 * np.pi * 40.0**2 * 30.0 * 1e-3
    found = figures(r, p, load)
    assert found.share == pytest.approx(0.118, abs=5e-4)
    assert found.touch_area == pytest.approx(np.pi * 16.0, rel=1e-3)
    inner = 100.0 / np.pi / 1600.0
    assert found.peak_kpa == pytest.approx(20.0 * (1.0 - (1.0 - inner) ** 1.5) / inner, rel=1e-4)
    assert found.above_mm == pytest.approx(40.0 * np.sqrt(1.0 - (0.67 / 30.0) ** 2), rel=1e-3)
