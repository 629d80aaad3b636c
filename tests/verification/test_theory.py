"""Closed forms against the table of check values, and the fast model's balance against them."""

from dataclasses import replace

import numpy as np
import pytest
from closed_forms import confined_over_young, curvature_in_dish, foundation, hertz, thin_incompressible
from orders import LINEAR, table


def test_hertz_c1():
    patch = hertz(100.0, 0.03, 0.49, 150.0)
    assert (patch.radius_mm, patch.approach_mm) == pytest.approx((65.806, 43.304), abs=1e-3)
    assert 1000 * patch.peak_mpa == pytest.approx(16.539, abs=1e-3)


def test_dishes_c2_c4():
    effective = curvature_in_dish(100.0, 200.0)
    flat, dished = (hertz(r, 0.03, 0.49, 150.0).peak_mpa for r in (100.0, effective))
    assert dished / flat == pytest.approx(0.62996, abs=1e-5)
    flat, dished = (foundation(r, 0.06, 40.0, 150.0).peak_mpa for r in (100.0, effective))
    assert dished / flat == pytest.approx(0.70711, abs=1e-5)


def test_foundation_c3():
    patch = foundation(100.0, 0.06, 40.0, 150.0)
    assert (patch.approach_mm, patch.radius_mm) == pytest.approx((17.841, 59.735), abs=1e-3)
    assert 1000 * patch.peak_mpa == pytest.approx(26.762, abs=1e-3)


@pytest.mark.parametrize(("poisson", "ratio"), [(0.45, 3.793), (0.49, 17.114), (0.499, 167.1)])
def test_confined_modulus_c5(poisson, ratio):
    assert confined_over_young(poisson) == pytest.approx(ratio, rel=3e-4)


@pytest.mark.parametrize(("slip", "radius", "peak"), [(3.0, 61.009, 38.483), (12.0, 48.423, 61.089)])
def test_thin_incompressible_layer_c6(slip, radius, peak):
    patch = thin_incompressible(100.0, 0.01, 15.0, 150.0, slip)
    assert patch.radius_mm == pytest.approx(radius, abs=1e-3)
    assert 1000 * patch.peak_mpa == pytest.approx(peak, abs=1e-3)


def test_no_smooth_body_gathers_what_a_bone_does_c8():
    shares = [
        hertz(100.0, 0.03, 0.49, 150.0).hottest_8_percent,
        foundation(100.0, 0.06, 40.0, 150.0).hottest_8_percent,
        thin_incompressible(100.0, 0.01, 15.0, 150.0, 3.0).hottest_8_percent,
    ]
    assert shares == pytest.approx([0.118, 0.154, 0.221], abs=1e-3)
    # S2 measured nearly half: a single smooth body explains none of it.
    assert max(shares) < 0.3


def test_a_second_solver_agrees_with_hertz_c1():
    tamaas = pytest.importorskip("tamaas")
    tamaas.set_log_level(tamaas.LogLevel.error)
    n, size = 162, 0.36
    model = tamaas.ModelFactory.createModel(tamaas.model_type.basic_2d, [size, size], [n, n])
    model.E, model.nu = 30e3, 0.49
    side = np.linspace(-size / 2, size / 2, n, endpoint=False)
    x, y = np.meshgrid(side, side)
    tamaas.PolonskyKeerRey(model, -(x**2 + y**2) / 0.2, 1e-9).solve(150.0 / size**2)
    # Periodic images of the patch lift the half space a little: 3 %.
    assert model.traction.max() / 1000.0 == pytest.approx(16.539, rel=0.03)


def test_balance_converges_to_c3_and_c4():
    for row in table():
        assert row.order > 1.6, row
        assert row.errors[-1] < 2e-4, row


def test_a_law_two_percent_off_is_found_out():
    for row in table(replace(LINEAR, modulus_mpa=1.02 * LINEAR.modulus_mpa)):
        assert row.errors[-1] > 2e-3, row
