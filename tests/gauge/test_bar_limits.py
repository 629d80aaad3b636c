"""Uncut wood that tells the bar, and what is known of bars beforehand: both sides of each limit."""

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from seatmesh.gauge.bar import bars_alike, how_bars_sat
from seatmesh.gauge.bar.bars_alike import Told
from seatmesh.gauge.bar.crossings import crossings
from seatmesh.gauge.bar.datum_places import datum_places, surely_uncut
from seatmesh.gauge.bar.how_bars_sat import own_design, seated_bars
from seatmesh.gauge.bar.placings import Placings
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.blank import Blank

STRAIGHT = Blank(outline="straight-sided")


def test_uncut_is_what_is_flat_under_a_rod_that_stands_two_millimetres_aside():
    """A cone of a hollow 0.3 mm and more deep: its rim 1.9 or 2.1 mm away, and 0.19 or 0.21 mm of depth there."""

    class Step(Seat):
        def depth_mm(self, x, y):
            return np.where(np.asarray(x) >= self.at, self.deep, 0.0) + 0.0 * np.asarray(y)

    for at, deep, uncut in ((1.9, 0.5, False), (2.1, 0.5, True), (1.9, 0.197, True), (1.9, 0.203, False)):
        seat = Step(STRAIGHT)
        object.__setattr__(seat, "at", at)
        object.__setattr__(seat, "deep", deep)
        assert bool(surely_uncut(seat, np.zeros(1), np.array([200.0]))[0]) == uncut, (at, deep)


def test_a_tip_stands_a_millimetre_and_a_half_inside_and_off_the_round_edge():
    x = np.array([-238.45, -238.55])
    assert surely_uncut(flat_seat(STRAIGHT), x, np.full(2, 200.0)).tolist() == [True, False]
    rounded = flat_seat(Blank(outline="straight-sided", round_over_mm=6.0))
    assert surely_uncut(rounded, np.array([-233.9, -234.1]), np.full(2, 200.0)).tolist() == [True, False]


@pytest.mark.parametrize(("room", "places"), [(8.4, 2), (7.4, 1)])
def test_two_readings_that_tell_the_bar_are_eight_millimetres_apart(room, places):
    """Uncut wood is left as wide as `room` at the left end of a row: places are a whole millimetre apart."""

    class Strip(Seat):
        def depth_mm(self, x, y):
            inside = (np.asarray(x) >= -236.0) & (np.asarray(x) <= -236.0 + room)
            return np.where(inside, 0.0, 0.15) + 0.0 * np.asarray(y)

    left, _ = datum_places(Strip(STRAIGHT), "across", 200.0)
    assert len(left) == places


@pytest.mark.parametrize(("place", "added"), [(71.0, False), (73.0, True)])
def test_uncut_wood_near_the_middle_tells_whether_a_bar_hangs(place, added):
    """Within 0.15 of the width, 72 mm of 480 mm; otherwise a row over the deck is added."""

    class Deep(Seat):
        def depth_mm(self, x, y):
            x, y = np.broadcast_arrays(np.asarray(x, float), np.asarray(y, float))
            near = (np.abs(np.abs(x) - place) < 3.0) & (np.abs(y - 2.0 * place) < 3.0)
            flat = (np.abs(x) > 200.0) | near | (y < 50.0)
            return np.where(flat, 0.0, 5.0)

    found, _ = crossings(Deep(STRAIGHT), place, Gauge(60.0, 5.0, rests_mm=(-236.0, 236.0)))
    assert any(one.y_mm == 25.0 for one in found) == added


def told(values, count, per=4):
    """Readings on uncut wood, `per` of each placing at both its ends, of bars whose heights are given."""
    along = np.tile(np.linspace(-200.0, 200.0, per), count)
    of = np.repeat(np.arange(count), per)
    own = own_design(of, along, count)
    design = np.hstack([own, own @ np.tile(np.eye(3), (count, 1))])
    return Told(design, np.asarray(values, dtype=float), np.eye(len(of)), np.arange(len(of)))


def test_with_little_to_tell_bars_and_scatter_are_taken_for_usual_ones(monkeypatch):
    """Before any evidence: own heights and tilts of 0.2 mm worth two placings, scatter of 0.25 mm worth six readings,
    common height, tilt and sag of 3, 1.75 and 1 mm; the model's own rounds, written out for one round here."""
    one = told(np.array([0.3, 0.1, -0.2, 0.2]), 1)
    prior = np.diag(np.array([0.2, 0.2, 0.1, 3.0, 1.75, 1.0]) ** 2)
    noise = 0.25**2 * np.eye(4)
    gain = prior @ one.design.T @ np.linalg.inv(one.design @ prior @ one.design.T + noise)
    mean = gain @ one.value_mm
    unsure = prior - gain @ one.design @ prior
    left = one.value_mm - one.design @ mean
    square = left @ left + np.trace(one.design @ unsure @ one.design.T)
    scatter = np.sqrt((square + 6.0 * 0.25**2) / (4.0 + 6.0))
    own = [np.sqrt((mean[j] ** 2 + unsure[j, j] + 2.0 * 0.2**2) / (1.0 + 2.0)) for j in (0, 1)]
    monkeypatch.setattr(bars_alike, "ROUNDS", 1)
    got = bars_alike.alike(one)
    assert got.noise_mm == pytest.approx(scatter, rel=1e-9)
    assert got.own_sd == pytest.approx(own, rel=1e-9)
    # Log likelihood, but for a constant: by SciPy's normal distribution.
    normal = multivariate_normal(np.zeros(4), one.design @ prior @ one.design.T + noise)
    constant = 0.5 * 4 * np.log(2.0 * np.pi)
    assert got.evidence == pytest.approx(normal.logpdf(one.value_mm) + constant, rel=1e-9)


