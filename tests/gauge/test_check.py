"""What a check says of carvings whose truth is known."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh.errors import InputError
from seatmesh.gauge.check import check_report
from seatmesh.gauge.check.check_readings import check_readings
from seatmesh.gauge.check.check_report import gauge_report, gauge_text
from seatmesh.gauge.check.fair.fair_surface import places_at
from seatmesh.gauge.check.fair.greatest_by_chance import chance_limit
from seatmesh.gauge.check.fair.ripples import Ripple, ripples
from seatmesh.gauge.check.verdict import DATUM


@pytest.fixture(scope="module")
def bump(places):
    """2 mm of wood left in a round patch on the sitter's right, whose volume is known: 2 pi s^2 times its height."""
    x, y = places
    return -2.0 * np.exp(-((x - 75.0) ** 2 + (y - 200.0) ** 2) / (2 * 40.0**2))


def test_a_clean_carving_is_finished(carved_seat, gauged, make_rows):
    check = check_readings(carved_seat, make_rows(gauged, seed=12))
    assert check.finished
    assert set(check.state) == {"done"}
    assert check.cuts == ()
    assert check.ripples == ()
    assert not check.left_right.differs
    assert check.scatter_mm == pytest.approx(0.25, rel=0.12)


@pytest.fixture(scope="module")
def hollow(carved_seat, places):
    """1 where the seat is carved by more than 1.5 mm, 0 on uncut wood: wood is taken from the former alone."""
    return np.where(carved_seat.depth_mm(*places) > 1.5, 1.0, 0.0)


def states_in(check, hollow):
    return {one for one, inside in zip(check.state, hollow, strict=True) if inside}


def test_exact_readings_are_told_exactly(carved_seat, gauged, make_rows, hollow):
    check = check_readings(carved_seat, make_rows(gauged, -1.25 * hollow))
    assert states_in(check, hollow) == {"take"}
    report = gauge_report(check)
    taken = [one["to_take_mm"] for one, inside in zip(report["points"], hollow, strict=True) if inside]
    assert taken == pytest.approx([1.25] * len(taken), abs=0.01)
    assert not report["finished"]
    too_deep = check_readings(carved_seat, make_rows(gauged, 0.9 * hollow))
    assert states_in(too_deep, hollow) == {"too_deep"}
    assert too_deep.cuts == ()
    assert states_in(check_readings(carved_seat, make_rows(gauged, 0.4 * hollow)), hollow) == {"done"}


def test_the_tolerance_is_the_makers(carved_seat, gauged, make_rows, hollow):
    assert check_readings(carved_seat, make_rows(gauged, -1.25 * hollow), 1.3).finished
    assert not check_readings(carved_seat, make_rows(gauged, -0.4 * hollow), 0.3).finished


def test_the_next_cut_is_where_the_wood_is(carved_seat, gauged, make_rows, bump):
    check = check_readings(carved_seat, make_rows(gauged, bump, seed=5))
    first = check.cuts[0]
    assert np.hypot(first.x_mm - 75.0, first.y_mm - 200.0) < 15.0
    # No more than there is: 2.0 mm less what the readings leave open, one-sided 95 % of some 0.35 mm.
    assert 1.2 < first.amount_mm <= 2.05
    # Of a bell of height h and spread s the part above the tolerance t holds 2 pi s^2 (h - t) of wood (by integration).
    volume = sum(one.volume_cm3 for one in check.cuts)
    assert volume == pytest.approx(2 * np.pi * 40.0**2 * (2.0 - 0.5) / 1000.0, rel=0.15)
    report = gauge_report(check, "in")
    assert "sitter's right" in report["next_cuts"][0]["words"]
    assert '"' in report["next_cuts"][0]["words"]
    amounts = [one.amount_mm for one in check.cuts]
    assert amounts == sorted(amounts, reverse=True)


def test_no_cut_goes_where_the_fair_surface_is_down_to_the_seat(carved_seat, gauged, make_rows, bump):
    check = check_readings(carved_seat, make_rows(gauged, bump, seed=6))
    x, y = np.meshgrid(check.field.x_mm, check.field.y_mm)
    for cut in check.cuts:
        near = np.hypot(x - cut.x_mm, y - cut.y_mm) <= 3.0
        assert np.all(check.field.to_take_mm[near] > 0.0)
        assert cut.mean_mm > check.tolerance_mm
        assert cut.volume_cm3 == pytest.approx(cut.mean_mm * cut.area_cm2 / 10.0, rel=1e-9)
    no_longer = check_readings(carved_seat, make_rows(gauged, np.where(bump < -0.3, 0.1, 0.0), seed=6))
    assert no_longer.cuts == ()


