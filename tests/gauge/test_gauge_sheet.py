"""Expected readings, crossings left out, and the two forms of the sheet.

Source of the figures: plane geometry of a bar on two rests, worked by hand.
"""

import csv
import io
from dataclasses import replace

import numpy as np
import pytest

from seatmesh.adjustment import Adjustment
from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.fit.stages import stage
from seatmesh.gauge.bar.crossings import BEYOND_REST, IN_GUTTER, NO_REST, OFF_OUTLINE
from seatmesh.gauge.bar.gauge_sheet import COLUMNS, gauge_sheet, sheet_csv, sheet_text
from seatmesh.gauge.bar.rod_gauge import STEEPEST, Gauge, uncut_rests
from seatmesh.gauge.readings.readings_file import parse_readings
from seatmesh.surface import Seat, flat_seat
from seatmesh.units import parse_length_mm
from seatmesh.wood.blank import Blank


def at(sheet, x, y):
    (found,) = [c for c in sheet.crossings if (c.x_mm, c.y_mm) == (x, y)]
    return found


def test_a_level_bar_adds_its_height_and_the_rods_offset_to_the_depth(carved_seat, gauged):
    for c in gauged.crossings[::7]:
        assert c.expected_mm == pytest.approx(65.0 + float(carved_seat.depth_mm(c.x_mm, c.y_mm)), abs=1e-9)
        assert c.datum_mm == 65.0


def test_a_rod_that_shows_too_little_reads_less():
    assert at(gauge_sheet(flat_seat(), 50.0, Gauge(60.0, -4.0)), 50.0, 100.0).expected_mm == 56.0


def test_a_rim_that_is_not_level_tilts_the_bar():
    # Rests 400 mm apart, the left one 2 mm up and the right one 4 mm down: at x = 100 three quarters of the way,
    # 2 - 0.75 * 6 = -2.5 mm.
    tilted = gauge_sheet(flat_seat(), 50.0, Gauge(60.0, 5.0, "across", (-200.0, 200.0), (2.0, -4.0)))
    assert at(tilted, 100.0, 200.0).expected_mm == pytest.approx(62.5)
    assert at(tilted, -200.0, 200.0).expected_mm == pytest.approx(67.0)
    assert at(tilted, 200.0, 200.0).expected_mm == pytest.approx(61.0)


def test_a_bar_along_is_tilted_by_rear_and_front(carved_seat):
    along = gauge_sheet(carved_seat, 50.0, Gauge(60.0, 0.0, "along", (20.0, 420.0), (0.0, 4.0)))
    deep = float(carved_seat.depth_mm(50.0, 120.0 + 0.0))
    assert at(along, 50.0, 100.0).expected_mm == pytest.approx(
        60.8 + float(carved_seat.depth_mm(50.0, 100.0)), abs=1e-9
    )
    assert deep > 10.0


def test_numbers_run_by_rows_and_pairs_follow_one_another(gauged):
    assert [c.point for c in gauged.crossings] == list(range(1, len(gauged.crossings) + 1))
    assert np.all(np.diff([c.y_mm for c in gauged.crossings]) >= 0.0)
    by_point = {c.point: c for c in gauged.crossings}
    for c in gauged.crossings:
        if c.x_mm < 0.0:
            other = by_point[c.mirror]
            assert (other.x_mm, other.y_mm, other.mirror) == (-c.x_mm, c.y_mm, c.point)
            assert other.point == c.point + 1


def test_every_crossing_of_the_grid_is_on_the_sheet_or_left_out_with_a_reason(carved_seat, gauged):
    total = 19 * 18  # 25 mm grid on 480 x 430 mm: x from -225 to 225, y from 0 to 425
    on_grid = [c for c in gauged.crossings if c.x_mm % 25.0 == 0.0 and c.y_mm % 25.0 == 0.0]
    assert len(on_grid) + len(gauged.left_out) == total
    assert all(c.uncut for c in gauged.crossings if c not in on_grid)
    inside = carved_seat.blank.inside_mm(
        [c.x_mm for c in gauged.crossings], [c.y_mm for c in gauged.crossings]
    )
    assert inside.min() > 0.0
    why = {one.why for one in gauged.left_out}
    assert OFF_OUTLINE in why
    assert NO_REST in why  # the front roll leaves no uncut wood at y = 425
    assert all(one.y_mm == 425.0 for one in gauged.left_out if one.why == NO_REST)
    text = sheet_text(gauged, "mm")
    for words in gauged.left_out_in_words():
        assert words in text


