"""The descent inside bounds, against closed forms, the conditions of a least, and SciPy's solver."""

import numpy as np
import pytest
import scipy.sparse as sp
from scipy.optimize import Bounds, minimize

from seatmesh.fit import descent
from seatmesh.fit.descent import Curve, descend


def quadratic(matrix, pull, at_rest=0.0):
    def valued(c):
        return float(0.5 * c @ matrix @ c + pull @ c + at_rest), matrix @ c + pull

    return valued


def hilly(seed, n=40):
    """A convex quadratic plus a sum of soft plus functions, with its metric: the quadratic's matrix alone."""
    rng = np.random.default_rng(seed)
    root, ways = rng.normal(size=(n, n)) / np.sqrt(n), rng.normal(size=(2 * n, n))
    metric = root @ root.T + 0.2 * np.eye(n)
    pull = rng.normal(size=n)

    def valued(c):
        z = ways @ c
        slope = metric @ c + pull + ways.T @ (1.0 / (1.0 + np.exp(-z)))
        return float(0.5 * c @ metric @ c + pull @ c + np.logaddexp(0.0, z).sum()) + 100.0, slope

    return valued, sp.csr_array(metric), n


def test_a_quadratic_in_its_own_metric_takes_one_step():
    matrix = np.array([[4.0, 1.0, 0.0], [1.0, 3.0, 0.5], [0.0, 0.5, 2.0]])
    pull = np.array([-1.0, 2.0, 0.5])
    wide = np.full(3, 10.0)
    found = descend(quadratic(matrix, pull, 5.0), np.ones(3), sp.csr_array(matrix), -wide, wide)
    assert found.converged
    assert found.iterations == 1
    assert found.value == pytest.approx(np.linalg.solve(matrix, -pull), abs=1e-9)


def test_bounds_hold_and_push_back():
    # Least at (2, 3) of (a - 2)^2 + (a - 2)(b - 3) + (b - 3)^2; with a held at 1, b = 3.5 by its own slope.
    matrix = np.array([[2.0, 1.0], [1.0, 2.0]])
    pull = -matrix @ np.array([2.0, 3.0])
    found = descend(
        quadratic(matrix, pull, 20.0),
        np.zeros(2),
        sp.csr_array(matrix),
        np.full(2, -5.0),
        np.array([1.0, 9.0]),
    )
    assert found.converged
    assert found.value == pytest.approx([1.0, 3.5], abs=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_it_ends_where_scipy_does_and_the_slope_is_square_to_the_bounds(seed):
    valued, metric, n = hilly(seed)
    lower, upper = np.full(n, -0.25), np.full(n, 0.1 + 0.2 * np.arange(n) / n)
    found = descend(valued, np.zeros(n), metric, lower, upper)
    other = minimize(
        valued,
        np.zeros(n),
        jac=True,
        method="L-BFGS-B",
        bounds=Bounds(lower, upper),
        options={"maxiter": 5000, "ftol": 1e-15, "gtol": 1e-9},
    )
    assert found.converged
    assert valued(found.value)[0] == pytest.approx(other.fun, rel=1e-8)
    assert found.value == pytest.approx(other.x, abs=2e-4)
    slope = valued(found.value)[1]
    up, low = found.value > upper - 1e-9, found.value < lower + 1e-9
    assert np.abs(slope[~up & ~low]).max() < 5e-3
    assert slope[up].max() < 5e-3
    assert slope[low].min() > -5e-3
    assert min(up.sum(), low.sum(), (~up & ~low).sum()) > 2, "the case has all three kinds"


def test_the_curve_learns_the_inverse_of_what_it_has_seen():
    rng = np.random.default_rng(4)
    root = rng.normal(size=(6, 6))
    matrix = root @ root.T + np.eye(6)
    from scipy.sparse.linalg import splu

    curve = Curve(splu(sp.csc_matrix(np.eye(6))))
    step = rng.normal(size=6)
    curve = curve.learned(step, matrix @ step)
    # BFGS keeps the last pair: its inverse turns the change of slope into the step (Nocedal and Wright, 6.6).
    assert curve.inverse(matrix @ step) == pytest.approx(step, abs=1e-12)
    columns = rng.normal(size=(6, 2))
    assert curve.inverse(columns)[:, 1] == pytest.approx(curve.inverse(columns[:, 1]), abs=1e-12)
    assert curve.learned(step, -(matrix @ step)) is curve, "a downward curve is not learned"


def test_what_does_not_settle_says_so(monkeypatch):
    valued, metric, n = hilly(1)
    wide = np.full(n, 5.0)
    with monkeypatch.context() as patch:
        patch.setattr(descent, "MOST_STEPS", 2)
        stopped = descend(valued, np.zeros(n), metric, -wide, wide)
    assert not stopped.converged
    assert "still falling after 2 steps" in stopped.verdict
    assert stopped.residual > descent.TOLERANCE
    # A slope that points the wrong way, as a kink's may: no step is low enough.
    wrong = descend(
        lambda c: (1.0 + float(c @ c), -2.0 * c + 1.0), np.zeros(2), sp.eye_array(2).tocsr(), *BOX
    )
    assert "no way down" in wrong.verdict
    nowhere = descend(lambda c: (np.inf, np.zeros(2)), np.zeros(2), sp.eye_array(2).tocsr(), *BOX)
    assert "no value where it starts" in nowhere.verdict
    assert nowhere.ending.residual is None


BOX = (np.full(2, -1.0), np.full(2, 1.0))


def test_it_stays_short_of_where_there_is_no_value():
    def valued(c):
        return (float((c[0] - 3.0) ** 2) + 1.0 if c[0] < 0.9 else np.inf), np.array([2.0 * (c[0] - 3.0), 0.0])

    found = descend(valued, np.zeros(2), sp.eye_array(2).tocsr(), *BOX)
    assert not found.converged
    assert 0.8 < found.value[0] < 0.9