def test_a_slip_is_questioned_and_asked_for_again(carved_seat, gauged, make_rows):
    off = np.where(np.arange(len(gauged.crossings)) == 130, -1.5, 0.0)
    check = check_readings(carved_seat, make_rows(gauged, off, seed=8))
    assert not gauged.crossings[130].uncut
    assert [k for k, state in enumerate(check.state) if state == "questioned"] == [130]
    assert 131 in [one.point for one in check.further]
    assert check.cuts == ()
    assert not check.finished


def test_left_and_right_are_told_apart_by_depth(carved_seat, gauged, make_rows, places):
    x, y = places
    off = np.where((x < 0) & (y < 220.0) & (carved_seat.depth_mm(x, y) > 0.0), 1.0, 0.0)
    noisy = check_readings(carved_seat, make_rows(gauged, off, seed=9))
    assert noisy.left_right.differs
    assert noisy.left_right.left_minus_right_mm == pytest.approx(1.0, abs=0.35)
    assert "left is" in gauge_report(noisy)["left_right"]["words"]
    exact = check_readings(carved_seat, make_rows(gauged, off))
    assert exact.left_right.left_minus_right_mm == pytest.approx(1.0, abs=0.01)
    other = check_readings(carved_seat, make_rows(gauged, off[np.maximum(exact.readings.pair, 0)]))
    assert other.left_right.left_minus_right_mm == pytest.approx(-1.0, abs=0.01)


def test_bare_comparisons_tell_left_from_right_too(carved_seat, gauged, make_rows, places):
    rows = make_rows(gauged)
    proud = tuple(
        replace(row, reading_mm=None if k else row.reading_mm, left_proud_mm=1.0 if row.x_mm < 0 else None)
        for k, row in enumerate(rows)
    )
    check = check_readings(carved_seat, proud)
    assert check.left_right.differs
    assert check.left_right.left_minus_right_mm == pytest.approx(-1.0)  # proud is less deep
    assert "left stands proud" in check_text(check)


def check_text(check):
    return gauge_text(gauge_report(check), "mm").replace("(the left stands proud)", "left stands proud")


@pytest.mark.parametrize(("turn", "words"), [(90.0, "across"), (0.0, "front to rear")])
def test_a_ripple_is_found_with_its_length_way_and_height(
    carved_seat, gauged, make_rows, places, turn, words
):
    x, y = places
    along, beside = (y - 210.0, x - 20.0) if turn == 90.0 else (x, y - 200.0)
    off = 0.45 * np.cos(2 * np.pi * along / 80.0) * (np.abs(beside) < 60.0)
    check = check_readings(carved_seat, make_rows(gauged, off * (carved_seat.depth_mm(x, y) > 0.0), seed=10))
    one = check.ripples[0]
    assert one.length_mm == 80.0
    assert one.direction_deg == turn
    assert one.crest_to_trough_mm == pytest.approx(0.9, rel=0.2)
    assert words in gauge_report(check)["ripples"][0]["words"]
    assert not check.finished


def test_nothing_is_found_where_nothing_is_carved(places):
    x, y = places
    wave = 0.6 * np.cos(2 * np.pi * y / 80.0)
    assert ripples(places_at(x, y), wave, np.zeros(len(x), dtype=bool), 0.25, 0.0) == ()
    assert ripples(places_at(x, y), wave, np.ones(len(x), dtype=bool), 0.25, 0.0) != ()


def test_the_limit_of_many_ratios_is_that_of_the_closed_form():
    # The greatest of 200 pairs apart passes u with a chance of 1 - (1 - exp(-u^2 / 2))^200; 1 % at u = 4.449.
    # The noise is told from 400 readings, which widens it by about 1 %.
    pairs = np.eye(400).reshape(200, 2, 400)
    exact = np.sqrt(-2.0 * np.log(1.0 - 0.99 ** (1.0 / 200)))
    assert exact == pytest.approx(4.449, abs=1e-3)
    assert chance_limit(pairs, np.eye(400), 0.01) == pytest.approx(exact, rel=0.03)


