"""What counts as read, left and right, ripples and cuts: limits at both sides, chances by the normal law."""

from types import SimpleNamespace

import numpy as np
import pytest
from scipy.stats import norm

from seatmesh.adjustment import Adjustment
from seatmesh.gauge.bar.how_bars_sat import SHARED_MM, shared_noise
from seatmesh.gauge.check import check_readings, judged_readings, left_right
from seatmesh.gauge.check.fair import ripples
from seatmesh.gauge.check.fair.fair_surface import places_at
from seatmesh.gauge.check.fair.greatest_by_chance import chance_limit
from seatmesh.gauge.check.further.next_cuts import Field, next_cuts
from seatmesh.gauge.check.left_right import left_against_right
from seatmesh.surface import Seat

NO_TWO = np.zeros(2, dtype=bool)


def seen(amount_mm, reading_at):
    """Of a hollow that only the cell under its middle, at (0, 200), can be part of: the share that was read nearby."""
    seat = Seat(adjustments=(Adjustment(0.0, 200.0, 5.0, amount_mm),))
    at = (np.array([reading_at]), np.array([200.0]))
    return check_readings._seen(seat, at, 100.0)[0]


def test_the_hollow_is_what_is_carved_by_three_tenths_and_read_within_three_quarters_of_a_space():
    assert seen(0.295, 300.0) == 1.0, "no hollow, nothing unread"
    assert seen(0.305, 300.0) == 0.0
    assert seen(2.0, 74.0) == 1.0
    assert seen(2.0, 76.0) == 0.0


def test_a_seat_is_finished_with_nine_tenths_of_it_read_or_all_that_a_bar_can_reach(monkeypatch):
    def unread(share, could_be):
        monkeypatch.setattr(check_readings, "_could_be_seen", lambda *_: could_be)
        return check_readings._unread(None, None, share, 25.0)

    assert unread(0.905, 1.0) == ()
    assert unread(0.895, 1.0) == ("only 90% of the hollow has been read",)
    assert unread(0.705, 0.7148) == (), "a hundredth less than could be is all of it"
    assert unread(0.705, 0.7153) != ()


def cut_by(amounts, cell=10.0, at_most=None, reach=None):
    """A field of cells in one row, all of them carved and surely off."""
    take = np.array([amounts], dtype=float)
    yes = np.ones(take.shape, dtype=bool)
    most = take if at_most is None else np.array([at_most], dtype=float)
    x = np.arange(len(amounts)) * cell
    return Field(x, np.zeros(1), take, most, yes, yes, yes)


def test_a_cut_is_ordered_of_four_square_centimetres_and_more_and_no_farther_than_80_mm():
    # Cells count 25 mm2 each: 16 of them are 4 cm2.
    assert next_cuts(cut_by([1.0] * 15, 5.0), 0.5) == ()
    (one,) = next_cuts(cut_by([1.0] * 16, 5.0), 0.5)
    assert (one.area_cm2, one.volume_cm3) == (pytest.approx(4.0), pytest.approx(0.4))
    for spacing, cells in ((4.97, 17), (5.03, 16)):
        (one,) = next_cuts(cut_by([1.1] + [1.0] * 16, spacing), 0.5)
        assert one.area_cm2 == pytest.approx(0.25 * cells)


def test_a_cut_is_ordered_where_readings_bear_out_half_of_the_tolerance():
    for borne_out, ordered in ((0.255, True), (0.245, False)):
        assert bool(next_cuts(cut_by([1.0] * 20, 5.0, [borne_out] * 20), 0.5)) == ordered


def test_the_scatter_of_carved_wood_is_no_less_than_seven_tenths_of_that_on_uncut_wood(monkeypatch):
    """Less what neighbours share: with a fifth of the variance in common sqrt(0.8) of it is each reading's own."""
    told = {}

    def taken(x, y, off, shared, least):
        told["least"] = least
        raise InterruptedError

    monkeypatch.setattr(judged_readings, "without_misread", taken)
    monkeypatch.setattr(judged_readings, "_shared", lambda *_: None)
    r = SimpleNamespace(
        read=np.ones(2, dtype=bool),
        told_here=np.zeros(2, dtype=bool),
        target_mm=np.full(2, 5.0),
        to_take_mm=np.zeros(2),
        x_mm=np.zeros(2),
        y_mm=np.zeros(2),
        bars=SimpleNamespace(noise_mm=0.4, shared=0.2),
    )
    with pytest.raises(InterruptedError):
        judged_readings.judged(Seat(), r, 0.5)
    assert told["least"] == pytest.approx(0.7 * 0.4 * np.sqrt(0.8))


