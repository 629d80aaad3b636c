"""The fair surface against a second library and by leaving readings out in earnest."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.interpolate import RBFInterpolator
from scipy.linalg import null_space
from scipy.stats import chi2

from seatmesh.gauge.check.fair.fair_surface import SURE, bare_surface, fair_surface, likelihoods, places_at
from seatmesh.gauge.check.outlying_readings import _explained, _freedom, limit, without_misread


@pytest.fixture(scope="module")
def noisy(places):
    x, y = places
    rng = np.random.default_rng(7)
    return places_at(x, y), 0.004 * x + np.cos(x / 120.0) * np.sin(y / 150.0) + rng.normal(0.0, 0.25, len(x))


def test_it_is_the_smoothing_interpolant_of_a_second_library(noisy):
    # Kriging with a plane is a radial-basis interpolant with smoothing and a plane (scipy.interpolate).
    at, values = noisy
    ratio = 4.0
    own = bare_surface(at, values, 0.25, ratio)
    second = RBFInterpolator(
        np.column_stack([at.x_mm, at.y_mm]), values, kernel="gaussian", epsilon=1.0 / (np.sqrt(2.0) * 110.0),
        smoothing=1.0 / ratio, degree=1,
    )  # fmt: skip
    x, y = np.array([-111.0, 3.0, 95.0, 170.0]), np.array([77.0, 210.0, 333.0, 140.0])
    np.testing.assert_allclose(own.at(x, y), second(np.column_stack([x, y])), atol=1e-6)


def test_leaving_one_out_in_closed_form_is_leaving_it_out(noisy):
    at, values = noisy
    surface = bare_surface(at, values, 0.25, 4.0)
    off, deviation = surface.left_out()
    for k in (0, 133, 299):
        rest = np.arange(len(values)) != k
        without = bare_surface(places_at(at.x_mm[rest], at.y_mm[rest]), values[rest], 0.25, 4.0)
        here = at.x_mm[k : k + 1], at.y_mm[k : k + 1]
        assert off[k] == pytest.approx(values[k] - without.at(*here)[0], abs=1e-8)
        own = np.sqrt(without.covariance_mm2(*here)[0, 0] + 0.25**2)
        assert deviation[k] == pytest.approx(own, rel=1e-8)


def test_noise_is_told_from_the_readings(noisy):
    at, values = noisy
    assert fair_surface(at, values).noise_mm == pytest.approx(0.25, rel=0.12)


def test_few_readings_are_taken_with_the_usual_scatter():
    at = places_at(np.array([0.0, 50.0, 100.0]), np.array([100.0, 130.0, 100.0]))
    few = fair_surface(at, np.array([1.0, 1.0, 1.0]))
    assert few.noise_mm == 0.25
    np.testing.assert_allclose(few.at(np.array([50.0]), np.array([110.0])), 1.0, atol=1e-8)


def test_a_slip_is_found_and_its_neighbours_are_not(noisy):
    at, values = noisy
    slipped = values + np.where(np.arange(len(values)) == 140, 1.7, 0.0)
    sound = without_misread(at.x_mm, at.y_mm, slipped).sound
    assert np.flatnonzero(~sound).tolist() == [140]
    assert without_misread(at.x_mm, at.y_mm, values).sound.all()


def test_two_slips_side_by_side_do_not_hide_each_other(noisy):
    at, values = noisy
    slipped = values + np.where(np.isin(np.arange(len(values)), [140, 142]), 2.5, 0.0)
    assert np.flatnonzero(~without_misread(at.x_mm, at.y_mm, slipped).sound).tolist() == [140, 142]


def test_a_gouge_that_several_readings_see_is_not_misread(noisy):
    at, values = noisy
    dent = 3.0 * np.exp(-((at.x_mm - 60.0) ** 2 + (at.y_mm - 200.0) ** 2) / (2 * 30.0**2))
    assert without_misread(at.x_mm, at.y_mm, values + dent).sound.all()


def test_the_limit_is_students_t_shared_among_all():
    # Two-sided 2 % over 300 readings: the normal 3.99 (tables), Student's a little more.
    assert limit(10**7, 300) == pytest.approx(3.988, abs=0.003)
    assert limit(100, 300) > 4.1


def test_the_surface_is_surer_where_readings_are(noisy):
    at, values = noisy
    surface = replace(bare_surface(at, values, 0.25, 16.0))
    near, far = surface.covariance_mm2(np.array([0.0, 0.0]), np.array([200.0, 600.0])).diagonal()
    assert near < 0.25**2 / 4 < far


def test_likelihoods_are_those_of_what_is_left_without_the_plane(noisy):
    """Restricted maximum likelihood written out: contrasts that no plane changes, their covariance, the best noise."""
    at, values = noisy
    some = slice(0, 60)
    x, y, z = at.x_mm[some], at.y_mm[some], values[some]
    rest = null_space(np.column_stack([np.ones(60), x, y]).T)
    square = np.subtract.outer(x, x) ** 2 + np.subtract.outer(y, y) ** 2
    seen = set()
    for value, parts, noise in likelihoods(places_at(x, y), z):
        if parts.fair not in (0.0, 4.0, 64.0) or parts.local not in (0.0, 2.0, 40.0):
            continue
        seen.add((parts.fair, parts.local, parts.local_mm))
        whole = np.eye(60) + parts.fair * np.exp(-0.5 * square / 110.0**2)
        whole += parts.local * np.exp(-0.5 * square / parts.local_mm**2)
        inner = rest.T @ whole @ rest
        left = rest.T @ z
        least = float(left @ np.linalg.solve(inner, left))
        assert noise == pytest.approx(np.sqrt(least / 57))
        own = -57 * np.log(noise) - 0.5 * np.linalg.slogdet(inner)[1] - 0.5 * 57
        assert value == pytest.approx(own, abs=1e-6)
    lengths = {(a, b, c) for a in (0.0, 4.0, 64.0) for b in (2.0, 40.0) for c in (25.0, 50.0)}
    assert seen == lengths | {(a, 0.0, 110.0) for a in (0.0, 4.0, 64.0)}


def test_a_local_part_is_taken_for_sure_with_a_chance_of_one_in_eighty():
    """Of a variance that may be nothing, half of a chi square of one degree of freedom passes by chance."""
    assert 0.5 * chi2.sf(2.0 * SURE, 1) == pytest.approx(0.0127, abs=0.0008)


def test_exact_readings_are_taken_for_as_exact_as_a_gauge_is_read(noisy):
    at, _ = noisy
    assert fair_surface(at, 0.004 * at.x_mm).noise_mm == 0.03
    few = places_at(at.x_mm[::30][:11], at.y_mm[::30][:11])
    assert fair_surface(few, np.zeros(11)).noise_mm == 0.25, "of fewer than 12 the usual scatter"
    twelve = places_at(at.x_mm[::25][:12], at.y_mm[::25][:12])
    assert fair_surface(twelve, np.zeros(12)).noise_mm == 0.03


def test_neighbours_of_a_reading_are_those_beside_it():
    """A dent about (100, 150) explains the reading there; a slip of the same size is explained by no dent elsewhere."""
    x, y = (a.ravel() for a in np.meshgrid(np.arange(-150.0, 151.0, 25.0), np.arange(50.0, 351.0, 25.0)))
    k = int(np.flatnonzero((x == 100.0) & (y == 150.0))[0])
    surface = bare_surface(places_at(x, y), np.zeros(len(x)), 0.25, 4.0)

    def dent(at_x, at_y):
        return 3.0 * np.exp(-((x - at_x) ** 2 + (y - at_y) ** 2) / (2 * 30.0**2))

    assert _explained(x, y, dent(100.0, 150.0), k, surface)
    for other in ((-100.0, 150.0), (100.0, 300.0), (0.0, 50.0)):
        slipped = dent(*other)
        slipped[k] = 3.0
        assert not _explained(x, y, slipped, k, surface)
        assert not _explained(x, y, np.where(np.arange(len(x)) == k, 3.0, 0.0), k, surface)


def test_errors_that_readings_share_are_weighed_as_generalised_least_squares_does(noisy):
    """Rows share an error; the bordered equations of kriging with a plane, solved as they stand (from memory)."""
    at, values = noisy
    at, values = places_at(at.x_mm[:60], at.y_mm[:60]), values[:60]
    shared = 0.7 * np.equal.outer(at.y_mm, at.y_mm)
    own = bare_surface(at, values, 0.25, 4.0, shared)
    x, y = np.array([-111.0, 3.0, 170.0]), np.array([77.0, 90.0, 60.0])

    def between(x0, y0):
        return 4.0 * np.exp(-((x0[:, None] - at.x_mm) ** 2 + (y0[:, None] - at.y_mm) ** 2) / (2.0 * 110.0**2))

    def plane(x0, y0):
        return np.column_stack([np.ones(len(x0)), x0, y0])

    border = plane(at.x_mm, at.y_mm)
    whole = np.block([
        [between(at.x_mm, at.y_mm) + np.eye(60) + shared, border], [border.T, np.zeros((3, 3))]
    ])  # fmt: skip
    weights = np.linalg.solve(whole, np.append(values, np.zeros(3)))
    np.testing.assert_allclose(own.at(x, y), np.hstack([between(x, y), plane(x, y)]) @ weights, atol=1e-8)


def test_a_plane_takes_three_readings_worth_of_freedom(noisy):
    assert _freedom(bare_surface(*noisy, 0.25, 4.0)) == len(noisy[1]) - 3