def test_stated_rests_leave_out_what_lies_beyond_them(carved_seat):
    narrow = gauge_sheet(carved_seat, 50.0, Gauge(60.0, 0.0, "across", (-120.0, 120.0)))
    assert max(abs(c.x_mm) for c in narrow.crossings) == 100.0
    assert BEYOND_REST in {one.why for one in narrow.left_out}
    # On stated packing pieces the front row can be read too.
    assert max(c.y_mm for c in narrow.crossings) == 400.0


def test_a_stage_has_its_own_readings(carved_seat, gauged):
    half = gauge_sheet(stage(carved_seat, 0.5), 25.0, gauged.gauge)
    full = at(gauged, -75.0, 150.0).expected_mm - 65.0
    assert at(half, -75.0, 150.0).expected_mm - 65.0 == pytest.approx(0.5 * full, abs=1e-9)
    # Its front edge is uncut yet: it has the row that the finished seat cannot rest a bar on.
    assert max(c.y_mm for c in half.crossings) == 425.0


def test_the_csv_has_the_columns_and_is_read_back_to_a_hundredth(gauged):
    rows = list(csv.DictReader(io.StringIO(sheet_csv(gauged))))
    assert tuple(rows[0]) == COLUMNS
    assert COLUMNS[:5] == ("point", "x_mm", "y_mm", "expected_mm", "reading_mm")
    for row, c in zip(rows, gauged.crossings, strict=True):
        assert float(row["expected_mm"]) == pytest.approx(c.expected_mm, abs=0.0051)
        assert row["reading_mm"] == ""


def test_in_inches_the_columns_say_so_and_read_back_is_the_same_sheet(gauged):
    """Plain figures in a column of inches are inches; one with a unit of its own is in that one."""
    text = sheet_csv(gauged, "in")
    lines = text.splitlines()
    assert lines[0].split(",")[:6] == ["point", "x_in", "y_in", "expected_in", "reading_in", "datum_in"]
    assert "_mm" not in lines[0]
    filled = [lines[0]]
    for number, row in enumerate(lines[1:]):
        cells = row.split(",")
        cells[4] = ("2.5", "2 9/16", "65 mm")[number % 3]
        filled.append(",".join(cells))
    for number, (row, c) in enumerate(zip(parse_readings("\n".join(filled)), gauged.crossings, strict=True)):
        assert (row.x_mm, row.y_mm, row.datum_mm) == pytest.approx((c.x_mm, c.y_mm, c.datum_mm), abs=0.013)
        assert -0.0255 <= row.expected_mm - c.expected_mm <= 1e-4
        assert row.reading_mm == pytest.approx((63.5, 65.0875, 65.0)[number % 3])
    of_the_seat = replace(gauged, seat=replace(gauged.seat, units="in"))
    assert sheet_csv(of_the_seat) == text


def test_columns_of_both_units_may_not_name_one_thing_twice():
    with pytest.raises(FileRefusedError, match="stands there twice"):
        parse_readings("point,x_mm,x_in,y_mm,reading_mm\n1,2,3,4,5\n")


def test_the_printed_sheet_sets_pairs_side_by_side_in_either_unit(gauged):
    for units, deeper, shallower in (("mm", 0.05, 0.05), ("in", 1e-4, 25.4 / 32)):
        text = sheet_text(gauged, units)
        by_point = {c.point: c for c in gauged.crossings}
        lines = [line.split("|") for line in text.splitlines() if line.count("________") == 3]
        assert len(lines) == sum(c.x_mm < 0 for c in gauged.crossings)
        for _, left, right, _ in lines:
            for field in (left, right):
                number, *length = field.replace("________", "").replace("*", " ").split()
                expected = by_point[int(number)].expected_mm
                over = parse_length_mm(" ".join(length)) - expected
                assert -shallower - 1e-9 <= over <= deeper + 1e-9 or (
                    by_point[int(number)].uncut and abs(over) <= shallower / 2 + 1e-9
                )
            first, second = (int(one.replace("*", " ").split()[0]) for one in (left, right))
            assert by_point[first].mirror == second
        assert "guard" in text.lower()


@pytest.mark.parametrize(
    ("spacing", "gauge", "named"),
    [
        (2.0, {}, "spacing_mm"),
        (float("nan"), {}, "spacing_mm"),
        (25.0, {"bar_height_mm": -1.0}, "bar_height_mm"),
        (25.0, {"rod_offset_mm": float("inf")}, "rod_offset_mm"),
        (25.0, {"lie": "askew"}, "lie"),
        (25.0, {"rests_mm": (200.0, -200.0)}, "rests_mm"),
        (25.0, {"rest_heights_mm": (0.0, 40.0)}, "rest_heights_mm"),
        (25.0, {"rests_mm": (-900.0, -600.0)}, "gauge"),
    ],
)
def test_what_no_gauge_can_be_is_refused_by_name(carved_seat, spacing, gauge, named):
    with pytest.raises(ValueRefusedError, match=named):
        gauge_sheet(carved_seat, spacing, Gauge(**{"bar_height_mm": 60.0, **gauge}))


