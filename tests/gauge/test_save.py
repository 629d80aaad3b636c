"""Saving a deep cut: met where the wood is gone, inside its bounds, fair, and by the least wood (a second solver)."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import linprog

from seatmesh.adjustment import Adjustment
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.fit.fair.fairness import undulations
from seatmesh.gauge.check.check_readings import check_readings
from seatmesh.gauge.save.gouge import Gouge
from seatmesh.gauge.save.least_wood import _curvatures, _integrals
from seatmesh.gauge.save.pressure_effect import pressure_effect
from seatmesh.gauge.save.save_cut import save_cut
from seatmesh.gauge.save.saved_report import saved_report, saved_text
from seatmesh.spline import BicubicSpline, clamped_knots, design_matrix
from seatmesh.surface import flat_seat
from seatmesh.wood.joint import Joint

GOUGE = Gouge(70.0, 160.0, 40.0, 2.0)


def over_the_gouge(gouge):
    u, v = np.meshgrid(
        np.arange(-gouge.radius_mm, gouge.radius_mm + 1), np.arange(-gouge.radius_mm, gouge.radius_mm + 1)
    )
    inside = np.hypot(u, v) <= gouge.radius_mm
    return gouge.x_mm + u[inside], gouge.y_mm + v[inside]


@pytest.mark.parametrize("sides", ["symmetric", "as cut"])
def test_the_new_seat_lies_at_or_below_the_gouge_and_is_fair(carved_seat, sides):
    saved = save_cut(carved_seat, None, [GOUGE], sides)
    x, y = over_the_gouge(GOUGE)
    # A round bowl: depth (1 - r^2 / R^2) below the drawn seat.
    bowl = 2.0 * np.maximum(1.0 - ((x - 70.0) ** 2 + (y - 160.0) ** 2) / 1600.0, 0.0)
    assert np.all(saved.seat.depth_mm(x, y) >= carved_seat.depth_mm(x, y) + bowl - 2e-3)
    assert saved.most_mm == pytest.approx(2.0, abs=0.05)
    assert saved.fair
    assert undulations(saved.seat) <= undulations(carved_seat)
    c = saved.seat.hollow.coefficients
    assert np.allclose(c, c[::-1]) == (sides == "symmetric")
    assert np.all(c >= carved_seat.hollow.coefficients)


def test_a_second_solver_finds_no_less_wood(carved_seat):
    programme = (saved := save_cut(carved_seat, None, [GOUGE], "symmetric")).programme
    second = linprog(programme.cost, A_ub=programme.matrix, b_ub=programme.most, method="highs")
    assert programme.cost @ saved.solution.value == pytest.approx(second.fun, rel=1e-4)


def test_the_programme_speaks_of_integrals_and_curvatures(carved_seat):
    # Of x^2 / 2 + x y over a rectangle both are known in closed form.
    knots_x, knots_y = clamped_knots(-2.0, 2.0, 4), clamped_knots(0.0, 3.0, 3)
    x, y = ((k[1:-3] + k[2:-2] + k[3:-1]) / 3.0 for k in (knots_x, knots_y))
    values = 0.5 * x[:, None] ** 2 + x[:, None] * y + 1.0
    across, along = design_matrix(x, knots_x).toarray(), design_matrix(y, knots_y).toarray()
    spline = BicubicSpline(knots_x, knots_y, np.linalg.solve(across, np.linalg.solve(along, values.T).T))
    # Integral over [-2, 2] x [0, 3]: x^2 / 2 gives 8/3 * 3 = 8, x y gives 0, 1 gives 12.
    assert np.sum(_integrals(spline) * spline.coefficients) == pytest.approx(20.0)
    turns = _curvatures(spline) @ spline.coefficients.ravel()
    nx, ny = spline.coefficients.shape
    xx, yy, xy = np.split(turns, np.cumsum([(nx - 2) * ny, nx * (ny - 2)]))
    np.testing.assert_allclose(xx, 1.0, atol=1e-9)
    np.testing.assert_allclose(yy, 0.0, atol=1e-9)
    np.testing.assert_allclose(xy, 1.0, atol=1e-9)


def hole_at(gauged, deep_mm, at=(50.0, 300.0)):
    """A single crossing that reads deeper, and its index."""
    k = next(i for i, c in enumerate(gauged.crossings) if (c.x_mm, c.y_mm) == at)
    return k, np.where(np.arange(len(gauged.crossings)) == k, deep_mm, 0.0)


def met(saved, check, which):
    """How far the new seat lies below the wood at readings, least."""
    r = check.readings
    return float(np.min(saved.seat.depth_mm(r.x_mm, r.y_mm)[which] - r.depth_mm[which]))


def test_readings_that_others_bear_out_are_met_every_one(carved_seat, gauged, make_rows, places):
    x, y = places
    off = 2.5 * np.exp(-((x + 60.0) ** 2 + (y - 180.0) ** 2) / (2 * 35.0**2))
    check = check_readings(carved_seat, make_rows(gauged, off, seed=2))
    saved = save_cut(carved_seat, check)
    deep = np.array(check.state) == "too_deep"
    assert deep.sum() > 5
    assert met(saved, check, deep) >= -1e-3


def test_a_deep_reading_in_doubt_is_to_be_read_again_before_anything_is_saved(carved_seat, gauged, make_rows):
    k, off = hole_at(gauged, 2.5)
    rows = make_rows(gauged, off, seed=2)
    check = check_readings(carved_seat, rows)
    assert check.state[k] == "questioned"
    with pytest.raises(
        FileRefusedError, match=rf"point {k + 1} .*sitter's right.*below the new seat: read it again"
    ):
        save_cut(carved_seat, check)
    # Read again and found the same, it is wood: by a further row of the point, or by the column.
    again = replace(rows[k], line=900, source=1, reading_mm=rows[k].reading_mm + 0.1)
    for more in ((*rows, again), (*rows[:k], replace(rows[k], confirmed=True), *rows[k + 1 :])):
        check = check_readings(carved_seat, more)
        assert check.confirmed[k]
        saved = save_cut(carved_seat, check, scatter_mm=0.75)
        assert met(saved, check, check.confirmed) >= -1e-3
        assert saved.most_mm > 2.2


def test_a_reading_that_two_others_contradict_is_left_out_and_named(carved_seat, gauged, make_rows):
    k, off = hole_at(gauged, 2.5)
    rows = make_rows(gauged, off, seed=2)
    right = [
        replace(rows[k], line=900 + n, source=1 + n, reading_mm=rows[k].expected_mm + 0.1 * n)
        for n in range(2)
    ]
    check = check_readings(carved_seat, (*rows, *right))
    saved = save_cut(carved_seat, check, scatter_mm=0.75)
    assert saved.most_mm < 0.5
    assert any(
        "1 reading left out, misread, as other readings of the same crossing say" in one
        for one in saved.notes
    )


def test_a_reading_in_doubt_that_would_change_nothing_is_told(carved_seat, gauged, make_rows):
    _, off = hole_at(gauged, -2.5)
    check = check_readings(carved_seat, make_rows(gauged, off, seed=2))
    saved = save_cut(carved_seat, check, scatter_mm=0.75)
    assert saved.seat is not None
    assert any("in doubt" in note for note in saved.notes)


def test_a_bar_that_sat_high_deepens_nothing(carved_seat, gauged, make_rows):
    """Every reading 1 mm too much, uncut wood too: there is no cut to save."""
    check = check_readings(carved_seat, make_rows(gauged, 1.0, seed=2))
    saved = save_cut(carved_seat, check, scatter_mm=0.75)
    assert saved.most_mm < 0.3


def test_a_confirmed_cut_into_the_deck_is_no_scatter(carved_seat, gauged, make_rows):
    k, off = hole_at(gauged, 1.5, at=(0.0, 25.0))
    rows = make_rows(gauged, off, seed=2)
    with pytest.raises(FileRefusedError, match="in doubt"):
        save_cut(carved_seat, check_readings(carved_seat, rows))
    sure = (*rows[:k], replace(rows[k], confirmed=True), *rows[k + 1 :])
    assert "deck" in save_cut(carved_seat, check_readings(carved_seat, sure)).verdict


def test_scatter_may_be_allowed_for(carved_seat, gauged, make_rows):
    check = check_readings(carved_seat, make_rows(gauged, seed=4))
    strict, easy = save_cut(carved_seat, check), save_cut(carved_seat, check, scatter_mm=0.75)
    assert easy.further_cm3 < 0.2 * strict.further_cm3


def test_floor_and_joints_bound_it_and_what_is_left_is_told(carve):
    seat = carve(floor_mm=24.0)
    lost = save_cut(seat, None, [Gouge(70.0, 160.0, 40.0, 6.0)])
    assert lost.seat is None
    x, y = over_the_gouge(Gouge(70.0, 160.0, 40.0, 6.0))
    bowl = 6.0 * np.maximum(1.0 - ((x - 70.0) ** 2 + (y - 160.0) ** 2) / 1600.0, 0.0)
    assert lost.floor_left_mm == pytest.approx(45.0 - np.max(seat.depth_mm(x, y) + bowl), abs=0.05)
    assert "floor asks for 24 mm" in lost.verdict
    jointed = carve(
        joints=(Joint("leg mortise", 100.0, 330.0, diameter_mm=30.0, depth_mm=25.0, keep_mm=8.0),)
    )
    saved = save_cut(jointed, None, [Gouge(40.0, 300.0, 30.0, 2.0)], "as cut")
    columns, rows = np.meshgrid(np.arange(-140.0, 141.0, 2.0), np.arange(280.0, 380.0, 2.0))
    over = saved.seat.depth_mm(columns, rows) - jointed.blank.allowed_depth_mm(columns, rows)
    drawn = jointed.depth_mm(columns, rows) - jointed.blank.allowed_depth_mm(columns, rows)
    assert np.all(over <= np.maximum(drawn, 0.0) + 1e-3)


def test_a_cut_into_the_deck_cannot_be_saved(carved_seat):
    lost = save_cut(carved_seat, None, [Gouge(0.0, 45.0, 15.0, 2.0)])
    assert lost.seat is None
    assert "deck" in lost.verdict
    assert "no fair seat" in saved_report(lost, "mm")["words"]


ADJUSTED = (
    Adjustment(60.0, 250.0, 60.0, 1.5, "both"),
    Adjustment(-70.0, 180.0, 45.0, -2.0, "one"),
    Adjustment(90.0, 130.0, 12.0, 3.0, "one"),
)


@pytest.mark.parametrize("sides", ["symmetric", "as cut"])
@pytest.mark.parametrize("adjustments", [(), ADJUSTED])
def test_the_saved_seat_is_nowhere_shallower_than_drawn(carved_seat, sides, adjustments):
    """Every half millimetre: a small deep circle and a raised one fall between a spline's knots."""
    seat = replace(carved_seat, adjustments=adjustments)
    x, y = np.arange(-240.0, 240.1, 0.5)[None, :], np.arange(0.0, 430.1, 0.5)[:, None]
    for gouge in (Gouge(-70.0, 175.0, 30.0, 2.5), Gouge(85.0, 140.0, 25.0, 1.0)):
        saved = save_cut(seat, None, [gouge], sides)
        assert np.min(saved.seat.depth_mm(x, y) - seat.depth_mm(x, y)) >= -1e-6
        at = over_the_gouge(gouge)
        assert np.all(saved.seat.depth_mm(*at) >= seat.depth_mm(*at) + gouge.below_drawn_mm(*at) - 2e-3)
        assert saved.seat.adjustments == adjustments


