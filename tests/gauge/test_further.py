"""Further readings: few, on lines that have uncut wood, and written so that they can be filled in and read back."""

import csv
import io
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh.adjustment import Adjustment
from seatmesh.gauge.bar.datum_places import datum_places
from seatmesh.gauge.bar.gauge_sheet import gauge_sheet
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.check.check_readings import check_readings
from seatmesh.gauge.check.check_report import gauge_report, gauge_text
from seatmesh.gauge.check.further import further_readings
from seatmesh.gauge.check.further.further_sheet import further_csv
from seatmesh.gauge.readings.readings import readings_on
from seatmesh.gauge.readings.readings_file import Row, parse_readings
from seatmesh.surface import Seat

GAUGE = Gauge(60.0, 5.0)


@pytest.fixture(scope="module")
def slipped(carved_seat, gauged, make_rows):
    rows = list(make_rows(gauged, seed=40))
    rows[150] = replace(rows[150], reading_mm=rows[150].reading_mm - 1.5)
    return check_readings(carved_seat, rows)


def test_a_questioned_crossing_comes_with_uncut_wood_of_its_line(carved_seat, gauged, slipped):
    point = gauged.crossings[150]
    assert {one.placing for one in slipped.further} == {17}  # the sheet has 16 rows
    assert {one.y_mm for one in slipped.further} == {point.y_mm}
    on_uncut = [one for one in slipped.further if float(carved_seat.depth_mm(one.x_mm, one.y_mm)) <= 0.02]
    assert len(slipped.further) == len(on_uncut) + 1
    assert sorted(np.sign([one.x_mm for one in on_uncut])) == [-1.0, -1.0, 1.0, 1.0]


def test_the_rows_to_fill_in_are_rows_of_a_sheet(carved_seat, gauged, slipped):
    text = further_csv(slipped)
    lines = list(csv.DictReader(io.StringIO(text)))
    rows = parse_readings(text)
    assert [row.reading_mm for row in rows] == [None] * len(rows)
    for row, line in zip(rows, lines, strict=True):
        own = 65.0 + float(carved_seat.depth_mm(row.x_mm, row.y_mm))
        assert row.expected_mm == pytest.approx(own, abs=0.0051)
        assert row.datum_mm == 65.0
        assert line["note"]
    by_point = {c.point: c for c in gauged.crossings}
    assert all((by_point[r.point].x_mm, by_point[r.point].y_mm) == (r.x_mm, r.y_mm) for r in rows)


def test_new_crossings_get_new_numbers_and_what_the_bar_should_read(carved_seat, gauged, make_rows, places):
    x, y = places
    bump = -0.8 * np.exp(-((x - 75.0) ** 2 + (y - 200.0) ** 2) / (2 * 50.0**2))
    check = check_readings(carved_seat, make_rows(gauged, bump, seed=50))
    new = [row for row in parse_readings(further_csv(check)) if row.point > len(gauged.crossings)]
    assert new
    assert len({row.point for row in new}) == len(new)
    for row in new:
        assert row.expected_mm == pytest.approx(
            65.0 + float(carved_seat.depth_mm(row.x_mm, row.y_mm)), abs=0.0051
        )


def test_the_words_name_the_setting_and_its_uncut_wood(slipped):
    text = gauge_text(gauge_report(slipped), "mm")
    assert "placing 17: set the bar down anew and read; on uncut wood, to tell how it sits: point" in text
    assert "nothing is cut there until it is known" in text
    assert "A hole narrower than 35 mm can lie unseen between crossings" in text  # 25 mm times the root of 2


def test_uncut_places_lie_on_uncut_wood_and_apart(carved_seat):
    for lie, at in (("across", 150.0), ("across", 60.0), ("along", 100.0)):
        for end in datum_places(carved_seat, lie, at):
            assert len(end) <= 2
            xy = [(p, at) if lie == "across" else (at, p) for p in end]
            assert all(float(carved_seat.depth_mm(*one)) <= 0.02 for one in xy)
            assert len(end) < 2 or abs(end[1] - end[0]) >= 8.0


def mound(amount_mm, radius_mm=30.0):
    """A flat blank with one round hollow, deepest at a crossing of the sheet, where nothing was read."""
    seat = Seat(adjustments=(Adjustment(0.0, 200.0, radius_mm, amount_mm),))
    sheet = gauge_sheet(seat, 25.0, GAUGE)
    middle = next(k for k, c in enumerate(sheet.crossings) if (c.x_mm, c.y_mm) == (0.0, 200.0))
    rows = [
        Row(
            k + 2, c.point, c.x_mm, c.y_mm, c.expected_mm, None if k == middle else c.expected_mm, c.datum_mm,
            placing=c.placing,
        )
        for k, c in enumerate(sheet.crossings)
    ]  # fmt: skip
    return seat, readings_on(seat, rows), sheet.crossings[middle].point


def test_a_crossing_not_read_is_asked_for_where_the_seat_is_carved_by_three_tenths():
    for amount, asked in ((0.295, False), (0.305, True)):
        seat, readings, _ = mound(amount)
        x, y, _ = further_readings._candidates(seat, readings, np.ones(len(readings.point), dtype=bool), 25.0)
        assert ((0.0, 200.0) in set(zip(x.tolist(), y.tolist(), strict=True))) == asked


def test_a_place_is_worth_reading_where_it_may_turn_out_either_way_by_a_tenth():
    """Wood to take is normal about the surface: beyond the tolerance with a chance of a tenth at 1.2816 deviations."""
    seat, readings, _ = mound(5.0)
    told = np.ones(len(readings.point), dtype=bool)
    for sigmas in (1.26, 1.31, -1.26, -1.31):
        surface = SimpleNamespace(
            at=lambda x, y, off=sigmas: np.full(len(x), -(0.5 + 0.2 * off)),
            covariance_mm2=lambda x, y: 0.2**2 * np.eye(len(x)),
            noise_mm=0.25,
        )
        said = SimpleNamespace(told=told)
        chosen = further_readings._undecided(seat, readings, surface, said, (0.5, 25.0), 3)
        assert bool(chosen) == (abs(sigmas) < 1.2816)


@pytest.mark.parametrize("unsure_mm", [0.9, 0.2])
def test_the_next_place_is_chosen_for_what_the_last_one_leaves_open(unsure_mm):
    """Two places side by side that hang together: reading one tells most of the other, so a third comes before it.

    That holds too where a reading scatters by more than is unsure.
    """
    seat, readings, _ = mound(5.0, 60.0)
    told = np.ones(len(readings.point), dtype=bool)
    x, _, _ = further_readings._candidates(seat, readings, told, 25.0)
    among = np.diag((unsure_mm * np.linspace(1.0, 0.9, len(x))) ** 2)
    among[0, 1] = among[1, 0] = 0.99 * np.sqrt(among[0, 0] * among[1, 1])
    surface = SimpleNamespace(
        at=lambda x, y: np.full(len(x), -0.5), covariance_mm2=lambda x, y: among, noise_mm=0.25
    )
    said = SimpleNamespace(told=told)
    chosen = further_readings._undecided(seat, readings, surface, said, (0.5, 25.0), 2)
    places = list(zip(*further_readings._candidates(seat, readings, told, 25.0)[:2], strict=True))
    assert [one[:2] for one in chosen] == [places[0], places[2]]
