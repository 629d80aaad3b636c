"""The spline against scipy's own evaluation, exact integrals and its convex hull."""

import numpy as np
import pytest
from scipy.interpolate import BSpline, RectBivariateSpline

from seatmesh.spline import (
    BicubicSpline,
    bending_energy,
    clamped_knots,
    design_matrix,
    local_basis,
    turning_energy,
)


def random_spline(seed=0):
    rng = np.random.default_rng(seed)
    knots_x, knots_y = clamped_knots(-60.0, 60.0, 10), clamped_knots(50.0, 130.0, 7)
    return BicubicSpline(knots_x, knots_y, rng.normal(size=(13, 10)))


@pytest.mark.parametrize("derivative", [0, 1, 2, 3])
def test_basis_and_its_derivatives_are_a_second_implementation_s(derivative):
    knots = clamped_knots(-60.0, 60.0, 10)
    at = np.concatenate([np.unique(knots), np.linspace(-59.0, 59.0, 31)])
    theirs = BSpline(knots, np.eye(13), 3)(at, nu=derivative)
    assert design_matrix(at, knots, derivative).toarray() == pytest.approx(theirs, abs=1e-13)


@pytest.mark.parametrize("beyond", [-60.001, 60.001, np.nan])
def test_beyond_its_knots_there_is_no_basis(beyond):
    with pytest.raises(ValueError, match="between the ends"):
        local_basis(np.array([0.0, beyond]), clamped_knots(-60.0, 60.0, 10))


def test_open_grid_and_scattered_points_agree():
    spline = random_spline()
    x, y = np.linspace(-60, 60, 37), np.linspace(50, 130, 23)
    grid = spline(x[None, :], y[:, None])
    columns, rows = np.meshgrid(x, y)
    assert grid == pytest.approx(spline(columns, rows), abs=1e-12)
    assert grid.shape == (23, 37)


def test_interpolates_like_a_second_implementation():
    x, y = np.linspace(-60, 60, 13), np.linspace(50, 130, 10)
    values = np.sin(x / 25)[:, None] * np.cos(y / 30)[None, :]
    theirs = RectBivariateSpline(x, y, values)
    knots_x, knots_y = theirs.get_knots()
    ours = BicubicSpline(knots_x, knots_y, theirs.get_coeffs().reshape(13, 10))
    at = np.linspace(-55, 55, 11), np.linspace(52, 128, 9)
    assert ours(at[0][None, :], at[1][:, None]) == pytest.approx(theirs(*at).T, abs=1e-12)
    slope = ours(at[0][None, :], at[1][:, None], dx=1, dy=1)
    assert slope == pytest.approx(theirs(*at, dx=1, dy=1).T, abs=1e-10)


def test_bending_energy_of_a_quadratic_is_exact():
    # S = x^2 + x y: Sxx = 2, Sxy = 1, so the integrand is 4 + 2 everywhere.
    knots_x, knots_y = clamped_knots(-60.0, 60.0, 6), clamped_knots(50.0, 130.0, 4)
    x, y = np.linspace(-60, 60, 60), np.linspace(50, 130, 60)
    basis = np.einsum(
        "ai,bj->abij", design_matrix(x, knots_x).toarray(), design_matrix(y, knots_y).toarray()
    ).reshape(3600, -1)
    wanted = (x[:, None] ** 2 + x[:, None] * y[None, :]).ravel()
    c = np.linalg.lstsq(basis, wanted, rcond=None)[0]
    assert c @ bending_energy(knots_x, knots_y) @ c == pytest.approx(6.0 * 120.0 * 80.0, rel=1e-9)


def test_turning_energy_of_a_cubic_is_exact():
    # S = x^3 / 6 + x^2 y / 2: Sxxx = 1, Sxxy = 1, so the integrand is 1 + 3 everywhere; bending alone costs nothing.
    knots_x, knots_y = clamped_knots(-60.0, 60.0, 6), clamped_knots(50.0, 130.0, 4)
    x, y = np.linspace(-60, 60, 60), np.linspace(50, 130, 60)
    basis = np.einsum(
        "ai,bj->abij", design_matrix(x, knots_x).toarray(), design_matrix(y, knots_y).toarray()
    ).reshape(3600, -1)
    cubic = (x[:, None] ** 3 / 6.0 + 0.5 * x[:, None] ** 2 * y[None, :]).ravel()
    bent = (x[:, None] ** 2 + x[:, None] * y[None, :]).ravel()
    for wanted, energy in ((cubic, 4.0 * 120.0 * 80.0), (bent, 0.0)):
        c = np.linalg.lstsq(basis, wanted, rcond=None)[0]
        assert c @ turning_energy(knots_x, knots_y) @ c == pytest.approx(energy, rel=1e-8, abs=1e-6)


def test_a_spline_stays_inside_its_coefficients():
    spline = random_spline(4)
    values = spline(np.linspace(-60, 60, 301)[None, :], np.linspace(50, 130, 301)[:, None])
    assert values.max() <= spline.coefficients.max()
    assert values.min() >= spline.coefficients.min()


def test_points_beyond_the_rectangle_take_its_edge():
    spline = random_spline()
    assert spline(100.0, 90.0) == pytest.approx(spline(60.0, 90.0))
    assert spline(0.0, 0.0) == pytest.approx(spline(0.0, 50.0))


def test_knots_mirror_each_other_to_the_bit():
    knots = clamped_knots(-231.7, 231.7, 38)
    assert np.array_equal(knots, -knots[::-1])
