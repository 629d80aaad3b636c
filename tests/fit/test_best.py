"""The gradient through the balance, against finite differences; the best shape against the closed form."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh import Seat, estimate_body
from seatmesh.fit.fair.fairness import undulations
from seatmesh.fit.hollow import Guest, fair, prepare
from seatmesh.fit.search import best, descent, smooth_peak
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.seating.figures import averaged
from seatmesh.seating.settle import load_of, on_depth
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over
from seatmesh.solution import Solution
from seatmesh.tissue import TISSUE, TissueBed


def guest(sex, stature, mass):
    sitter = lay_over(estimate_body(sex, stature, mass), Seat())
    return Guest(sitter, press(sitter, Seat()))


@pytest.fixture(scope="module")
def case():
    guests = [guest("male", 1760.0, 78.0), guest("female", 1620.0, 70.0)]
    fit, first = fair(prepare(guests, Seat(), Wishes()), 18.0)
    return guests, fit, first


def price_of_change(fit, change, length):
    """A change of 1 mm all over costs 0.02; its bending and turning, and what it takes from rim, pommel and bowl."""
    p, form = fit.programme, fit.form(fit.wished(18.0), 18.0)
    count = p.basis.shape[0]
    off = float(((p.basis @ change) ** 2).sum()) / count
    bent = length**4 * float(change @ (p.energy @ change)) + (1.15 * length) ** 6 * float(
        change @ (p.turning @ change)
    )
    springs = form.springs
    held = float((springs.weights * (springs.rows @ change) ** 2).sum())
    bowl = 4.0 * 0.4 * float(((springs.limited @ change) ** 2).sum())
    return 0.02 * (off + (0.5 * bent + 10.0 * held) / (count * p.cell_mm2)) + bowl


def test_gradient_runs_through_the_balance(case):
    guests, fit, first = case
    half = (fit.programme.shape[0] + 1) // 2
    c = first.value.hollow.coefficients[:half].ravel()
    surface = smooth_peak.Surface.over(fit, guests[0].sitter)
    peaks = smooth_peak.peaks_of(smooth_peak.in_postures(guests, fit.seat), first.value)

    def value(c):
        return peaks(surface.depth(c)[0])[0]

    _, by_depth = peaks(surface.depth(c)[0])
    gradient = surface.basis.T @ (by_depth * surface.depth(c)[1])
    rng = np.random.default_rng(2)
    for _ in range(3):
        way = rng.normal(size=len(c))
        slope = (value(c + 1e-3 * way) - value(c - 1e-3 * way)) / 2e-3
        assert gradient @ way == pytest.approx(slope, rel=1e-3)


def test_smooth_peak_is_near_the_peak(case):
    guests, fit, first = case
    surface = smooth_peak.Surface.over(fit, guests[0].sitter)
    half = (fit.programme.shape[0] + 1) // 2
    depth, _ = surface.depth(first.value.hollow.coefficients[:half].ravel())
    peaks = smooth_peak.peaks_of(smooth_peak.in_postures(guests[:1], fit.seat), first.value)
    upright = smooth_peak.Peaks(peaks.pressed[:1], [None])
    smooth = upright(depth)[0] / upright.pressed[0].weight * 1000.0
    assert smooth == pytest.approx(press(guests[0].sitter, first.value).figures.peak_kpa, rel=0.08)


def test_depth_of_a_cell_turns_from_flat_into_hollow_smoothly(case):
    guests, fit, first = case
    surface = smooth_peak.Surface.over(fit, guests[0].sitter)
    half = (fit.programme.shape[0] + 1) // 2
    c = first.value.hollow.coefficients[:half].ravel()
    depth, share = surface.depth(c)
    crisp = first.value.depth_mm(*guests[0].sitter.cells_mm)
    ahead = guests[0].sitter.cells_mm[1] > first.value.blank.deck_mm
    assert np.abs(depth - crisp)[ahead].max() <= 0.25 * smooth_peak.EASED_MM + 1e-9
    spline = surface.basis @ c
    far = np.abs(spline) > smooth_peak.EASED_MM
    assert depth[far & ahead] == pytest.approx(crisp[far & ahead], abs=1e-9)
    # The share is the derivative.
    further, _ = surface.depth(c + 1e-6)
    assert (further - depth) / 1e-6 == pytest.approx(share, abs=1e-4)


def test_best_is_better_fair_and_inside_its_bounds(case):
    guests, fit, first = case
    length, found = best.best_hollow(fit, guests, 18.0, first)
    assert best.weighted_peak(guests, found.value) < best.weighted_peak(guests, first.value)
    assert undulations(found.value) == 0
    assert np.all(found.value.hollow.coefficients <= fit.upper + 1e-12)
    assert found.converged
    assert found.residual < descent.TOLERANCE
    assert length == best.FAIRNESS_MM == 19.0, "no undulation is left, so no more fairness is asked for"


def test_where_it_settles_pressure_and_wishes_are_in_balance(case):
    guests, fit, first = case
    seated = smooth_peak.in_postures(guests, fit.seat)
    search = best._Search.of(fit, seated, 18.0, first.value, first.value.hollow)
    length = best.FAIRNESS_MM
    assert search.ended(length).converged
    c = search.start
    free = (c < search.upper - 1e-6) & (c > search.lower + 1e-6)
    rng = np.random.default_rng(5)
    for _ in range(3):
        # A smooth change, no ripple: what the peaks gain by it, the wishes lose.
        way = np.where(free, c * rng.normal(1.0, 0.3) + rng.normal(), 0.0)
        step = 1e-4 * way
        peaks = [search.peaks(search.surface.depth(c + sign * step)[0])[0] for sign in (1.0, -1.0)]
        strayed = []
        for sign in (1.0, -1.0):
            strayed.append(price_of_change(fit, c + sign * step - search.closed, length))
        gained, lost = peaks[0] - peaks[1], strayed[0] - strayed[1]
        assert abs(lost) > 1e-7
        assert gained == pytest.approx(-lost, rel=0.015)


def test_run_on_from_where_it_settled_it_stays_there(case, monkeypatch):
    guests, fit, first = case
    settled = best.best_hollow(fit, guests, 18.0, first)[1].value
    monkeypatch.setattr(descent, "TOLERANCE", 0.1 * descent.TOLERANCE)
    on = best.best_hollow(fit, guests, 18.0, first)[1].value
    assert 0.0 < np.abs(on.hollow.coefficients - settled.hollow.coefficients).max() < 0.01


def test_a_search_that_stops_says_so_and_still_keeps_all_bounds(case, monkeypatch):
    guests, fit, first = case
    monkeypatch.setattr(descent, "MOST_STEPS", 3)
    _, found = best.best_hollow(fit, guests, 18.0, first)
    assert not found.converged
    assert "stopped before it settled" in found.verdict
    assert "still falling after 3 steps" in found.verdict
    assert np.all(found.value.hollow.coefficients <= fit.upper + 1e-12)
    assert best.weighted_peak(guests, found.value) < best.weighted_peak(guests, first.value)


def test_what_is_not_improved_says_why(case, monkeypatch):
    guests, fit, first = case
    with monkeypatch.context() as patch:
        patch.setattr(best, "weighted_peak", lambda _, seat: 1.0)
        length, kept = best.best_hollow(fit, guests, 18.0, first)
    assert (length, kept.value) == (fit.fairness_mm, first.value)
    assert "kept as it is" in kept.verdict
    assert "presses less" in kept.verdict
    with monkeypatch.context() as patch:
        patch.setattr(best, "undulations", lambda seat: int(seat is not first.value))
        _, unfair = best.best_hollow(fit, guests, 18.0, first)
    assert unfair.value == first.value
    assert "as fair" in unfair.verdict
    with monkeypatch.context() as patch:
        patch.setattr(best, "weighted_peak", lambda _, seat: np.inf)
        _, nowhere = best.best_hollow(fit, guests, 18.0, first)
    assert "finds no balance" in nowhere.verdict
    assert not nowhere.ending.converged


def test_a_little_more_mass_moves_the_seat_by_less_than_can_be_cut():
    # A tenth of a percent is what a scale for people shows: 0.1 kg.
    seats = []
    for mass in (78.0, 78.0 * 1.001):
        guests = [guest("male", 1760.0, mass)]
        fit, first = fair(prepare(guests, Seat(), Wishes()), 18.0)
        seats.append(best.best_hollow(fit, guests, 18.0, first)[1].value)
    x, y = np.arange(0.0, 240.0, 2.0)[None, :], np.arange(0.0, 430.0, 2.0)[:, None]
    moved = np.abs(seats[0].depth_mm(x, y) - seats[1].depth_mm(x, y)).max()
    assert 0.001 < moved < 0.05


def test_the_search_weighs_peaks_against_straying_and_bending(case, monkeypatch):
    """A millimetre all over costs 0.02 of the peak on the flat; value and slope belong together."""
    guests, fit, first = case
    seated = smooth_peak.in_postures(guests, fit.seat)
    search = best._Search.of(fit, seated, 18.0, first.value, first.value.hollow)
    seen = {}

    def caught(valued, start, metric, lower, upper):
        seen.update(valued=valued, lower=lower)
        return Solution(start, "converged", 1, 0.0)

    monkeypatch.setattr(best, "descend", caught)
    search.ended(18.0)
    rng = np.random.default_rng(6)
    for c in (search.start, 0.9 * search.start + rng.normal(0.0, 0.1, len(search.start))):
        value, slope = seen["valued"](c)
        peaks = search.peaks(search.surface.depth(c)[0])[0]
        assert value == pytest.approx(peaks + price_of_change(fit, c - search.closed, 18.0), rel=1e-9)
        way = rng.normal(size=len(c))
        # Central differences: 6e-5 off at a step of 1e-3, 8e-7 at this one.
        ends = [seen["valued"](c + sign * 3e-4 * way)[0] for sign in (1.0, -1.0)]
        assert slope @ way == pytest.approx((ends[0] - ends[1]) / 6e-4, rel=1e-4)
    # Beyond the rim nothing holds it but the least of all coefficients; well inside wood goes everywhere.
    assert seen["lower"].min() == -14.0
    assert np.count_nonzero(seen["lower"] > 0.0) > 200


def test_depth_turns_into_the_hollow_over_half_a_millimetre_either_way(case):
    guests, fit, first = case
    surface = smooth_peak.Surface.over(fit, guests[0].sitter)
    half = (fit.programme.shape[0] + 1) // 2
    c = first.value.hollow.coefficients[:half].ravel()
    depth, share = surface.depth(c)
    spline = surface.basis @ c
    ahead = surface.hollowed
    assert share[ahead] == pytest.approx(np.clip(0.5 + spline[ahead], 0.0, 1.0), abs=1e-9)
    between = ahead & (np.abs(spline) < 0.5)
    assert between.sum() > 10
    # The integral of the share from -0.5 mm on.
    assert (depth - surface.roll)[between] == pytest.approx(0.5 * (spline[between] + 0.5) ** 2, abs=1e-9)


def test_the_smooth_peak_is_the_mean_weighed_by_the_exponential_of_25_usual_peaks(case):
    guests, fit, first = case
    peaks = smooth_peak.peaks_of(smooth_peak.in_postures(guests, fit.seat), first.value)
    upright, slouched = peaks.pressed[:2]
    # Slouched counts a quarter of upright, and all of one sitter's postures together as much as the sitter.
    assert slouched.weight == pytest.approx(0.25 * upright.weight)
    assert upright.weight == pytest.approx(1000.0 / guests[0].flat_kpa / 2.0 / 1.25)
    surface = smooth_peak.Surface.over(fit, guests[0].sitter)
    half = (fit.programme.shape[0] + 1) // 2
    depth, _ = surface.depth(first.value.hollow.coefficients[:half].ravel())
    sitter = upright.sitter
    grid = sitter.grid
    laid, found = on_depth(sitter, depth.reshape(grid.wood.shape))
    got, _ = smooth_peak._smooth_peak(laid, found, upright)
    # On every cell of the whole grid, from the pose alone.
    pose = found.balances.pose(0, load_of(found.load, 0)).value
    bed = TissueBed(TISSUE, sitter.fields.backing)
    pressure = bed.response(pose.sink_mm(*sitter.cells_mm) - sitter.fields.skin - depth)[0]
    mean = averaged(pressure.reshape(grid.wood.shape) * (grid.wood > 0), grid.cell_mm)
    weight = np.exp(25.0 * (mean - mean.max()) / upright.usual_mpa)
    assert got == pytest.approx(float((weight * mean).sum() / weight.sum()), rel=1e-9)


def test_the_weighted_peak_is_the_mean_over_sitters_of_what_is_left_of_their_peaks(monkeypatch):
    """Half of 20 kPa, counted once, and four fifths of 30 kPa, counted three times: (0.5 + 3 x 0.8) / 4."""
    peaks = {"one": 10.0, "other": 24.0}
    monkeypatch.setattr(best, "settle", lambda sitter, _, start: SimpleNamespace(peak_kpa=peaks[sitter]))
    guests = [
        SimpleNamespace(sitter="one", weight=1.0, flat_kpa=20.0, on_flat=SimpleNamespace(pose=None)),
        SimpleNamespace(sitter="other", weight=3.0, flat_kpa=30.0, on_flat=SimpleNamespace(pose=None)),
    ]
    assert best.weighted_peak(guests, None) == pytest.approx(0.725)


def test_the_load_acts_where_the_sitter_sits():
    """Its point is told from the middle of the sit bones: 7 mm right and 30 mm ahead of a place 12 mm left, at 160."""
    one = lay_over(estimate_body("female", 1620.0, 70.0), Seat())
    sitter = replace(one, at_mm=(-12.0, 160.0), load=replace(one.load, x_mm=7.0, y_mm=30.0))
    load = load_of(sitter.laid(half=False).load, 0)
    assert (load.x_mm, load.y_mm) == (-5.0, 190.0)
    assert load.force_n == one.load.force_n
