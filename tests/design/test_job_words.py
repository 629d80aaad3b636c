"""Words and tables of the job sheet: sitters compared as they feel it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from seatmesh.body.survey.estimate import estimate_body
from seatmesh.design.job_sheet.job_words import (
    UNSETTLED,
    comparison_table,
    comparison_words,
    measures_table,
    seat_words,
    sitter_words,
    unmeasured_words,
)
from seatmesh.sheets.sheet_wishes import Speech


def sitter(name: str, peak: float) -> dict[str, Any]:
    best = {
        "peak_kpa": peak,
        "mean_kpa": 7.0,
        "contact_area_cm2": 1000.0,
        "load_n": 600.0,
        "feet_share": 0.14,
        "tissue_left_ratio": None,
        "knee_clearance_mm": 50.8,
        "tailbone_clearance_mm": 25.4,
    }
    return {"name": name, "best": best, "flat": {**best, "peak_kpa": 50.0, "contact_area_cm2": 800.0}}


def test_differences_that_cannot_be_felt_are_called_alike() -> None:
    """Under 10 % cannot be felt (Goossens, Teeuw, Snijders 2005)."""
    assert "pressed alike" in comparison_words({"sitters": [sitter("viola", 20.0), sitter("cello", 21.9)]})


def test_who_is_pressed_hardest_is_told_by_how_much() -> None:
    said = comparison_words({"sitters": [sitter("viola", 20.0), sitter("cello", 25.0)]})
    assert said.startswith("cello is pressed hardest, 25 % more than viola, who is pressed least.")


def test_one_sitter_is_compared_with_nobody() -> None:
    assert comparison_words({"sitters": [sitter("viola", 20.0)]}) == ""


@pytest.mark.parametrize(("units", "length"), [("mm", "50.8 mm"), ("in", '2"')])
def test_the_table_speaks_the_units(units: str, length: str) -> None:
    table = comparison_table({"sitters": [sitter("viola", 20.0), sitter("cello", 25.0)]}, Speech(units))
    assert table[0] == ("", "viola", "cello")
    assert ("front edge to knee-back", length, length) in table
    assert ("peak on this seat, kPa", "20", "25") in table
    assert not any("tissue" in row[0] for row in table)


def test_a_sitter_s_own_words_compare_with_the_flat_blank() -> None:
    said = " ".join(sitter_words(sitter("viola", 20.0), Speech("mm")))
    assert (
        "20 kPa; a flat board would press with 50 kPa. That is 60 % less, a difference that can be felt"
        in said
    )
    assert "too little to be felt" in " ".join(sitter_words(sitter("viola", 46.0), Speech("mm")))


def test_measures_are_told_in_their_own_units_and_only_where_known() -> None:
    bodies = (
        estimate_body("female", 1640, 61, age_years=44),
        estimate_body("male", 1740, 69, tissue_under_sit_bone_mm=41),
    )
    design = SimpleNamespace(guests=[SimpleNamespace(sitter=SimpleNamespace(body=one)) for one in bodies])
    table = {row[0]: row[1:] for row in measures_table(design, Speech("mm"))}
    assert table["age"] == ("44 years", "not stated")
    assert table["body mass"] == ("61 kg", "69 kg")
    assert table["tissue under sit bone"] == ("43 mm est.", "41 mm given")
    assert table["flatness of the underside"] == ("100 % est.", "100 % est.")
    design.guests[0] = design.guests[1]
    assert "age" not in {row[0]: row[1:] for row in measures_table(design, Speech("mm"))}


def test_what_matters_most_and_was_not_measured_is_told_of_a_sitter() -> None:
    row = {
        "quantity": "tissue_under_sit_bone_mm",
        "title": "tissue under sit bone",
        "value": 40.0,
        "step": 5.0,
    }
    row |= {"standard_error": 6.5, "more_raises_peak_kpa": -4.0, "less_raises_peak_kpa": 6.0}
    flat = {
        **row,
        "quantity": "underside_flatness_percent",
        "title": "flatness of the underside",
        "value": 100.0,
    }
    said = unmeasured_words([{**sitter("viola", 20.0), "not_measured": [row, flat, row]}], Speech("mm"))
    assert said[0] == (
        "viola: Tissue under sit bone, not measured and taken as 40 mm: 5 mm more would lower the peak by 4 kPa, "
        "5 mm less would raise it by 6 kPa."
    )
    assert [one.split(",")[0] for one in said] == [
        "viola: Tissue under sit bone",
        "viola: Flatness of the underside",
    ]


def test_a_search_that_stopped_is_told_on_the_job_sheet() -> None:
    hollow = {
        "deepest_mm": 18.0,
        "deepest_x_mm": 60.0,
        "deepest_y_mm": 150.0,
        "mirrored": True,
        "floor_left_mm": 27.0,
    }
    figures = {
        "hollow": hollow,
        "fairness_count": 0,
        "ending": {"converged": False, "words": "it stopped (steps: 100)"},
    }
    assert seat_words(figures, Speech("mm"))[-1] == UNSETTLED
    assert "steps" not in UNSETTLED
    settled = {**figures, "ending": {"converged": True, "words": "settled"}}
    assert len(seat_words(settled, Speech("mm"))) == 3
