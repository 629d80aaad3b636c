"""The model behind a copy against second ways: least squares, scipy's normal, leaving out in earnest, integration."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import multivariate_normal, norm

from seatmesh.gauge.bar.placings import Placings
from seatmesh.gauge.copy import copy_seat, hollow_fit
from seatmesh.gauge.copy.copy_error import NORMAL_90, ROLLED_MM, copy_error
from seatmesh.gauge.copy.copy_readings import ReadingsToCopy
from seatmesh.gauge.copy.cut_wood import CutWood, _both_ends, first_guess, odds_of_cut
from seatmesh.gauge.copy.hollow_fit import _solved, hollow_and_bars
from seatmesh.gauge.copy.hollow_prior import LEVELS, hollow_prior
from seatmesh.gauge.copy.reading_parts import (
    COMMON_SD,
    ReadingParts,
    Variances,
    _unlikeliness,
    usual_variances,
)
from seatmesh.gauge.copy.told_bars import told_bars
from seatmesh.gauge.readings.readings_file import Row
from seatmesh.spline import bending_energy, square_integral, turning_energy
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank

VARIANCES = Variances(np.log(np.array([0.01, 2e-5, 0.09, 0.04, 0.03, 0.01, 0.002])))


def small(spacing=60.0, odd=()):
    """Readings of a round hollow on a coarse grid, rows for placings."""
    x, y = (
        a.ravel() for a in np.meshgrid(np.arange(-180.0, 181.0, spacing), np.arange(20.0, 400.0, spacing))
    )
    rows, of = np.unique(y, return_inverse=True)
    depth = np.maximum(12.0 * (1.0 - (x / 150.0) ** 2 - ((y - 200.0) / 140.0) ** 2), 0.0)
    off = (
        depth
        + 0.4
        + 0.2 * x / 200.0
        + np.random.default_rng(4).normal(0.0, 0.2, len(x))
        + 0.3 * np.sin(3.0 * of)
    )
    which = np.zeros(len(rows), dtype=bool)
    which[list(odd)] = True
    return ReadingParts(
        x, y, off, Placings(of, x, rows, np.ones(len(rows), dtype=bool), True, 200.0), y > 50.0, np.abs(x) > 150.0,
        np.zeros(len(x), dtype=bool), hollow_prior(200.0, 50.0, 400.0), which,
    ), depth  # fmt: skip


def before_readings(prior, log):
    """Covariance of the coefficients before anything was read."""
    square = square_integral(prior.knots_x, prior.knots_y).toarray()
    bends = bending_energy(prior.knots_x, prior.knots_y).toarray() + LEVELS[0] * square
    turns = turning_energy(prior.knots_x, prior.knots_y).toarray() + LEVELS[1] * square
    return np.exp(log[0]) * np.linalg.inv(bends) + np.exp(log[1]) * np.linalg.inv(turns)


def covariance(parts, cut, log):
    """Of all readings, written out reading by reading."""
    height, tilt, own, along, field = np.exp(log[2:])
    n = len(cut)
    out = np.zeros((n, n))
    u, of = parts.placings.along_mm / 200.0, parts.placings.of
    basis = parts.prior.basis(parts.x_mm, parts.y_mm).toarray()
    hollow = basis @ before_readings(parts.prior, log) @ basis.T
    for i in range(n):
        for j in range(n):
            apart = np.hypot(parts.x_mm[i] - parts.x_mm[j], parts.y_mm[i] - parts.y_mm[j])
            out[i, j] = cut[i] * cut[j] * hollow[i, j] + 9.0 + 1.75**2 * u[i] * u[j]
            out[i, j] += (u[i] ** 2 - 1.0) * (u[j] ** 2 - 1.0) + field * np.exp(-0.5 * (apart / 60.0) ** 2)
            if of[i] == of[j]:
                out[i, j] += height + tilt * u[i] * u[j] + 0.01 * (u[i] ** 2 - 1.0) * (u[j] ** 2 - 1.0)
                out[i, j] += along * np.exp(-apart / 40.0) + parts.odd[of[i]] * (1.0 + u[i] * u[j])
        out[i, i] += own
    return out


def test_the_likelihood_is_the_normal_one_and_its_slope_is_its_own():
    parts, depth = small(odd=(3,))
    cut = depth > 0.0
    each = (*(np.outer(cut, cut) * one for one in parts.hollows), *parts.scatter)
    log = VARIANCES.log
    value, slope = _unlikeliness(log, parts.fixed, each, parts.off_mm)
    normal = multivariate_normal(np.zeros(len(cut)), covariance(parts, cut, log))
    unusual = (log[2:] - np.log(np.array([0.2, 0.2, 0.2, 0.1, 0.03]) ** 2)) / np.array(
        [2.0, 2.0, 1.4, 1.6, 1.6]
    )
    constant = 0.5 * len(cut) * np.log(2.0 * np.pi)
    assert value == pytest.approx(-normal.logpdf(parts.off_mm) - constant + 0.5 * unusual @ unusual, rel=1e-6)
    for k in range(len(log)):
        step = np.where(np.arange(len(log)) == k, 1e-4, 0.0)
        high, low = (_unlikeliness(log + sign * step, parts.fixed, each, parts.off_mm)[0] for sign in (1, -1))
        assert slope[k] == pytest.approx((high - low) / 2e-4, rel=1e-3, abs=1e-5)


def test_hollow_and_bars_are_those_of_least_squares():
    """The same in another form: coefficients and bars as unknowns, each with its own penalty."""
    parts, depth = small()
    cut = depth > 0.0
    log = np.log(np.array([0.01, 2e-5, 0.09, 0.04, 0.03, 1e-12, 1e-12]))
    fit = _solved(parts, Variances(log), cut, np.zeros(len(cut), dtype=bool))
    u, of, p = parts.placings.along_mm / 200.0, parts.placings.of, parts.placings.count
    own = np.eye(p)[of]
    basis = parts.prior.basis(parts.x_mm, parts.y_mm).toarray() * cut[:, None]
    design = np.hstack([
        basis, np.column_stack([np.ones_like(u), u, u**2 - 1.0]), own, own * u[:, None],
        own * (u**2 - 1.0)[:, None],
    ])  # fmt: skip
    count = basis.shape[1]
    penalty = np.zeros((design.shape[1],) * 2)
    penalty[:count, :count] = np.linalg.inv(before_readings(parts.prior, log))
    rest = [3.0**2, 1.75**2, 1.0, *[0.09] * p, *[0.04] * p, *[0.01] * p]
    penalty[count:, count:] = np.diag(1.0 / np.array(rest))
    whole = design.T @ design / 0.03 + penalty
    unknown = np.linalg.solve(whole, design.T @ parts.off_mm / 0.03)
    at = (np.array([-60.0, 0.0, 75.0]), np.array([150.0, 200.0, 240.0]))
    there = parts.prior.basis(*at).toarray()
    np.testing.assert_allclose(fit.spline()(*at), there @ unknown[:count], atol=1e-4)
    np.testing.assert_allclose(
        fit.covariance_mm2(*at), there @ np.linalg.inv(whole)[:count, :count] @ there.T, rtol=1e-3
    )
    np.testing.assert_allclose(fit.bars_mm(), design[:, count:] @ unknown[count:], atol=1e-5)
    bars = told_bars(fit)
    np.testing.assert_allclose(bars.height_mm, unknown[count] + unknown[count + 3 : count + 3 + p], atol=1e-4)
    assert bars.sag_mm == pytest.approx(unknown[count + 2], abs=1e-4)
    sag = np.linalg.inv(whole)[count + 2, count + 2]
    assert bars.sag_error_mm == pytest.approx(np.sqrt(sag), rel=1e-3)


@pytest.mark.parametrize("k", [15, 16, 23, 30, 31, 44])
def test_odds_are_those_of_leaving_the_reading_out_in_earnest(k):
    parts, depth = small()
    cut = depth > 0.0
    out = np.arange(len(cut)) == k
    variances = Variances(VARIANCES.log)
    fit = _solved(parts, variances, cut, np.zeros(len(cut), dtype=bool))
    seen = odds_of_cut(parts, variances, CutWood(cut, fit.used, fit.weight, fit.precision))
    # Hollow and bar at k, foretold by all others.
    whole = covariance(parts, cut, variances.log)
    all_others = np.ix_(~out, ~out)
    hollow = parts.hollow(variances)
    surface = hollow[k] * cut
    bar = covariance(parts, np.zeros(len(cut)), variances.log)[k]
    bar[k] -= variances.own_scatter_mm2
    to = np.stack([surface[~out], bar[~out]])
    inner = np.linalg.inv(whole[all_others])
    mean = to @ inner @ parts.off_mm[~out]
    before = np.diag([hollow[k, k], bar[k]])
    unsure = before - to @ inner @ to.T
    reading, own = parts.off_mm[k], variances.own_scatter_mm2

    def joint(s, with_hollow):
        """Density of the hollow being s there and of the reading."""
        gain = unsure[0, 1] / unsure[0, 0]
        centre = mean[1] + gain * (s - mean[0]) + (s if with_hollow else 0.0)
        spread = np.sqrt(unsure[1, 1] - gain * unsure[0, 1] + own)
        return norm.pdf(s, mean[0], np.sqrt(unsure[0, 0])) * norm.pdf(reading, centre, spread)

    sd = np.sqrt(unsure[0, 0])
    ends = [np.clip(mean[0] + sign * 9.0 * sd, *limits) for sign in (-1, 1) for limits in ((0.0, np.inf),)]
    near = np.clip([reading - mean[1]], ends[0], ends[1]).tolist()
    carved = quad(joint, ends[0], max(ends[1], ends[0] + 1e-9), args=(True,), points=near, limit=400)[0]
    uncut = quad(joint, min(mean[0] - 9.0 * sd, -9.0 * sd), 0.0, args=(False,), limit=400)[0]
    if min(carved, uncut) > 1e-12:
        assert seen.odds[k] == pytest.approx(np.log(carved / uncut), rel=0.01, abs=0.01)
    foretold = reading - mean[1] - cut[k] * mean[0]
    assert seen.off_mm[k] == pytest.approx(foretold, rel=1e-4)
    variance = unsure[1, 1] + own + cut[k] * (unsure[0, 0] + 2.0 * unsure[0, 1])
    assert seen.deviations[k] == pytest.approx(foretold / np.sqrt(variance), rel=1e-4)


def test_what_is_cut_is_found_and_the_hollow_ends_there():
    parts, depth = small(spacing=30.0)
    fit = hollow_and_bars(parts, np.zeros(len(depth), dtype=bool))
    deep, uncut = depth > 1.0, depth == 0.0
    assert np.all(fit.cut[deep])
    assert np.mean(fit.cut[uncut]) < 0.05
    assert np.max(fit.spline()(parts.x_mm, parts.y_mm)[uncut & ~fit.cut & parts.ahead]) < 0.15


def test_a_chip_under_one_foot_makes_its_bar_odd():
    parts, _ = small(spacing=30.0)
    fifth = parts.placings.of == 5
    chipped = replace(parts, off_mm=parts.off_mm + 2.0 * fifth * (0.5 + parts.x_mm / 360.0))
    assert not first_guess(parts)[1].any()
    assert np.flatnonzero(first_guess(chipped)[1]).tolist() == [5]


def test_half_widths_hold_ninety_in_a_hundred(carved_seat):
    assert pytest.approx(norm.ppf(0.95), abs=1e-4) == NORMAL_90
    parts, depth = small(spacing=30.0)
    blank = replace(carved_seat.blank, width_mm=400.0, depth_mm=400.0)
    fit = hollow_and_bars(parts, np.zeros(len(depth), dtype=bool))
    seat = Seat(blank, hollow=fit.spline())
    error = copy_error(seat, fit)
    k = int(np.argmax(error.depth_mm))
    at = (error.x_mm[[k]], error.y_mm[[k]])
    own = 0.1 * fit.variances.own_scatter_mm2
    assert error.half_width_mm[k] == pytest.approx(1.6449 * np.sqrt(fit.covariance_mm2(*at)[0, 0] + own))
    bottom = error.depth_mm >= 0.5 * error.depth_mm.max()
    whole = fit.covariance_mm2(error.x_mm[bottom], error.y_mm[bottom])
    assert error.bottom_half_width_mm == pytest.approx(1.2 * 1.6449 * np.sqrt(whole.mean()))
    assert error.bottom_mm == pytest.approx(error.depth_mm[bottom].mean())
    both = fit.covariance_mm2(np.array([60.0]), np.array([200.0]), 0.5)[0, 0]
    pair = fit.covariance_mm2(np.array([60.0, -60.0]), np.array([200.0, 200.0]))
    assert both == pytest.approx(pair.mean(), rel=1e-6)
    # Of a mean of two sides the marks of the tool have half of their variance.
    mean = copy_error(seat, fit, mirror_share=0.5)
    of_mean = fit.covariance_mm2(*at, 0.5)[0, 0]
    assert mean.half_width_mm[k] == pytest.approx(1.6449 * np.sqrt(of_mean + 0.5 * own))


def test_usual_bars_and_scatter_are_as_written():
    assert COMMON_SD == (3.0, 1.75, 1.75, 1.0)
    np.testing.assert_allclose(np.exp(0.5 * usual_variances().log[2:]), [0.2, 0.2, 0.2, 0.1, 0.03])
    assert usual_variances().scatter_mm == pytest.approx(np.sqrt(0.04 + 0.01 + 0.0009))


def test_the_ends_of_a_bar_are_told_by_two_readings_each():
    parts, _ = small(spacing=90.0)
    row = np.flatnonzero(parts.placings.of == 2)
    assert len(row) == 5
    ends = [np.median(parts.off_mm[row[:2]]), np.median(parts.off_mm[row[-2:]])]
    assert _both_ends(parts, 2) == pytest.approx(ends)
    for kept, told in ((4, True), (3, False)):
        less = np.setdiff1d(np.arange(len(parts.x_mm)), row[kept:])
        some = replace(
            parts,
            x_mm=parts.x_mm[less],
            y_mm=parts.y_mm[less],
            off_mm=parts.off_mm[less],
            placings=replace(
                parts.placings, of=parts.placings.of[less], along_mm=parts.placings.along_mm[less]
            ),
        )
        assert bool(_both_ends(some, 2)) == told


def test_the_rim_is_a_hands_breadth_and_the_front_edge_may_be_rolled_over_35_mm_of_radius(monkeypatch):
    """A roll of 35 mm radius, an arc of 60 degrees, is 30 mm long: so far from the edge it may reach."""
    seen = {}

    def caught(parts, kept):
        seen["parts"] = parts
        raise InterruptedError

    monkeypatch.setattr(copy_seat, "hollow_and_bars", caught)
    blank = Blank(outline="straight-sided")
    x = np.array([-199.5, -200.5, 0.0, 0.0])
    y = np.array([200.0, 200.0, 430.0 - 29.5, 430.0 - 30.5])
    rows = tuple(
        Row(k + 2, k + 1, float(x[k]), float(y[k]), 65.0, 65.0, 65.0, placing=k + 1) for k in range(len(x))
    )
    ready = ReadingsToCopy(rows, np.zeros(len(x)), 1.0, ())
    with pytest.raises(InterruptedError):
        copy_seat._fitted(ready, blank, "across", 0.0, "readings")
    assert seen["parts"].rim.tolist() == [False, True, True, True]
    assert seen["parts"].rolls.tolist() == [False, False, True, False]
    assert 35.0 * np.sin(np.pi / 3.0) == pytest.approx(ROLLED_MM, rel=0.012)
    with pytest.raises(InterruptedError):
        copy_seat._fitted(ready, blank, "across", 20.0, "readings")
    assert not seen["parts"].rolls.any(), "a roll that was stated is taken off"


def test_a_bar_lay_the_way_that_makes_the_readings_likelier(monkeypatch):
    across, along = SimpleNamespace(log=-7.0), SimpleNamespace(log=-4.5)
    taken = {id(across): np.array([True, False, False]), id(along): np.array([False, False, True])}
    seen = []

    def likely(parts, cut, _):
        seen.append(cut.tolist())
        return parts.log

    monkeypatch.setattr(hollow_fit, "first_guess", lambda parts: (taken[id(parts)], None))
    monkeypatch.setattr(hollow_fit, "likeliest", lambda parts, cut, first: None)
    monkeypatch.setattr(hollow_fit, "likelihood", likely)
    assert hollow_fit.gain_of_along(across, along) == 2.5
    assert hollow_fit.gain_of_along(along, across) == -2.5
    # Compared with the same wood taken for cut: what either way takes for it.
    assert seen == [[True, False, True]] * 4


def test_an_odd_bars_height_is_as_unsure_as_least_squares_says():
    """Mean and error of common height and own one by the normal's own algebra, of all readings at once."""
    parts, depth = small(odd=(3,))
    cut = depth > 0.0
    log = np.log(np.array([0.01, 2e-5, 0.09, 0.04, 0.03, 1e-12, 1e-12]))
    fit = _solved(parts, Variances(log), cut, np.zeros(len(cut), dtype=bool))
    bars = told_bars(fit)
    u, of, p = parts.placings.along_mm / 200.0, parts.placings.of, parts.placings.count
    own, odd = np.eye(p)[of], np.arange(p) == 3
    whole = covariance(parts, cut, log)
    for k in range(p):
        # What is asked for, common part plus this bar's own: its covariance with each reading, then the normal's.
        height = 9.0 + own[:, k] * (0.09 + odd[k])
        tilt = (1.75**2 + own[:, k] * (0.04 + odd[k])) * u
        gain, turn = np.linalg.solve(whole, np.column_stack([height, tilt])).T
        assert bars.height_mm[k] == pytest.approx(gain @ parts.off_mm, abs=1e-4)
        assert bars.height_error_mm[k] == pytest.approx(np.sqrt(9.09 + odd[k] - gain @ height), rel=1e-3)
        # A tilt is told over 200 mm.
        assert np.tan(np.radians(bars.tilt_deg[k])) == pytest.approx(turn @ parts.off_mm / 200.0, abs=1e-6)
    assert bars.height_error_mm[3] > np.delete(bars.height_error_mm, 3).max()


def test_a_reading_is_questioned_from_four_deviations_and_half_a_millimetre_on():
    none = np.zeros(3, dtype=bool)
    for off, deviations, worst in (
        (0.51, 4.05, 1), (-0.51, -4.05, 1), (0.49, 4.05, -1), (0.51, 3.95, -1), (9.0, 3.95, -1), (0.49, 9.0, -1)
    ):  # fmt: skip
        assert hollow_fit._worst(np.array([0.6, off, 0.6]), np.array([3.9, deviations, 3.9]), none) == worst
    kept = np.array([False, True, False])
    assert hollow_fit._worst(np.array([0.0, 3.0, 0.0]), np.array([0.0, 9.0, 0.0]), kept) == -1
