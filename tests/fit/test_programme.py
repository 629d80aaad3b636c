"""The quadratic programme against scipy's bounded least squares, a second solver."""

import numpy as np
import pytest
import scipy.sparse as sp
from scipy.optimize import lsq_linear

from seatmesh.fit.bounded.programme import TURNING_SHARE, fit, programme_over, stray_hessian
from seatmesh.spline import BicubicSpline, bending_energy


def problem():
    programme = programme_over(90.0, 50.0, 150.0)
    x, y = np.meshgrid(programme.x_mm, programme.y_mm)
    wanted = 12.0 - (x / 20.0) ** 2 - ((y - 100.0) / 15.0) ** 2
    weight = np.where(wanted > 0, 1.0, 0.1)
    shape = programme.shape
    return programme, wanted, weight, np.full(shape, -5.0), np.full(shape, 9.0)


def test_agrees_with_a_second_solver():
    programme, wanted, weight, lower, upper = problem()
    ours = fit(programme, wanted, weight, 8.0, lower, upper)
    assert ours.converged
    cell = (programme.x_mm[1] - programme.x_mm[0]) * (programme.y_mm[1] - programme.y_mm[0])
    # Bending, and the change of bending over lengths 1.15 times as long.
    energy = (programme.energy * 8.0**4 + programme.turning * (1.15 * 8.0) ** 6).toarray()
    values, vectors = np.linalg.eigh(energy)
    root = (vectors * np.sqrt(np.maximum(values, 0.0))).T
    rows = np.sqrt(2.0 * weight.ravel() * cell)
    stacked = np.vstack([programme.basis.toarray() * rows[:, None], root])
    half = (programme.shape[0] + 1) // 2
    theirs = lsq_linear(
        stacked,
        np.concatenate([wanted.ravel() * rows, np.zeros(len(root))]),
        bounds=(lower[:half].ravel(), upper[:half].ravel()),
        method="bvls",
    )
    assert theirs.success
    assert ours.value.coefficients[:half].ravel() == pytest.approx(theirs.x, abs=2e-3)
    assert np.any(np.isclose(theirs.x, 9.0)), "a bound is at work"


def test_squares_of_rows_are_added_up_as_a_whole_matrix_would_be():
    programme, _, weight, _, _ = problem()
    rows = programme.basis.toarray()
    whole = 2.0 * programme.cell_mm2 * (rows.T * weight.ravel()) @ rows
    whole += 8.0**4 * programme.energy.toarray() + (TURNING_SHARE * 8.0) ** 6 * programme.turning.toarray()
    ours = stray_hessian(programme, weight, 8.0).toarray()
    assert ours == pytest.approx(whole, rel=1e-12, abs=1e-9 * np.abs(whole).max())


@pytest.mark.parametrize(("dx", "dy"), [(0, 0), (1, 0), (0, 1), (2, 1)])
def test_rows_stand_for_both_sides(dx, dy):
    programme = problem()[0]
    rng = np.random.default_rng(5)
    half = rng.normal(size=programme.mirror.shape[1])
    spline = BicubicSpline(
        programme.knots_x, programme.knots_y, (programme.mirror @ half).reshape(programme.shape)
    )
    x, y = rng.uniform(-90.0, 90.0, 40), rng.uniform(50.0, 150.0, 40)
    x[:4] = (0.0, 3.0, -3.0, 90.0)
    rows = programme.rows_at(x, y, dx, dy)
    assert rows @ half == pytest.approx(spline(x, y, dx, dy), abs=1e-11)
    again = programme.rows_at(x.copy(), y.copy(), dx, dy)
    assert np.array_equal(again.toarray(), rows.toarray())


def test_mirrored_and_inside_its_bounds():
    programme, wanted, weight, lower, upper = problem()
    c = fit(programme, wanted, weight, 8.0, lower, upper).value.coefficients
    assert np.array_equal(c, c[::-1])
    assert np.all((c >= lower) & (c <= upper))


def test_without_bounds_a_fair_surface_is_met_exactly():
    # A plane tilted along y costs no bending energy and is in the spline's space.
    programme, _, weight, _, _ = problem()
    wanted = np.broadcast_to(0.1 * programme.y_mm[:, None], weight.shape)
    wide = np.full(programme.shape, 100.0)
    surface = fit(programme, wanted, weight, 20.0, -wide, wide).value
    assert surface(33.0, 77.0) == pytest.approx(7.7, abs=1e-4)


def test_symmetric_energy_is_that_of_both_halves():
    programme, *_ = problem()
    rng = np.random.default_rng(5)
    unknowns = rng.normal(size=programme.energy.shape[0])
    full = programme.mirror @ unknowns
    both = full @ sp.csr_array(bending_energy(programme.knots_x, programme.knots_y)) @ full
    assert unknowns @ programme.energy @ unknowns == pytest.approx(both)


@pytest.mark.parametrize(
    ("half_width", "long"), [(240.0, 384.0), (240.1, 384.1), (247.0, 373.0), (251.5, 395.5)]
)
def test_no_span_is_longer_than_12_mm_and_no_point_farther_than_6_mm(half_width, long):
    programme = programme_over(half_width, 50.0, 50.0 + long)
    for knots, extent in ((programme.knots_x, 2.0 * half_width), (programme.knots_y, long)):
        spans = np.diff(np.unique(knots))
        assert spans.max() <= 12.0 + 1e-9
        # As few as that takes, an even number across.
        assert len(spans) < extent / 12.0 + 2.0
        assert spans == pytest.approx(spans[0])
    for points, extent in ((programme.x_mm, half_width), (programme.y_mm, long)):
        assert np.diff(points).max() <= 6.0 + 1e-9
        assert len(points) - 1 < extent / 6.0 + 1.0
