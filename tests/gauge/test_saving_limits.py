"""What decides whether a reading bears out a cut: limits at both sides of each, without solving anything."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.optimize import linprog

from seatmesh.adjustment import Adjustment
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.errors import FileRefusedError
from seatmesh.fit.bounded.bounds import Bounds
from seatmesh.gauge.check.verdict import AGAIN, DONE, MISREAD, QUESTIONED, TOO_DEEP
from seatmesh.gauge.save import least_wood, pressure_effect, save_cut, save_wood
from seatmesh.gauge.save.gouge import Gouge
from seatmesh.gauge.save.saved_report import saved_report
from seatmesh.seating.figures import FELT_SHARE
from seatmesh.solution import Solution
from seatmesh.spline import BicubicSpline, clamped_knots
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.blank import Blank


def check_of(
    take, fair, noise=0.3, error=0.4, state=QUESTIONED, why=AGAIN, uncut=False, confirmed=False, target=5.0
):
    """A check of one reading."""
    one = np.array([take], dtype=float)
    readings = SimpleNamespace(
        to_take_mm=one,
        told_here=np.array([uncut]),
        target_mm=np.array([target]),
        depth_mm=target - one,
        read=np.ones(1, dtype=bool),
        x_mm=np.zeros(1),
        y_mm=np.array([200.0]),
        point=np.array([7]),
        bars=SimpleNamespace(noise_mm=noise),
    )
    return SimpleNamespace(
        readings=readings,
        fair_to_take_mm=np.array([fair]),
        error_mm=np.array([error]),
        surface=SimpleNamespace(noise_mm=noise),
        state=(state,),
        why=(why,),
        confirmed=np.array([confirmed]),
        seat=Seat(),
    )


def test_a_questioned_reading_is_in_doubt_from_two_and_a_half_deviations_off_its_neighbours():
    """Scatter and the surface's error together: 0.3 and 0.4 mm make 0.5."""
    for off, doubted in ((1.23, False), (1.27, True)):
        for sign in (1.0, -1.0):
            assert save_wood.in_doubt(check_of(-2.0 + sign * off, -2.0)).tolist() == [doubted]
    assert save_wood.in_doubt(check_of(-2.0, -2.0, uncut=True)).all(), (
        "on uncut wood it speaks for itself alone"
    )
    assert not save_wood.in_doubt(check_of(-2.0, -2.0, uncut=True, confirmed=True)).any()
    assert save_wood.in_doubt(check_of(-2.0, -2.0, why="its readings disagree")).all()
    assert not save_wood.in_doubt(check_of(-9.0, -2.0, state=DONE)).any()


@pytest.mark.parametrize(
    ("deep", "noise", "confirmed", "counts"),
    [
        # Scatter is up to 0.3 mm, or three deviations; of two readings their mean's, smaller by the root of 2.
        (0.295, 0.05, False, False),
        (0.305, 0.05, False, True),
        (0.89, 0.3, False, False),
        (0.91, 0.3, False, True),
        (0.63, 0.3, True, False),
        (0.645, 0.3, True, True),
    ],
)
def test_on_wood_that_stays_uncut_scatter_is_no_cut(deep, noise, confirmed, counts):
    check = check_of(-deep, -deep, noise, state=DONE, confirmed=confirmed, target=0.0)
    use, notes = save_wood._borne_out(check)
    assert use.tolist() == [counts]
    assert bool(notes) == (not counts)
    surely = check_of(-deep, -deep, noise, state=TOO_DEEP, confirmed=confirmed, target=0.0)
    assert save_wood._borne_out(surely)[0].all()
    assert not save_wood._borne_out(check_of(-deep, -deep, noise, state=MISREAD, target=0.0))[0].any()


def test_a_doubt_matters_from_three_tenths_below_the_new_seat_on():
    flat = flat_seat()
    for deep, scatter, refused in (
        (0.295, 0.0, False),
        (0.305, 0.0, True),
        (0.7, 0.75, False),
        (0.8, 0.75, True),
    ):
        check = check_of(-deep, 9.0, target=0.0)
        if refused:
            with pytest.raises(FileRefusedError, match="point 7"):
                save_wood.refuse_doubted(check, flat, scatter)
        else:
            save_wood.refuse_doubted(check, flat, scatter)