def test_a_seat_carved_right_to_its_sides_has_no_rest(carved_seat):
    # Narrower than the hollow: nothing is left uncut at the sides ahead of the deck.
    narrow = Seat(Blank(width_mm=300.0, deck_mm=20.0), hollow=carved_seat.hollow)
    sheet = gauge_sheet(narrow, 25.0, Gauge(60.0))
    assert any(one.why == NO_REST and one.y_mm == 150.0 for one in sheet.left_out)


@pytest.mark.parametrize("lie", ["across", "along"])
def test_every_line_has_uncut_wood_that_tells_the_bar(carved_seat, lie):
    sheet = gauge_sheet(carved_seat, 25.0, Gauge(60.0, 5.0, lie))
    lines = {}
    for c in sheet.crossings:
        lines.setdefault(c.placing, []).append(c)
    places = [sorted({c.y_mm if lie == "across" else c.x_mm for c in line}) for line in lines.values()]
    assert all(len(one) == 1 for one in places)
    assert [one[0] for one in places] == sorted(one[0] for one in places) or lie == "along"
    middle = 0.0 if lie == "across" else 215.0
    for line in lines.values():
        along = [c.x_mm if lie == "across" else c.y_mm for c in line if c.uncut]
        assert sum(one < middle for one in along) >= 2
        assert sum(one > middle for one in along) >= 2 or lie == "along"
    assert all(float(carved_seat.depth_mm(c.x_mm, c.y_mm)) <= 0.02 for c in sheet.crossings if c.uncut)


def test_a_coarse_grid_gets_a_row_over_the_deck_that_tells_sag(carved_seat):
    coarse = gauge_sheet(carved_seat, 70.0, Gauge(60.0, 5.0))
    deck = [c for c in coarse.crossings if c.y_mm == 25.0]
    assert len(deck) >= 5
    assert all(c.uncut for c in deck)


def test_lines_that_do_not_tell_the_bar_are_named(carved_seat, gauged):
    assert gauged.notes() == gauged.left_out_in_words()
    # A hollow that runs to the sides, the bar on packing pieces: only the deck and the front tell how it sits.
    narrow = Seat(Blank(width_mm=400.0), hollow=carved_seat.hollow, front_roll_mm=20.0)
    sheet = gauge_sheet(narrow, 50.0, Gauge(60.0, 0.0, "across", (-199.0, 199.0)))
    assert sheet.notes()[-1].startswith("rows 150 mm, 200 mm, 250 mm from the rear edge")
    assert "crossings there twice" in sheet_text(sheet, "mm")


def test_the_sheet_says_how_to_read_a_second_time(gauged):
    text = sheet_text(gauged, "mm")
    assert "lift the bar and set it down anew" in text
    assert "crossings marked * lie on wood that stays uncut" in text
    row = next(csv.DictReader(io.StringIO(sheet_csv(gauged))))
    assert (row["placing"], row["confirmed"], row["note"]) == ("1", "", "uncut wood")


def test_no_crossing_stands_where_a_rod_may_drop_into_the_gutter(carve):
    seat = carve(gutter_depth_mm=4.0, gutter_width_mm=8.0)
    sheet = gauge_sheet(seat, 25.0, Gauge(60.0, 5.0))
    assert all(abs(seat.blank.ahead_of_deck_mm(one.x_mm, one.y_mm) - 4.0) >= 6.0 for one in sheet.crossings)
    assert any(one.why == IN_GUTTER and one.y_mm == 50.0 for one in sheet.left_out)


def test_a_bar_slopes_by_one_in_twenty_at_most_and_reads_right_at_that():
    for heights, refused in (
        ((0.0, 19.8), False),
        ((0.0, 20.2), True),
        ((20.2, 0.0), True),
        ((15.0, 15.0), False),
    ):
        gauge = Gauge(60.0, 5.0, "across", (-200.0, 200.0), heights)
        if refused:
            with pytest.raises(ValueRefusedError, match=r"over 400 mm they may differ by 20\.0 mm at most"):
                gauge.refuse_slope(400.0)
        else:
            gauge.refuse_slope(400.0)
    # A rod square to a bar that slopes by s meets a level face sqrt(1 + s^2) as far off: 0.13 % at 1 in 20.
    assert np.hypot(1.0, STEEPEST) - 1.0 == pytest.approx(0.00125, rel=0.02)


