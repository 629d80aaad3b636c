"""The gauge sheet to write on: what is printed, in what order, and that nothing that the check needs is missing."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pypdfium2
import pytest

from seatmesh.gauge.bar.gauge_sheet import gauge_sheet
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.printed.gauge_pages import gauge_pages, gauge_pdf, is_gauge_pdf
from seatmesh.gauge.printed.walk import MOST_CARVED, TELLS_MM, is_thinned, lines_to_read, readings_printed
from seatmesh.paper.paper_sizes import paper_named
from seatmesh.units import format_no_more


@pytest.fixture(scope="module", params=["across", "along"])
def sheet(request, carved_seat):
    return gauge_sheet(carved_seat, 25.0, Gauge(60.0, 0.0, request.param))


def printed(sheet):
    return [c for one in lines_to_read(sheet) for pair in one.pairs for c in (pair.left, pair.right) if c]


def test_what_is_printed_is_carved_or_tells_the_bar(sheet) -> None:
    found = printed(sheet)
    assert len({one.point for one in found}) == len(found) == readings_printed(sheet)
    for one in found:
        assert one.uncut or one.expected_mm - one.datum_mm >= TELLS_MM
    carved = [one for one in found if not one.uncut]
    all_carved = [
        one for one in sheet.crossings if not one.uncut and one.expected_mm - one.datum_mm >= TELLS_MM
    ]
    share = len(carved) / len(all_carved)
    assert 0.45 < share < 0.55 if len(all_carved) > MOST_CARVED else share == 1.0
    assert is_thinned(sheet) == (len(all_carved) > MOST_CARVED)
    assert len(found) < 0.75 * len(sheet.crossings)


def test_every_line_has_uncut_wood_at_both_ends_as_far_as_the_sheet_has_it(carved_seat) -> None:
    sheet = gauge_sheet(carved_seat, 25.0, Gauge(60.0))
    for one in lines_to_read(sheet):
        there = [c.x_mm for c in sheet.crossings if c.y_mm == one.at_mm and c.uncut and c.x_mm != 0.0]
        got = [
            c.x_mm for pair in one.pairs for c in (pair.left, pair.right) if c and c.uncut and c.x_mm != 0.0
        ]
        for side in (-1.0, 1.0):
            wanted = sorted((side * x for x in there if side * x > 0.0), reverse=True)[:2]
            assert sorted((side * x for x in got if side * x > 0.0), reverse=True) == wanted


def test_they_come_in_the_order_of_walking_and_pairs_mirror_each_other(carved_seat) -> None:
    lines = lines_to_read(gauge_sheet(carved_seat, 25.0, Gauge(60.0)))
    for before, after in pairwise(lines):
        assert before.at_mm < after.at_mm
    for one in lines:
        aside = [abs(pair.either.x_mm) for pair in one.pairs]
        assert aside == sorted(aside, reverse=True)
        for pair in one.pairs:
            if pair.left and pair.right:
                assert (pair.left.x_mm, pair.left.y_mm) == (-pair.right.x_mm, pair.right.y_mm)
                assert pair.left.mirror == pair.right.point


def test_the_shallowest_grid_is_printed_whole(carved_seat) -> None:
    sheet = gauge_sheet(carved_seat, 50.0, Gauge(60.0))
    assert not is_thinned(sheet)


@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_pages_hold_every_printed_crossing_and_room_for_two_readings(carved_seat, units: str) -> None:
    sheet = gauge_sheet(replace(carved_seat, units=units), 25.4, Gauge(63.5))
    paper = paper_named("A4" if units == "mm" else "Letter")
    data = gauge_pdf(sheet, units, paper)
    assert data == gauge_pdf(sheet, units, paper)
    assert is_gauge_pdf(data)
    assert not is_gauge_pdf(b"%PDF-1.4 of somebody else")
    names = [page.name for page in gauge_pages(sheet, units, paper)]
    document = pypdfium2.PdfDocument(data)
    assert len(names) == len(document) <= 5
    assert names[-1] == "Left against right"
    table = " ".join(
        page.get_textpage().get_text_bounded()
        for page, name in zip(document, names, strict=True)
        if "Gauge" in name
    )
    words = table.split()
    for one in printed(sheet):
        assert f"{one.point}{'*' if one.uncut else ''}" in words
    assert format_no_more(max(one.expected_mm for one in printed(sheet)), units) in table
    assert "1st" in words
    assert "2nd" in words
    if units == "in":
        assert " mm" not in table.replace("100 mm", "")


def test_left_is_compared_with_right_only_across(carved_seat) -> None:
    along = gauge_sheet(carved_seat, 25.0, Gauge(60.0, 0.0, "along"))
    assert all("Left against" not in page.name for page in gauge_pages(along, "mm", paper_named("A4")))


def test_rules_are_heavy_where_a_line_of_the_grid_begins_and_at_both_ends_of_a_page(carved_seat) -> None:
    """One for each line of the grid, one under the last row, and one where a page goes on within a line."""
    sheet = gauge_sheet(carved_seat, 25.0, Gauge(60.0))
    counts = [len(one.pairs) for one in lines_to_read(sheet)]
    begins = {sum(counts[:k]) for k in range(len(counts))}
    first = 0
    for page in gauge_pages(sheet, "mm", paper_named("A4")):
        if not page.name.startswith("Gauge sheet"):
            continue
        layers = {layer.name: layer.items for layer in page.views[0].drawing.layers}
        rules = [one for one in layers["rules"] if len(one.points_mm) == 2]
        rows = len(layers["heavy"]) - 1 + len(rules)
        expected = {k for k in begins if first <= k < first + rows} | {first}
        assert len(layers["heavy"]) == len(expected) + 1
        assert all(len(one.points_mm) == 2 for one in layers["heavy"])
        first += rows
    assert first == sum(counts)
