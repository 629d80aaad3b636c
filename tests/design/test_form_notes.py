"""What is said where a wished form is not met, or does not suit who sits there."""

from dataclasses import replace

import pytest

from seatmesh.design.orders.order import order_from_table
from seatmesh.design.price_of_form import price_of_form
from seatmesh.design.report.price_report import price_lines, with_price
from seatmesh.design.report.report_text import report_text
from seatmesh.design.report.seat_report import report
from seatmesh.design.report.wish_notes import rim_notes, shortfall_notes
from seatmesh.design.shape import design
from seatmesh.errors import NotSolvedError


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


ONE = {
    "name": "viola", "peak_kpa": 26.0, "other_peak_kpa": 31.0, "contact_area_cm2": 1330.0,
    "other_contact_area_cm2": 1330.0, "shifted_percent": 3.0, "other_shifted_percent": 9.0,
}  # fmt: skip
PRICE = {
    "form": "fair", "other_form": "least pressure", "other_form_missing": None, "shifted_mm": 20.0, "sitters": [ONE],
}  # fmt: skip


def said_of(**changed):
    return "\n".join(price_lines({**PRICE, "sitters": [{**ONE, **changed}]}, "mm"))


def test_a_search_for_the_least_pressure_that_ended_higher_says_so():
    assert "ended no lower" in said_of()
    assert "ended no lower" not in said_of(peak_kpa=35.0)


def test_what_a_shift_does_is_said_by_its_sign():
    said = said_of(shifted_percent=-3.0, other_shifted_percent=0.2)
    assert "the peak falls by 3 % here, stays as it is there" in said


def test_a_missing_balance_is_said_instead_of_a_figure():
    missing = {"other_peak_kpa": None, "other_contact_area_cm2": None, "other_shifted_percent": None}
    assert "finds no balance on the least pressure one" in said_of(**missing)
    assert "cannot be told" in said_of(shifted_percent=None)
    assert "inf" not in said_of(**missing) + said_of(shifted_percent=None)


def test_the_price_of_a_seat_counts_contact_as_its_sittings_do():
    made = design(order_from_table({"sitter": [{"body": "violin-1"}]}, "order", "seat"))
    (here,) = price_of_form(made).ordered
    best = made.results[0].best.figures
    assert here.peak_kpa == pytest.approx(best.peak_kpa, rel=1e-4)
    assert here.contact_area_cm2 == pytest.approx(best.contact_area_cm2, rel=1e-4)


def test_an_order_whose_other_form_is_not_found_is_reported_without_it(monkeypatch):
    made = design(order_from_table({"sitter": [{"body": "violin-1"}]}, "order", "seat"))

    def none_found(*_):
        raise NotSolvedError("the programme found no answer")

    monkeypatch.setattr("seatmesh.design.price_of_form.best_seat", none_found)
    figures = with_price(report(made), made)
    assert figures["price_of_form"]["sitters"][0]["other_peak_kpa"] is None
    assert "No seat of the form least pressure was found: the programme found no answer" in report_text(
        made, figures
    )