@pytest.mark.parametrize(
    ("allowed", "refused"),
    [
        ({"rests_mm": (-25.1, 25.1)}, {"rests_mm": (-24.9, 24.9)}),
        ({"rests_mm": (-25.5, 25.5)}, {"rests_mm": (-24.5, 24.5)}),
        ({"rest_heights_mm": (0.0, 99.0)}, {"rest_heights_mm": (0.0, 101.0)}),
        ({"rest_heights_mm": (0.0, -99.0)}, {"rest_heights_mm": (0.0, -101.0)}),
        ({"bar_height_mm": 990.0}, {"bar_height_mm": 1010.0}),
        ({"rod_offset_mm": -990.0}, {"rod_offset_mm": -1010.0}),
    ],
)
def test_what_a_gauge_may_be(allowed, refused):
    Gauge(**{"bar_height_mm": 60.0, **allowed})
    with pytest.raises(ValueRefusedError, match=next(iter(refused))):
        Gauge(**{"bar_height_mm": 60.0, **refused})


def test_a_foot_stands_four_millimetres_inside_and_on_wood_cut_by_no_more_than_a_fiftieth():
    straight = Blank(outline="straight-sided")
    assert uncut_rests(flat_seat(straight), "across", 200.0) == (-236.0, 236.0)
    narrow = Blank(outline="straight-sided", width_mm=2.0 * 239.9)
    assert uncut_rests(flat_seat(narrow), "across", 200.0) == (-235.0, 235.0), "3.9 mm are too little"
    for amount, clear in ((0.0197, 220.0), (0.0203, -220.0)):
        dimple = Seat(straight, adjustments=(Adjustment(-236.0, 200.0, 60.0, amount),))
        first, _ = uncut_rests(dimple, "across", 200.0)
        assert (first == -236.0) == (clear > 0.0), amount


@pytest.mark.parametrize(("spacing", "fine"), [(4.9, False), (5.1, True), (149.0, True), (151.0, False)])
def test_a_grid_may_be_from_5_to_150_mm(spacing, fine):
    seat = flat_seat(Blank(width_mm=320.0, depth_mm=320.0))
    if fine:
        assert gauge_sheet(seat, spacing, Gauge(60.0)).crossings
    else:
        with pytest.raises(ValueRefusedError, match="spacing_mm"):
            gauge_sheet(seat, spacing, Gauge(60.0))


def test_a_column_tells_the_bar_where_it_has_uncut_wood_behind_the_middle_and_before_it():
    """Half of the depth is the middle of a column; one whose uncut crossings all lie behind it is named."""
    sheet = gauge_sheet(flat_seat(), 50.0, Gauge(60.0, 0.0, "along"))
    column = [c for c in sheet.crossings if c.x_mm == 50.0]
    behind = [replace(c, uncut=c.y_mm < 210.0) for c in column]
    both = [replace(c, uncut=not 100.0 < c.y_mm < 300.0) for c in column]
    assert any("column" in one for one in replace(sheet, crossings=tuple(behind)).notes())
    assert not any("column" in one for one in replace(sheet, crossings=tuple(both)).notes())


def test_the_bars_of_a_printed_sheet_stand_below_one_another():
    """Also where only one of the two sides is read."""
    rested = gauge_sheet(flat_seat(), 50.0, Gauge(60.0, 0.0, "across", (-100.0, 220.0)))
    rows = [
        row for row in sheet_text(rested, "mm").splitlines() if row.count("|") >= 2 and "centre" not in row
    ]
    assert any("___" not in row.split("|")[1] for row in rows), "some have no left side"
    assert len({tuple(k for k, letter in enumerate(row) if letter == "|")[:2] for row in rows}) == 1


def test_a_grid_ends_on_the_edges_where_they_are_whole_spaces_off():
    """Eight spaces of 50 mm either way: what lies on an edge is no place for a rod, and is told so."""
    sheet = gauge_sheet(
        flat_seat(Blank(outline="straight-sided", width_mm=400.0, depth_mm=400.0)), 50.0, Gauge(60.0)
    )
    every = [(one.x_mm, one.y_mm) for one in (*sheet.crossings, *sheet.left_out)]
    assert {x for x, _ in every} == set(np.arange(-200.0, 201.0, 50.0))
    assert {y for _, y in every} == set(np.arange(0.0, 401.0, 50.0))