def test_what_a_scraper_takes_from_the_deck_is_no_cut_into_it():
    on_deck = flat_seat(Blank(deck_mm=120.0))
    for deep, ahead in ((0.049, True), (0.051, False)):
        wood = save_wood.wood_of(on_deck, None, [Gouge(0.0, 60.0, 20.0, deep - 0.0001)], 0.0)
        assert wood.ahead.all() == ahead


@pytest.mark.parametrize("middle", [(0.0, 200.0), (-70.0, 160.0)])
def test_a_gouge_is_met_all_over_its_round(middle):
    gouge = Gouge(*middle, 20.0, 2.0)
    x, y = gouge.places()
    away = np.hypot(x - middle[0], y - middle[1])
    assert away.max() < 20.0
    # Places 1.5 mm apart: pi r^2 over 2.25 mm2 of them, and no place of the bowl is farther than half a diagonal off.
    assert len(x) == pytest.approx(np.pi * 20.0**2 / 1.5**2, rel=0.02)
    # Between two places an arc of the bowl bulges by what its chord leaves: d (s / 2 r)^2 along each of two ways.
    assert gouge.between_mm == pytest.approx(2.0 * 2.0 * (0.75 / 20.0) ** 2)
    assert float(gouge.below_drawn_mm(np.array(middle[0] + 10.0), np.array(middle[1]))) == pytest.approx(1.5)


def test_bounds_are_passed_by_a_hundredth_of_a_millimetre_or_not_at_all(monkeypatch):
    seat = flat_seat()
    wood = save_wood.WoodAsCut(np.zeros(1), np.full(1, 200.0), np.ones(1), np.ones(1, dtype=bool), ())
    for over, told in ((0.0098, "no fair seat within"), (0.0102, "would pass the bounds")):
        monkeypatch.setattr(
            save_cut, "least_overstep", lambda _, mm=over: Solution((mm, np.zeros(1)), "converged", 1, 0.0)
        )
        lost = save_cut._lost(
            seat, None, Solution(np.zeros(1), "no fair seat within the bounds", 1, 0.0), wood
        )
        assert told in lost.verdict
        assert lost.floor_left_mm == pytest.approx(44.0 if over < 0.01 else 20.0 - over)


def test_a_change_of_pressure_is_called_felt_from_a_tenth_on(monkeypatch):
    """S13: 10 to 14 % are felt."""
    assert FELT_SHARE == 0.10
    monkeypatch.setattr(pressure_effect, "lay_over", lambda body, seat: None)
    for change, felt in ((0.098, False), (0.102, True), (-0.098, False), (-0.102, True)):
        peaks = {"before": 10.0, "after": 10.0 * (1.0 + change)}
        monkeypatch.setattr(
            pressure_effect, "settle", lambda _, seat, peaks=peaks: SimpleNamespace(peak_kpa=peaks[seat])
        )
        words = pressure_effect.pressure_effect(estimate_body("female", 1640, 61), "before", "after")["words"]
        assert ("cannot be felt" not in words) == felt
        assert (f"({change:+.0%})" in words) == felt


def test_the_most_curvature_of_what_is_taken_makes_no_wave_that_is_felt():
    """A wave a cos(2 pi x / 80) of curvature k is 2 a = 2 k (80 / 2 pi)^2 high: 0.39 mm at first, then less."""
    heights = [2.0 * curvature * (80.0 / (2.0 * np.pi)) ** 2 for curvature in save_cut.CURVATURES]
    assert heights == pytest.approx([0.389, 0.259, 0.162, 0.097], rel=0.01)


def test_only_what_is_a_bound_may_give_way():
    """Rows of the programme: two places, curvatures either way, then a bound for each coefficient, 6 mm less drawn."""
    knots_x, knots_y = clamped_knots(-60.0, 60.0, 4), clamped_knots(50.0, 110.0, 3)
    shape = len(knots_x) - 4, len(knots_y) - 4
    drawn = BicubicSpline(knots_x, knots_y, np.full(shape, 2.0))
    places, below = (np.array([0.0, 20.0, -30.0]), np.array([80.0, 70.0, 90.0])), np.array([3.0, 2.5, 1.0])
    made = least_wood.least_wood(
        drawn, least_wood.as_cut(drawn), places, below, 1e-3, Bounds(np.full(shape, 6.0)), None
    )
    bounds = made.matrix.toarray()[made.bound_rows :]
    assert np.array_equal(bounds, np.eye(drawn.coefficients.size))
    assert made.most[made.bound_rows :] == pytest.approx(4.0)
    # A place that the drawn seat reaches has no say; wood below the others by 2 micrometres more than asked for.
    assert made.most[:2] == pytest.approx([-1.002, -0.502])
    assert made.most[2 : made.bound_rows] == pytest.approx(1e-3)