def test_a_bar_that_nothing_tells_may_sit_as_bars_may():
    """Own parts of 2 mm, 1.75 mm of tilt and 0.1 mm of sag beside the common ones of 3, 1.75 and 1 mm."""
    placings = Placings(
        np.zeros(3, dtype=np.int64),
        np.array([-200.0, 0.0, 200.0]),
        np.array([200.0]),
        np.ones(1, bool),
        True,
        215.0,
    )
    bars = seated_bars(placings, np.zeros(3), np.zeros(3, dtype=bool), np.arange(3))
    errors = [float(bars.part(j)[1][0]) for j in range(3)]
    assert errors == pytest.approx([np.hypot(2.0, 3.0), np.hypot(1.75, 1.75), np.hypot(0.1, 1.0)], rel=1e-6)


def test_the_share_that_neighbours_have_in_common_is_a_mean_by_bayes():
    """Of 0, 0.2, 0.4, 0.6 and 0.8, as likely before; the readings by SciPy's normal distribution."""
    rng = np.random.default_rng(3)
    x = np.arange(-200.0, 201.0, 25.0)
    apart = np.abs(np.subtract.outer(x, x))
    near = np.exp(-apart / 40.0)
    values = np.linalg.cholesky(0.5 * np.eye(len(x)) + 0.5 * near) @ rng.normal(0.0, 0.25, len(x))
    one = told(values, 1, per=len(x))
    like = bars_alike.alike(one)
    prior = np.diag(np.append([*like.own_sd, 0.1], [3.0, 1.75, 1.0]) ** 2)
    prior[0, 0] *= like.wide[0]
    evidence = []
    shares = np.array([0.0, 0.2, 0.4, 0.6, 0.8])
    for share in shares:
        noise = (1.0 - share) * np.eye(len(x)) + share * near + np.diag(1.0 / like.weight - 1.0)
        whole = one.design @ prior @ one.design.T + like.noise_mm**2 * noise
        evidence.append(multivariate_normal(np.zeros(len(x)), whole).logpdf(values))
    weight = np.exp(np.array(evidence) - max(evidence))
    assert how_bars_sat._share(one, like, apart) == pytest.approx(weight @ shares / weight.sum(), rel=1e-6)
    assert how_bars_sat._share(one, like, np.zeros((0, 0))) == 0.2


def test_two_settings_agree_within_two_deviations_of_the_mean_of_what_was_read_twice():
    """Of m differences a share of noise that neighbours share stays, the rest falls with m; either half counts too."""
    placings = Placings(
        np.repeat([0, 1], 4), np.tile(np.arange(4.0), 2), np.zeros(2), np.ones(2, bool), True, 0.0
    )
    pairs = [(k, k + 4) for k in range(4)]
    for parts, count in (([1, 1, 1, 1], 4), ([1, 1, -1, -1], 2)):
        chance = 0.25 * np.sqrt(2.0 * (0.2 + 0.8 / count))
        for sigmas, agree in ((1.97, True), (2.03, False)):
            off = np.concatenate([sigmas * chance * np.array(parts), np.zeros(4)])
            assert how_bars_sat._agree(placings, off, pairs, 0.25, 0.2) == agree


@pytest.mark.parametrize(("reach", "places"), [(151.0, 2), (149.0, 1)])
def test_crossings_read_twice_tell_of_tilt_from_150_mm_on(reach, places):
    placings = Placings(
        np.repeat([0, 1], 3), np.tile([0.0, 40.0, reach], 2), np.zeros(2), np.ones(2, bool), True, 0.0
    )
    like = bars_alike.alike(told(np.zeros(4), 1))
    same = np.tile(np.arange(3), 2)
    found = how_bars_sat._sits_as_bars_do(placings, np.zeros(6), np.ones(6, bool), same, like, 0.2)
    assert sorted({one[0] for one in found}) == [0, 1]
    assert len(found) == 2 * places


def test_rounds_end_when_nothing_moves_by_a_hundredth_any_more(monkeypatch):
    """Not sooner: one more round moves scatter by less than that; and not only when there are no rounds left."""
    rounds = []
    improved = bars_alike._improved

    def counted(told, now):
        rounds.append(improved(told, now))
        return rounds[-1]

    monkeypatch.setattr(bars_alike, "_improved", counted)
    rng = np.random.default_rng(8)
    one = told(rng.normal(0.0, 0.3, 12), 3)
    found = bars_alike.alike(one)
    assert 2 <= len(rounds) < bars_alike.ROUNDS
    moved = [
        max(
            np.abs(after.own_sd / before.own_sd - 1.0).max(),
            abs(after.noise_mm / before.noise_mm - 1.0),
            np.abs(after.weight - before.weight).max(),
        )
        for before, after in zip([*rounds[:-1]], rounds[1:], strict=True)
    ]
    assert moved[-1] < 0.0101
    assert min(moved[:-1], default=1.0) > 0.0099
    assert found is rounds[-1]