def test_what_readings_share_is_noise_that_falls_off_over_40_mm_and_the_bar():
    """Per variance of what each has alone: a fifth of the noise is shared by neighbours, four fifths are its own."""
    x, y = np.array([0.0, 40.0, 0.0, 100.0]), np.array([0.0, 0.0, 30.0, 0.0])
    bar = 0.01 * np.array(
        [[4.0, 1.0, 0.0, 0.0], [1.0, 3.0, 0.0, 0.0], [0.0, 0.0, 2.0, 1.0], [0.0, 0.0, 1.0, 5.0]]
    )
    placings = SimpleNamespace(apart_mm=lambda at: np.hypot(x[at][:, None] - x[at], y[at][:, None] - y[at]))
    bars = SimpleNamespace(shared=0.2, noise_mm=0.3, placings=placings, covariance_mm2=lambda: bar)
    at = np.array([0, 1, 2])
    got = judged_readings._shared(SimpleNamespace(bars=bars), at)
    apart = np.array([[0.0, 40.0, 30.0], [40.0, 0.0, 50.0], [30.0, 50.0, 0.0]])
    noise = 0.2 / 0.8 * np.exp(-apart / 40.0)
    assert got == pytest.approx(noise + bar[:3, :3] / (0.09 * 0.8))
    assert SHARED_MM == 40.0
    assert shared_noise(apart, 0.2) == pytest.approx(0.8 * np.eye(3) + 0.2 * np.exp(-apart / 40.0))


def compared(difference, noise=0.25, told=None, read=True):
    """Forty pairs over a patch 100 x 60 mm wide that all differ alike."""
    x, y = (a.ravel() for a in np.meshgrid(np.arange(50.0, 151.0, 25.0), np.arange(100.0, 276.0, 25.0)))
    n = len(x)
    depth = np.concatenate([np.full(n, difference), np.zeros(n)]) if read else np.full(2 * n, np.nan)
    proud = np.full(2 * n, np.nan)
    if told is not None:
        proud[:n] = told
    pair = np.concatenate([np.arange(n) + n, np.arange(n)])
    return left_against_right(
        np.arange(2 * n), (np.concatenate([-x, x]), np.concatenate([y, y])), depth, pair, proud, noise
    )


def test_left_and_right_differ_from_what_is_felt_on():
    assert not compared(0.343, 0.05).differs
    assert compared(0.357, 0.05).differs


def test_a_comparison_by_eye_weighs_as_one_of_three_tenths_of_a_millimetre():
    """The mean of two values by their precisions: that of a difference of readings has twice a reading's variance."""
    both = compared(1.0, 0.25, told=0.0)
    read, eye = 1.0 / (2.0 * 0.25**2), 1.0 / 0.3**2
    assert both.left_minus_right_mm == pytest.approx(read / (read + eye))
    alone = compared(0.0, 0.25, told=-0.8, read=False)
    assert alone.left_minus_right_mm == pytest.approx(0.8)
    # Patches of 100 mm radius hold most pairs: the mean of m of them stands out by its root of m.
    most = max(
        sum(np.hypot(50.0 + 25.0 * i - a, 100.0 + 25.0 * j - b) <= 100.0 for i in range(5) for j in range(8))
        for a in np.arange(50.0, 181.0, 30.0)
        for b in np.arange(100.0, 306.0, 30.0)
    )
    assert alone.ratio == pytest.approx(0.8 / 0.3 * np.sqrt(most))


