"""The descent inside bounds, against closed forms, the conditions of a least, and SciPy's solver."""

import numpy as np
import pytest
import scipy.sparse as sp
from scipy.optimize import Bounds, minimize

from seatmesh.fit.bounded.active_set import BandFactor
from seatmesh.fit.search import descent
from seatmesh.fit.search.descent import Curve, descend


def factored(matrix):
    return BandFactor(sp.csr_array(matrix), np.arange(len(matrix)))


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

    return valued, factored(metric), n


def test_a_quadratic_in_its_own_metric_takes_one_step():
    matrix = np.array([[4.0, 1.0, 0.0], [1.0, 3.0, 0.5], [0.0, 0.5, 2.0]])
    pull = np.array([-1.0, 2.0, 0.5])
    wide = np.full(3, 10.0)
    found = descend(quadratic(matrix, pull, 5.0), np.ones(3), factored(matrix), -wide, wide)
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
        factored(matrix),
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
    curve = Curve(factored(np.eye(6)))
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
    wrong = descend(lambda c: (1.0 + float(c @ c), -2.0 * c + 1.0), np.zeros(2), factored(np.eye(2)), *BOX)
    assert "no way down" in wrong.verdict
    nowhere = descend(lambda c: (np.inf, np.zeros(2)), np.zeros(2), factored(np.eye(2)), *BOX)
    assert "no value where it starts" in nowhere.verdict
    assert nowhere.ending.residual is None


BOX = (np.full(2, -1.0), np.full(2, 1.0))


def test_it_stays_short_of_where_there_is_no_value():
    def valued(c):
        return (float((c[0] - 3.0) ** 2) + 1.0 if c[0] < 0.9 else np.inf), np.array([2.0 * (c[0] - 3.0), 0.0])

    found = descend(valued, np.zeros(2), factored(np.eye(2)), *BOX)
    assert not found.converged
    assert 0.8 < found.value[0] < 0.9


@pytest.mark.parametrize(("fall", "taken"), [(-0.5e-4, False), (0.98e-4, False), (1.02e-4, True)])
def test_a_step_counts_that_brings_a_ten_thousandth_of_what_the_slope_promises(fall, taken):
    """Armijo's rule; a rise, however small, is no way down. The second try goes half or a tenth of the way."""
    slope, tried = np.array([-3.0, 0.0]), []

    def valued(c):
        tried.append(float(c[0]))
        return 7.0 - 2.0 * 3.0 * (fall if len(tried) == 1 else 0.5), slope

    there = descent._lower_place(valued, descent._Place(np.zeros(2), 7.0, slope), np.array([2.0, 0.0]))
    assert tried[0] == 2.0
    assert (there.c[0] == 2.0) == taken
    if not taken:
        # A parabola through value 0, slope -1 and that value at 1 is least at 1 / (2 (1 - fall)).
        assert there.c[0] / 2.0 == pytest.approx(min(0.5 / (1.0 - fall), 0.5))


@pytest.mark.parametrize("size", [1e-6, 1.0, 1e6])
def test_what_is_learned_of_curvature_is_the_same_in_any_unit(size):
    """Step and change of slope at an angle of 45 degrees, and all but square to each other."""
    curve = Curve(metric=None)
    step, unit = np.array([size, 0.0]), 100.0 / size
    assert len(curve.learned(step, unit * np.array([1.0, 1.0])).pairs) == 1
    assert len(curve.learned(step, unit * np.array([0.97e-10, 1.0])).pairs) == 0
    assert len(curve.learned(step, unit * np.array([1.03e-10, 1.0])).pairs) == 1
    assert len(curve.learned(step, unit * np.array([-1.0, 1.0])).pairs) == 0


def test_of_many_pairs_the_last_thirty_are_kept():
    curve = Curve(metric=None)
    for k in range(33):
        curve = curve.learned(np.array([k + 1.0]), np.array([1.0]))
    assert [float(step[0]) for step, _ in curve.pairs] == [float(k) for k in range(4, 34)]


@pytest.mark.parametrize(
    ("fall", "taken"), [(0.98e-4, False), (1.02e-4, True), (-1.0, False), (-19.0, False)]
)
def test_a_shorter_step_has_to_bring_its_own_share(fall, taken):
    """Half a step promises half as much; where that fails a parabola says how far to go, a tenth at the least."""
    slope, tried = np.array([-3.0, 0.0]), []

    def valued(c):
        tried.append(float(c[0]))
        values = {1: np.inf, 2: 7.0 - 3.0 * fall}
        return values.get(len(tried), 1.0), slope

    there = descent._lower_place(valued, descent._Place(np.zeros(2), 7.0, slope), np.array([2.0, 0.0]))
    assert tried[:2] == [2.0, 1.0], "where there is no value at all half a step is tried"
    # Of the parabola through 0, slope -1 and -fall at 1 the least is at 1 / (2 (1 - fall)).
    least = max(min(0.5 / (1.0 - fall), 0.5), 0.1)
    assert there.c[0] == pytest.approx(1.0 if taken else least)


@pytest.mark.parametrize(("residual", "steps"), [(2.9e-5, 0), (3.1e-5, 1)])
def test_the_residual_is_the_root_of_what_is_left_to_fall_over_the_value(residual, steps):
    """Of a quadratic off / 2 M off over 80 in its own metric the next step promises off M off."""
    matrix = np.array([[4.0, 1.0], [1.0, 3.0]])
    off = np.array([1.0, -2.0])
    off *= residual * np.sqrt(80.0 / (off @ matrix @ off))
    wide = np.full(2, 10.0)
    found = descend(quadratic(matrix, np.zeros(2), 80.0), off, factored(matrix), -wide, wide)
    assert found.converged
    assert found.iterations == steps
    if steps == 0:
        assert found.residual == pytest.approx(residual, rel=1e-6)


@pytest.mark.parametrize(("slope", "settled"), [(0.97e-4, True), (1.03e-4, False)])
def test_what_is_hidden_in_the_functions_noise_is_settled(slope, settled):
    """The value does not fall as its slope promises: by the square of that slope, over a value of 1."""
    found = descend(lambda c: (1.0, np.array([slope, 0.0])), np.zeros(2), factored(np.eye(2)), *BOX)
    assert found.converged == settled
    assert found.residual == pytest.approx(slope)