def test_partial_readings_say_what_to_read_next(carved_seat, gauged, make_rows, bump, places):
    x, y = places
    rows = make_rows(gauged, bump, seed=12)
    skip = (np.abs(x - 75.0) < 40.0) & (np.abs(y - 262.0) < 30.0)
    partial = tuple(replace(r, reading_mm=None) if s else r for r, s in zip(rows, skip, strict=True))
    check = check_readings(carved_seat, partial)
    assert 0 < sum("undecided" in one.why for one in check.further) <= 12
    assert {one.point for one in check.further} & {row.point for row, s in zip(rows, skip, strict=True) if s}
    report = gauge_report(check)
    assert report["not_read"] == [row.point for row, s in zip(rows, skip, strict=True) if s]
    few = check_readings(
        carved_seat, tuple(replace(r, reading_mm=None) if k > 200 else r for k, r in enumerate(rows))
    )
    assert not few.finished
    assert "has been read" in few.unfinished[-1]


def test_a_handful_of_readings_is_answered_too(carved_seat, gauged, make_rows):
    """Three readings of the hollow, none of uncut wood: nothing tells whether the bar sat low or wood is left."""
    rows = make_rows(gauged, -3.0)
    few = tuple(replace(r, reading_mm=r.reading_mm if r.point in (60, 100, 140) else None) for r in rows)
    check = check_readings(carved_seat, few)
    assert [one["state"] for one in gauge_report(check)["points"]] == ["questioned"] * 3
    assert {one["why"] for one in gauge_report(check)["points"]} == {DATUM}
    assert check.cuts == ()


def test_the_report_has_the_promised_keys_and_is_plain(carved_seat, gauged, make_rows, bump):
    import json

    report = gauge_report(check_readings(carved_seat, make_rows(gauged, bump, seed=5)))
    assert {"points", "left_minus_right_mm", "ripples", "next_cuts", "finished"} <= set(report)
    assert {"point", "x_mm", "y_mm", "to_take_mm", "state"} <= set(report["points"][0])
    json.dumps(report, allow_nan=False)


def test_nothing_read_and_a_tolerance_out_of_range_are_refused(carved_seat, gauged, make_rows):
    rows = make_rows(gauged)
    with pytest.raises(InputError, match="no reading"):
        check_readings(carved_seat, tuple(replace(r, reading_mm=None) for r in rows))
    with pytest.raises(InputError, match="tolerance_mm"):
        check_readings(carved_seat, rows, 0.0)


def test_the_report_says_what_the_rod_says_and_the_same_with_the_bar_as_stated(
    carved_seat, gauged, make_rows, hollow
):
    """The bar 0.8 mm low everywhere, 1.25 mm of wood left: as stated it would be 2.05 mm."""
    points = gauge_report(check_readings(carved_seat, make_rows(gauged, -0.8 - 1.25 * hollow)))["points"]
    inside = [one for one, deep in zip(points, hollow, strict=True) if deep]
    assert [one["as_read_mm"] for one in inside] == pytest.approx([2.05] * len(inside), abs=2e-3)
    assert [one["to_take_mm"] for one in inside] == pytest.approx([1.25] * len(inside), abs=0.05)


@pytest.mark.parametrize(
    ("turn", "words"),
    [
        (22.0, "front to rear"), (23.0, "diagonally"), (67.0, "diagonally"), (68.0, "across"), (112.0, "across"),
        (113.0, "diagonally"), (157.0, "diagonally"), (158.0, "front to rear"), (180.0, "front to rear"),
    ],
)  # fmt: skip
def test_crests_are_said_to_run_the_way_that_they_run_within_an_eighth_of_half_a_turn(turn, words):
    one = Ripple(0.0, 200.0, 80.0, turn, 0.5, 120.0, 120.0, 6.0, 4.0)
    assert words in check_report._ripple(one, "mm")["words"]


def test_finished_where_it_was_read_is_said_up_to_half_a_percent(carved_seat, gauged, make_rows):
    report = gauge_report(check_readings(carved_seat, make_rows(gauged, seed=12)))
    for share, said in ((0.994, True), (0.996, False)):
        assert ("where it was read" in gauge_text({**report, "read_share": share}, "mm")) == said
