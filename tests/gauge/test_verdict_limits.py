"""The limits of the verdict, at both sides of each: just inside and just outside are told apart."""

from types import SimpleNamespace

import numpy as np
import pytest
from scipy.stats import norm

from seatmesh.gauge.check import verdict
from seatmesh.gauge.check.fair import dents
from seatmesh.gauge.check.fair.dents import dented
from seatmesh.gauge.check.fair.fair_surface import bare_surface, places_at
from seatmesh.gauge.check.verdict import CONTRADICTED, DONE, MISREAD, QUESTIONED, TOO_DEEP
from seatmesh.gauge.readings.repeats import Repeats

TOLERANCE_MM, SPACING_MM = 0.5, 25.0
NO = np.zeros(2, dtype=bool)


def row_of(*x_mm, **more):
    """Places on one row, all of them read, with what a verdict asks of readings."""
    x = np.array(x_mm, dtype=float)
    known = {"x_mm": x, "y_mm": np.zeros(len(x)), "read": np.ones(len(x), dtype=bool)}
    known |= {"bar_error_mm": np.zeros(len(x)), "bars": SimpleNamespace(noise_mm=0.0)}
    return SimpleNamespace(**{**known, **more})


def sure(x, off, error, own=None):
    off = np.array(off)
    return verdict._sure(
        row_of(*x), off, off if own is None else np.array(own), np.array(error), (TOLERANCE_MM, SPACING_MM)
    ).tolist()


def test_wood_is_off_from_three_and_a_half_standard_errors_on():
    assert sure([0.0, 500.0], [1.0, 1.0], [1.0 / 3.46, 1.0 / 3.54]) == [False, True]
    assert sure([0.0, 500.0], [0.49, 0.51], [0.1, 0.1]) == [False, True], "and beyond the tolerance"
    # Some 30 places are told apart: one passes by chance in 1 to 2 % of sound carvings.
    assert 0.010 < 1.0 - (1.0 - norm.sf(verdict.SURE) * 2.0) ** 30 < 0.0145


def test_beside_where_it_is_sure_two_standard_errors_do():
    beside = [0.0, 1.47 * SPACING_MM]
    assert sure(beside, [3.0, 1.0], [0.1, 1.0 / 2.04]) == [True, True]
    assert sure(beside, [3.0, 1.0], [0.1, 1.0 / 1.96]) == [True, False]
    assert sure([0.0, 1.53 * SPACING_MM], [3.0, 1.0], [0.1, 1.0 / 2.04]) == [True, False], (
        "a space and a half"
    )
    # The crossing's own reading counts as much: half of the tolerance in it, the surface has to have the rest.
    assert sure(beside, [3.0, 0.77], [0.1, 0.3], [3.0, 0.24]) == [True, True]
    assert sure(beside, [3.0, 0.75], [0.1, 0.3], [3.0, 0.24]) == [True, False]


def on_flat(off, noise, bar=0.0, confirmed=False):
    """States of five crossings in a row on flat wood, 25 mm apart, of which the middle one is `off`."""
    off = np.array(off)
    r = row_of(*(SPACING_MM * np.arange(len(off))), bar_error_mm=np.full(len(off), bar))
    state = np.full(len(off), QUESTIONED, dtype=object)
    alone, flat = np.full(len(off), np.hypot(noise, bar)), np.ones(len(off), dtype=bool)
    verdict._on_flat(
        r, noise, np.full(len(off), confirmed), (off, alone, flat), state, (TOLERANCE_MM, SPACING_MM)
    )
    return state.tolist()


def test_on_flat_wood_a_single_reading_stands_out_from_four_deviations_on():
    for sigmas, state in ((3.93, DONE), (4.07, QUESTIONED)):
        assert on_flat([0.0, 0.0, -sigmas * 0.2, 0.0, 0.0], 0.2)[2] == state
    assert on_flat([0.0, 0.0, -4.07 * 0.2, 0.0, 0.0], 0.2, confirmed=True)[2] == TOO_DEEP
    # One of 300 passes by chance in 2 % of carvings.
    assert 1.0 - (1.0 - 2.0 * norm.sf(verdict.STANDS_OUT)) ** 300 == pytest.approx(0.019, abs=0.001)


