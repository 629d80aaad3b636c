"""What is said where a wished form is not met, or does not suit who sits there."""

from dataclasses import replace

import pytest

from seatmesh.design.orders.order import order_from_table
from seatmesh.design.report.price_report import price_lines
from seatmesh.design.report.wish_notes import rim_notes, shortfall_notes
from seatmesh.design.shape import design


@pytest.fixture(scope="module")
def narrow():
    table = {"sitter": [{"body": "viola"}], "wishes": {"rim_mm": 110, "pommel_mm": 8}}
    return design(order_from_table(table, "order", "seat"))


def test_load_beyond_the_rim_is_told_by_what_the_sitting_shows(narrow):
    sitting = narrow.results[0].best
    (said,) = rim_notes(narrow.order.wishes, [sitting])
    assert "of the load bears on the wood beyond the rim" in said
    # A rim that takes all of the contact in has nothing to say, nor has one that ends with the print.
    for wishes in (replace(narrow.order.wishes, rim_mm=10.0), replace(narrow.order.wishes, rim="print")):
        assert rim_notes(wishes, [sitting]) == []


def test_a_lower_pommel_names_the_cause_that_holds(narrow):
    seat, wishes = narrow.unadjusted, narrow.order.wishes
    assert shortfall_notes(wishes, seat) == []
    for wished, blank, cause in (
        (replace(wishes, pommel_mm=17.0), seat.blank, "as deep as the bowl"),
        (replace(wishes, pommel_mm=15.0), replace(seat.blank, floor_mm=32.0), "wood, joints or front roll"),
        (
            replace(wishes, pommel_mm=10.0),
            replace(seat.blank, thickness_mm=80.0),
            "presses less, or is fairer",
        ),
    ):
        (said,) = shortfall_notes(wished, replace(seat, blank=blank))
        assert cause in said


def test_a_search_for_the_least_pressure_that_ended_higher_says_so():
    one = {
        "name": "viola", "peak_kpa": 26.0, "other_peak_kpa": 31.0, "contact_area_cm2": 1330.0,
        "other_contact_area_cm2": 1330.0, "shifted_percent": 3.0, "other_shifted_percent": 9.0,
    }  # fmt: skip
    price = {"form": "fair", "other_form": "least pressure", "shifted_mm": 20.0, "sitters": [one]}
    assert any("ended no lower" in line for line in price_lines(price, "mm"))
    assert not any(
        "ended no lower" in line
        for line in price_lines({**price, "sitters": [{**one, "peak_kpa": 35.0}]}, "mm")
    )
