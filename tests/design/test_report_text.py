"""The report's lines: what a maker reads is what the figures say."""

from seatmesh.design.report.report_text import _deck, _depth_lines
from seatmesh.design.report.wish_notes import fairness_notes
from seatmesh.fit.search.best import FAIRNESS_MM
from seatmesh.place_words import aside, place


def test_a_depth_that_presses_more_is_said_to_press_more():
    """Differences below 10 % cannot be felt (Goossens, Teeuw, Snijders 2005); greater ones can, either way."""
    rows = [
        {"depth_mm": depth, "peak_kpa": peak}
        for depth, peak in ((0.0, 30.0), (6.0, 20.0), (10.0, 18.5), (14.0, 24.0), (18.0, 26.0))
    ]
    words = [line.split("kPa")[1].strip() for line in _depth_lines(rows, "mm")]
    assert words == [
        "",
        "can be felt to press less than 0 mm",
        "feels like 6 mm",
        "can be felt to press more than 6 mm",
        "feels like 14 mm",
    ]


def test_the_deck_is_told_by_its_shape():
    blank = {"deck_mm": 45.0, "deck_line": "straight", "deck_bow_mm": 0.0}
    assert _deck(blank, "mm") == "45 mm from the rear edge"
    assert _deck({**blank, "deck_line": "offset"}, "mm") == "45 mm along the outline"
    assert "25 mm farther forward" in _deck({**blank, "deck_line": "bowed", "deck_bow_mm": 25.0}, "mm")
    assert "25 mm farther back" in _deck({**blank, "deck_line": "bowed", "deck_bow_mm": -25.0}, "mm")


def test_a_place_on_the_centre_line_lies_to_no_side():
    assert aside(0.0, "mm", "both") == "on the centre line"
    assert aside(60.0, "mm", "both") == "60 mm to either side of the centre line"
    assert aside(-60.0, "mm") == "60 mm to the sitter's left of the centre line"
    assert place(50.8, 127.0, "in") == '2" to the sitter\'s right of the centre line, 5" from the rear edge'


def test_a_hollow_made_much_fairer_than_usual_is_remarked_on():
    lengths = (FAIRNESS_MM, 22.0, 27.0, 29.0, 40.0)
    assert [bool(fairness_notes(length)) for length in lengths] == [False, False, False, True, True]