def saved_as(amount_mm, monkeypatch):
    monkeypatch.setattr(save_cut, "undulations", lambda _: 0)
    bowl = Adjustment(-40.0, 200.0, 60.0, amount_mm)
    return save_cut._saved(
        flat_seat(), Seat(adjustments=(bowl,)), None, Solution(np.zeros(1), "converged", 1, 0.0), 1e-3, 0, ()
    ), bowl


def test_further_wood_is_told_in_cubic_centimetres(monkeypatch):
    """Of a bowl whose volume is known in closed form."""
    saved, bowl = saved_as(4.0, monkeypatch)
    assert saved.further_cm3 == pytest.approx(bowl.wood_mm3 * 1e-3, rel=0.005)
    assert saved.most_mm == pytest.approx(4.0, abs=0.01)
    assert np.hypot(saved.most_at_mm[0] + 40.0, saved.most_at_mm[1] - 200.0) < 3.0
    words = saved_report(saved, "mm")["words"]
    assert f"Take {bowl.wood_mm3 * 1e-3:.0f} cm3" in words


def test_less_than_half_a_hundredth_deeper_is_the_seat_as_drawn(monkeypatch):
    """A hundredth is the last place that any sheet or report shows of a depth."""
    for deeper, nothing in ((0.00494, True), (0.00514, False)):
        saved = replace(saved_as(4.0, monkeypatch)[0], most_mm=deeper)
        assert ("Nothing is to be saved" in saved_report(saved, "mm")["words"]) == nothing


def test_a_new_seat_misses_wood_and_drawing_by_a_thousandth_at_most():
    def wood(deep):
        return save_wood.WoodAsCut(
            np.zeros(1), np.full(1, 200.0), np.full(1, deep), np.ones(1, dtype=bool), ()
        )

    flat, lowered = flat_seat(), Seat(adjustments=(Adjustment(0.0, 200.0, 60.0, 1.0),))
    for miss, holds in ((0.00098, True), (0.00102, False)):
        assert save_cut._holds(flat, flat, wood(miss)) == holds
        assert save_cut._holds(flat, lowered, wood(1.0 + miss)) == holds
        raised = Seat(adjustments=(Adjustment(0.0, 200.0, 60.0, 1.0 - miss),))
        assert save_cut._holds(lowered, raised, wood(0.0)) == holds


def test_bounds_give_way_by_what_the_wood_is_missing():
    """A constant is a spline: where all bounds are 6 mm and wood is cut to 10 they have to give way by 4.

    Two micrometres more are kept below the wood. The wood's own cost, however large the knots' cells, buys no overstep.
    """
    knots_x, knots_y = clamped_knots(-300.0, 300.0, 3), clamped_knots(50.0, 350.0, 2)
    shape = len(knots_x) - 4, len(knots_y) - 4
    drawn = BicubicSpline(knots_x, knots_y, np.full(shape, 2.0))
    made = least_wood.least_wood(
        drawn, least_wood.as_cut(drawn), (np.array([40.0]), np.array([150.0])), np.array([10.0]), 1e-3,
        Bounds(np.full(shape, 6.0)), None,
    )  # fmt: skip
    found = least_wood.least_overstep(made)
    over, taken = found.value
    assert found.converged
    assert over == pytest.approx(4.002, abs=1e-4)
    assert float(made.hollow(taken)(np.array(40.0), np.array(150.0))) == pytest.approx(10.002, abs=1e-4)
    # Of all seats of that overstep it is the one of least wood: by scipy's HiGHS with bounds that far down.
    most = made.most.copy()
    most[made.bound_rows :] += over + 1e-6
    least = linprog(made.cost, made.matrix, most)
    assert made.cost @ taken == pytest.approx(least.fun, rel=1e-3)