def test_the_sitters_pressure_before_and_after_is_told(carved_seat):
    body = estimate_body("female", 1640, 61)
    saved = save_cut(carved_seat, None, [Gouge(60.0, 150.0, 35.0, 4.0)])
    effect = pressure_effect(body, carved_seat, saved.seat)
    assert effect["change"] == pytest.approx(effect["after_kpa"] / effect["before_kpa"] - 1.0, abs=2e-3)
    assert effect["after_kpa"] != effect["before_kpa"]
    text = saved_text({**saved_report(saved, "mm", [effect]), "file": None})
    assert effect["words"] in text


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda seat: save_cut(flat_seat(), None, [GOUGE]), "seat"),
        (save_cut, "cut"),
        (lambda seat: save_cut(seat, None, [GOUGE], "both"), "sides"),
        (lambda seat: save_cut(seat, None, [GOUGE], scatter_mm=-1.0), "scatter_mm"),
        (lambda seat: save_cut(seat, None, [Gouge(500.0, 100.0, 20.0, 1.0)]), "a place on the blank"),
        (lambda seat: Gouge(0.0, 100.0, 0.0, 1.0), "radius_mm"),
        (lambda seat: Gouge(0.0, 100.0, 10.0, float("nan")), "depth_mm"),
    ],
)
def test_what_cannot_be_saved_is_refused_in_words(carved_seat, ask, words):
    with pytest.raises(ValueRefusedError, match=words):
        ask(carved_seat)


@pytest.mark.parametrize(
    ("gouge", "adjustments"),
    [
        (Gouge(60.0, 419.0, 12.0, 2.0), ()),
        (Gouge(70.0, 160.0, 30.0, 2.0), (Adjustment(70.0, 160.0, 60.0, 3.0, "both"),)),
        (Gouge(70.0, 160.0, 30.0, 2.0), (Adjustment(70.0, 160.0, 60.0, -3.0, "both"),)),
    ],
)
def test_no_more_is_taken_than_the_gouge_asks_for_on_the_roll_and_in_an_adjustment(
    carved_seat, gouge, adjustments
):
    """The front roll and adjustments stay as they are: the hollow goes down by the gouge's own depth alone."""
    seat = replace(carved_seat, adjustments=adjustments)
    saved = save_cut(seat, None, [gouge])
    assert saved.verdict == "saved"
    deeper = float(saved.seat.depth_mm(gouge.x_mm, gouge.y_mm) - seat.depth_mm(gouge.x_mm, gouge.y_mm))
    assert 2.0 - 2e-3 <= deeper < 2.1