def test_on_flat_wood_three_neighbours_speak_for_each_other():
    # Two on either side within a space and a half are two: too few. Twice as near there are four.
    deep = [-0.6] * 9
    assert on_flat(deep, 0.2)[4] == DONE
    near = row_of(*(0.5 * SPACING_MM * np.arange(9)))
    for noise, state in (
        (0.6 / 3.5 * np.sqrt(6.0) * 1.02, DONE),
        (0.6 / 3.5 * np.sqrt(6.0) * 0.98, TOO_DEEP),
    ):
        said = np.full(9, QUESTIONED, dtype=object)
        taken = (np.array(deep), np.full(9, noise), np.ones(9, dtype=bool))
        verdict._on_flat(near, noise, np.zeros(9, dtype=bool), taken, said, (TOLERANCE_MM, SPACING_MM))
        # In the middle there are three others on either side within 37.5 mm.
        assert said[4] == state


def repeated(away, unsound):
    state, why = np.full(2, DONE, dtype=object), np.full(2, "", dtype=object)
    again = Repeats(NO, np.zeros(2, dtype=np.int64), NO, NO)
    verdict._repeated(again, np.array(unsound), np.array(away), state, why)
    return state.tolist(), why.tolist()


def test_a_reading_is_misread_where_the_other_lies_nearer_by_two_fifths():
    assert repeated([1.0, 0.39], [True, False])[0] == [MISREAD, DONE]
    assert repeated([1.0, 0.41], [True, False]) == ([QUESTIONED] * 2, [CONTRADICTED] * 2)
    assert repeated([1.0, 0.39], [True, True])[0] == [QUESTIONED] * 2, (
        "where neither is sound neither is misread"
    )


@pytest.fixture(scope="module")
def grid():
    x, y = (a.ravel() for a in np.meshgrid(np.arange(-100.0, 101.0, 25.0), np.arange(50.0, 251.0, 25.0)))
    return places_at(x, y)


@pytest.mark.parametrize("radius", [1.2, 1.8])
@pytest.mark.parametrize("at", [(0.0, 150.0), (12.5, 150.0), (-12.5, 162.5)])
def test_a_bowl_is_told_from_what_stands_out_by_chance(grid, radius, at):
    """Of a bowl's own shape the matched filter finds its depth, and no other shape stands out as far (Cauchy, Schwarz).

    The deviation of that depth is noise over the root of b' P b, b the bowl and P the precision.
    """
    apart = np.hypot(grid.x_mm - at[0], grid.y_mm - at[1]) / (radius * SPACING_MM)
    bowl = np.maximum(0.0, 1.0 - apart**2)
    precision = bare_surface(grid, bowl, 1.0, 4.0).precision
    deviation = 1.0 / np.sqrt(bowl @ precision @ bowl)
    for sigmas, found in ((4.14, False), (4.26, True)):
        surface = bare_surface(grid, 2.0 * bowl, 2.0 / (sigmas * deviation), 4.0)
        assert dented(surface, SPACING_MM, TOLERANCE_MM).any() == found
    # It matters from 1.2 tolerances on, by the narrowest bowl that fits it.
    for deep, found in ((1.18, False), (1.22, True)) if radius == 1.2 else ():
        surface = bare_surface(grid, deep * TOLERANCE_MM * bowl, 0.05, 4.0)
        assert dented(surface, SPACING_MM, TOLERANCE_MM).any() == found


def test_a_bowl_takes_in_what_is_deeper_than_a_quarter_of_it(grid):
    found = dented(
        bare_surface(grid, 2.0 * (np.hypot(grid.x_mm, grid.y_mm - 150.0) < 1.0), 0.05, 4.0), SPACING_MM, 0.5
    )
    assert np.hypot(grid.x_mm, grid.y_mm - 150.0)[found].tolist() == [0.0]
    assert dents.SHARE == 0.25


def test_of_300_places_one_dent_passes_by_chance_in_less_than_a_hundredth_of_carvings():
    """The limit of a statistic has no meaning but the chance it leaves; by the normal law, both signs."""
    assert 1.0 - (1.0 - 2.0 * norm.sf(dents.STANDS_OUT)) ** 300 == pytest.approx(0.008, abs=0.001)