def test_false_alarms_are_shared_out_among_what_is_looked_for():
    """Limits of statistics mean nothing but the chance that they leave: ripples of three kinds in one clean carving of
    a hundred each, left against right in three of a hundred."""
    assert [kind.false_alarms for kind in ripples.KINDS] == [0.01] * 3
    assert left_right.FALSE_ALARMS == 0.03


@pytest.mark.parametrize("false_alarms", [0.01, 0.03, 0.1])
def test_limits_of_rare_events_follow_from_common_ones(false_alarms):
    """Of 200 independent pairs the closed form is known; the quantiles of 0.6 to 0.9 carry it on to 1 in 100."""
    pairs = np.eye(400).reshape(200, 2, 400)
    exact = np.sqrt(-2.0 * np.log(1.0 - (1.0 - false_alarms) ** (1.0 / 200)))
    # The noise itself is told from 400 readings, which widens the limit by a quarter of a percent or so.
    assert chance_limit(pairs, np.eye(400), false_alarms) == pytest.approx(exact, rel=0.012)


def test_ripples_are_looked_for_in_patches_of_one_and_a_half_and_of_more_waves():
    """A wave of a length and way is shown by readings all over its patch and by none beside it."""
    x, y = (a.ravel() for a in np.meshgrid(np.arange(-200.0, 201.0, 20.0), np.arange(0.0, 401.0, 20.0)))
    places, carved = places_at(x, y), np.ones(len(x), dtype=bool)
    for kind, (along, across) in zip(
        ripples.KINDS, ((120.0, 120.0), (300.0, 120.0), (120.0, 300.0)), strict=True
    ):
        waves, pairs = ripples._pairs(kind, places, carved)
        assert {one[3] for one in waves} == {0.0, np.pi / 4, np.pi / 2, 3 * np.pi / 4}
        wanted = {80.0} if along == across else {64.0, 80.0, 100.0}
        assert {one[2] for one in waves} == wanted
        for (a, b, length, turn, *_), (cosine, sine) in list(zip(waves, pairs, strict=True))[::40]:
            u = (x - a) * np.cos(turn) + (y - b) * np.sin(turn)
            v = (y - b) * np.cos(turn) - (x - a) * np.sin(turn)
            inside = (np.abs(u) <= along / 2) & (np.abs(v) <= across / 2)
            assert cosine == pytest.approx(np.cos(2 * np.pi * u / length) * inside)
            assert sine == pytest.approx(np.sin(2 * np.pi * u / length) * inside)
            assert inside.sum() >= kind.fewest


@pytest.mark.parametrize(("middle", "radius"), [((115.0, 195.0), 60.0), ((85.0, 255.0), 100.0)])
def test_a_difference_is_told_where_it_is(middle, radius):
    """Patches of two radii lie 30 mm apart, from the nearest pair on: none is farther than 21 mm from a difference."""
    x, y = (a.ravel() for a in np.meshgrid(np.arange(25.0, 201.0, 10.0), np.arange(75.0, 376.0, 10.0)))
    n = len(x)
    deeper = 1.0 * (np.hypot(x - middle[0], y - middle[1]) <= radius)
    pair = np.concatenate([np.arange(n) + n, np.arange(n)])
    said = left_against_right(
        np.arange(2 * n), (np.concatenate([-x, x]), np.concatenate([y, y])),
        np.concatenate([deeper, np.zeros(n)]), pair, np.full(2 * n, np.nan), 0.05,
    )  # fmt: skip
    assert said.left_minus_right_mm == pytest.approx(1.0)
    assert np.hypot(said.from_centre_mm - middle[0], said.y_mm - middle[1]) < 30.0
    if radius == 60.0:
        assert (said.from_centre_mm, said.y_mm, said.radius_mm) == (*middle, 60.0)


def test_patches_lie_thirty_millimetres_apart_and_hold_three_pairs():
    middles, inside = left_right._patches((20.0, 120.0, 120.0, 130.0), (100.0, 200.0, 240.0, 210.0))
    assert {round((a - 20.0) / 30.0, 9) % 1.0 for a, _, _ in middles} == {0.0}
    assert {round((b - 100.0) / 30.0, 9) % 1.0 for _, b, _ in middles} == {0.0}
    assert {radius for _, _, radius in middles} == {60.0, 100.0}
    assert inside.sum(axis=1).min() == 3.0


