"""The quadratic programme by its active set: against its optimality conditions and the interior-point method."""

import clarabel
import numpy as np
import pytest
import scipy.sparse as sp

from seatmesh.fit.bounded.active_set import BandFactor, least_inside


def a_programme(seed, rows):
    """A banded quadratic of 60 unknowns in shuffled order, bounds on each and `rows` on sums of neighbours."""
    rng = np.random.default_rng(seed)
    size = 60
    bend = sp.diags_array([1.0, -2.0, 1.0], offsets=[0, 1, 2], shape=(size - 2, size))
    banded = (20.0 * bend.T @ bend + sp.diags_array(rng.uniform(0.5, 1.5, size))).toarray()
    order = rng.permutation(size)
    hessian = np.empty_like(banded)
    hessian[np.ix_(order, order)] = banded
    linear = np.empty(size)
    linear[order] = -8.0 * np.sin(np.arange(size) / 5.0) * rng.uniform(0.5, 1.5, size)
    sums = np.zeros((rows, size))
    for k, first in enumerate(rng.integers(0, size - 4, rows)):
        sums[k, order[first : first + 4]] = rng.dirichlet(np.ones(4))
    matrix = np.vstack([np.eye(size), -np.eye(size), sums])
    most = np.concatenate([rng.uniform(2.0, 4.0, size), np.full(size, 3.0), rng.uniform(0.5, 2.0, rows)])
    return sp.csr_array(hessian), linear, order, sp.csr_array(matrix), most


def interior(hessian, linear, matrix, most):
    settings = clarabel.DefaultSettings()
    settings.verbose = False
    settings.tol_gap_abs = settings.tol_gap_rel = settings.tol_feas = 1e-12
    cones = [clarabel.NonnegativeConeT(len(most))]
    solver = clarabel.DefaultSolver(
        sp.csc_matrix(sp.triu(hessian)), linear, sp.csc_matrix(matrix), most, cones, settings
    )
    return np.array(solver.solve().x)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("rows", [0, 25])
def test_it_is_the_same_least_as_the_interior_point_method_s(seed, rows):
    hessian, linear, order, matrix, most = a_programme(seed, rows)
    found = least_inside(hessian, linear, order, matrix, most)
    assert found is not None
    met = most - matrix @ found.x < 1e-8
    assert met.sum() >= 3, "bounds matter here"
    assert np.max(matrix @ found.x - most) < 1e-8
    assert found.x == pytest.approx(interior(hessian, linear, matrix, most), abs=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_bounds_that_depend_on_one_another_change_nothing(seed):
    """Every bound three times, and sums of two of them as further ones: more of them than are taken in at a time."""
    hessian, linear, order, matrix, most = a_programme(seed, 25)
    alone = least_inside(hessian, linear, order, matrix, most)
    both = sp.csr_array(matrix[:-1] + matrix[1:])
    many = sp.csr_array(sp.vstack([matrix, matrix, both, matrix]))
    found = least_inside(
        hessian, linear, order, many, np.concatenate([most, most, most[:-1] + most[1:], most])
    )
    assert alone is not None
    assert found is not None
    assert np.sum(many @ found.x - np.concatenate([most, most, most[:-1] + most[1:], most]) > -1e-8) > 9
    assert found.x == pytest.approx(alone.x, abs=1e-7)


@pytest.mark.parametrize("seed", range(4))
def test_nearly_all_bounds_may_be_met(seed):
    hessian, linear, order, matrix, most = a_programme(seed, 200)
    tight = np.full(len(most), 0.01)
    found = least_inside(hessian, linear, order, matrix, tight)
    assert found is not None
    assert np.sum(matrix @ found.x > tight - 1e-8) >= 40
    assert np.max(matrix @ found.x - tight) < 1e-8
    assert found.x == pytest.approx(interior(hessian, linear, matrix, tight), abs=1e-6)


def test_no_answer_is_given_where_bounds_contradict():
    hessian, linear, order, _, _ = a_programme(1, 0)
    one = np.zeros((1, 60))
    one[0, 7] = 1.0
    matrix = sp.csr_array(np.vstack([one, -one]))
    assert least_inside(hessian, linear, order, matrix, np.array([-1.0, -1.0])) is None


def test_a_band_solves_as_the_whole_matrix_does():
    hessian, linear, order, _, _ = a_programme(3, 0)
    assert BandFactor(hessian, order).solve(linear) == pytest.approx(
        np.linalg.solve(hessian.toarray(), linear)
    )
    columns = np.column_stack([linear, linear[::-1]])
    assert BandFactor(hessian, order).solve(columns) == pytest.approx(
        np.linalg.solve(hessian.toarray(), columns)
    )


def test_rows_are_brought_halfway_block_by_block_as_by_the_whole_factor():
    hessian, _, order, matrix, _ = a_programme(2, 25)
    for banded in (hessian, sp.csr_array(np.diag(hessian.diagonal()))):
        band = BandFactor(banded, order)
        lower = np.linalg.cholesky(banded.toarray()[np.ix_(order, order)])
        rows = sp.csr_array(sp.vstack([matrix[:, order], sp.csr_array((1, len(order)))]))
        assert band.halfway_rows(rows) == pytest.approx(np.linalg.solve(lower, rows.toarray().T), abs=1e-12)