def confirmed_twice(mean, error=0.05, noise=0.2, bar=0.0):
    """Two readings of one crossing that confirm each other, `mean` too deep; the fair surface lies on the seat."""
    n = 2
    readings = SimpleNamespace(
        read=np.ones(n, dtype=bool), bar_error_mm=np.full(n, bar), x_mm=np.zeros(n), y_mm=np.zeros(n),
        to_take_mm=np.full(n, -mean), target_mm=np.full(n, 9.0), told_here=np.zeros(n, dtype=bool),
        bars=SimpleNamespace(noise_mm=noise),
    )  # fmt: skip
    surface = SimpleNamespace(at=lambda x, y: np.zeros(len(x)), error_mm=lambda x, y: np.full(len(x), error))
    again = Repeats(np.ones(n, dtype=bool), np.zeros(n, dtype=np.int64), NO, NO)
    return verdict.verdict(
        readings, surface, again, (NO, NO), np.ones(n, dtype=bool), noise, (TOLERANCE_MM, SPACING_MM)
    )


def test_confirmed_readings_speak_for_themselves_from_two_and_a_half_deviations_off_the_surface():
    """The mean of two scatters by 0.2 / sqrt(2), the surface is unsure by 0.05: together 0.15."""
    for sigmas, own in ((2.45, False), (2.55, True)):
        said = confirmed_twice(0.15 * sigmas)
        assert said.to_take_mm == pytest.approx([-0.15 * sigmas if own else 0.0] * 2)


def test_a_bar_is_told_up_to_seven_tenths_of_the_tolerance():
    for bar, told in ((0.345, True), (0.355, False)):
        said = confirmed_twice(0.0, bar=bar)
        assert said.told.tolist() == [told] * 2
        assert said.state == (("done",) * 2 if told else (QUESTIONED,) * 2)


def test_done_is_what_is_surely_within_the_tolerance_to_either_side():
    """95 % on one side: 1.645 standard errors have to fit into 0.5 mm."""
    for error, state in ((0.5 / 1.66, DONE), (0.5 / 1.63, QUESTIONED)):
        assert confirmed_twice(0.0, error=error).state == (state,) * 2
    assert norm.cdf(verdict.WITHIN) == pytest.approx(0.95, abs=1e-3)


@pytest.mark.parametrize(("sigmas", "proud"), [(3.45, False), (3.55, True)])
def test_wood_stands_proud_where_more_is_to_be_taken_than_the_seat_is_deep(sigmas, proud):
    """Surely more: by three and a half errors, of 0.3 mm here, where that is more than the tolerance."""
    n = 2
    take = 2.0 + 0.3 * sigmas
    readings = SimpleNamespace(
        read=np.ones(n, dtype=bool), bar_error_mm=np.zeros(n), x_mm=np.zeros(n), y_mm=np.zeros(n),
        to_take_mm=np.full(n, take), target_mm=np.full(n, 2.0), told_here=np.zeros(n, dtype=bool),
        bars=SimpleNamespace(noise_mm=0.2),
    )  # fmt: skip
    surface = SimpleNamespace(
        at=lambda x, y: np.full(len(x), -take), error_mm=lambda x, y: np.full(len(x), 0.3)
    )
    again = Repeats(NO, np.arange(n), NO, NO)
    said = verdict.verdict(
        readings, surface, again, (NO, NO), np.ones(n, dtype=bool), 0.2, (TOLERANCE_MM, SPACING_MM)
    )
    assert said.why == ((verdict.PROUD,) * n if proud else ("",) * n)


@pytest.mark.parametrize(("sigmas", "against"), [(2.45, False), (2.55, True)])
def test_a_reading_speaks_against_a_cut_from_two_and_a_half_of_its_own_deviations_on(sigmas, against):
    """The surface says 3 mm are to be taken; the reading, of 0.2 mm of scatter, says less by so many of them."""
    n = 2
    readings = SimpleNamespace(
        read=np.ones(n, dtype=bool), bar_error_mm=np.zeros(n), x_mm=np.zeros(n), y_mm=np.zeros(n),
        to_take_mm=np.full(n, 3.0 - 0.2 * sigmas), target_mm=np.full(n, 9.0), told_here=np.zeros(n, dtype=bool),
        bars=SimpleNamespace(noise_mm=0.2),
    )  # fmt: skip
    surface = SimpleNamespace(
        at=lambda x, y: np.full(len(x), -3.0), error_mm=lambda x, y: np.full(len(x), 0.05)
    )
    again = Repeats(NO, np.arange(n), NO, NO)
    said = verdict.verdict(
        readings, surface, again, (NO, NO), np.ones(n, dtype=bool), 0.2, (TOLERANCE_MM, SPACING_MM)
    )
    assert said.state == ((QUESTIONED if against else verdict.TAKE),) * n