def test_what_is_read_of_a_hollow_is_its_share_of_the_plan():
    """Of a bowl 200 mm wide a reading on its edge sees the lens of two rounds: 100 mm each, their middles 100 mm apart.

    Its area is 2 r^2 acos(1/2) - 100 sqrt(3) / 2 r; carved by less than 0.3 mm is no hollow, hence the bowl is steep.
    """
    bowl = Adjustment(0.0, 200.0, 100.0, 1000.0)
    at = (np.array([-100.0]), np.array([200.0]))
    share, left = check_readings._seen(Seat(adjustments=(bowl,)), at, 100.0 / 0.75)
    lens = 2.0 * 100.0**2 * np.arccos(0.5) - 0.5 * 100.0 * np.sqrt(3.0) * 100.0
    assert share == pytest.approx(lens / (np.pi * 100.0**2), abs=0.015)
    # What is named lies in the bowl, and beyond what is read.
    assert np.hypot(left[0], left[1] - 200.0) < 100.0 < np.hypot(left[0] + 100.0, left[1] - 200.0)


def test_scatter_is_what_the_surface_leaves_and_what_neighbours_share(monkeypatch):
    """A surface tells 0.8 of the variance where neighbours share 0.2 of it; uncut wood tells it outright."""
    for of_surface, of_bars, noise in ((0.4, 0.1, 0.4 / np.sqrt(0.8)), (0.4, 0.6, 0.6)):
        surface = SimpleNamespace(noise_mm=of_surface)
        part = SimpleNamespace(surface=surface, sound=np.ones(2, dtype=bool), explained=NO_TWO)
        monkeypatch.setattr(judged_readings, "without_misread", lambda *_, one=part: one)
        monkeypatch.setattr(judged_readings, "_shared", lambda *_: None)
        monkeypatch.setattr(judged_readings, "dented", lambda *_: NO_TWO)
        monkeypatch.setattr(judged_readings, "_has_datum", lambda *_: NO_TWO)
        monkeypatch.setattr(judged_readings, "verdict", lambda *given: given[5])
        seen = {}
        monkeypatch.setattr(
            judged_readings, "repeats", lambda point, off, *_, into=seen: into.update(off=off)
        )
        r = SimpleNamespace(
            read=np.ones(2, dtype=bool), told_here=np.zeros(2, dtype=bool), target_mm=np.full(2, 5.0),
            as_read_mm=np.array([6.5, 4.0]), to_take_mm=np.zeros(2), x_mm=np.array([0.0, 30.0]), y_mm=np.zeros(2),
            point=np.arange(2),
            bars=SimpleNamespace(noise_mm=of_bars, shared=0.2, if_alike=lambda: (np.array([0.3, -0.2]), None)),
        )  # fmt: skip
        assert judged_readings.judged(Seat(), r, 0.5).noise_mm == pytest.approx(noise)
        # What is too deep once the bar is taken off: 6.5 - 5 - 0.3 and 4 - 5 + 0.2.
        assert seen["off"] == pytest.approx([1.2, -0.8])


@pytest.mark.parametrize("pairs", [8, 30])
def test_one_patch_alone_has_the_limit_of_one_normal_figure(pairs):
    """Pairs side by side lie all in the same patches: there is one figure, and the normal's limit is the least due.

    The tail is carried on by the law of the greatest of many, which for a single one is careful: by a quarter.
    """
    near = tuple(np.linspace(0.0, 1.0, pairs).tolist())
    due = float(norm.isf(0.5 * left_right.FALSE_ALARMS))
    assert due < left_right._limit(near, near) < 1.3 * due


def test_a_single_place_is_taken_to_stand_on_a_grid_of_25_mm():
    """What a sheet is drawn with unless the maker asks for another spacing (`seatmesh gauge`)."""
    assert judged_readings.spacing_of(np.zeros(3), np.full(3, 200.0)) == 25.0
    assert judged_readings.spacing_of(np.array([0.0, 40.0, 40.0]), np.full(3, 200.0)) == 40.0
