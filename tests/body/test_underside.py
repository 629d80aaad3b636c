"""Flatness of the underside, and whom the survey does not know: where each begins; ids are those of check values."""

from __future__ import annotations

import pytest

from seatmesh.body.body import Measure
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.body.survey.underside import FLATNESS


def test_people_spread_by_half_of_what_two_groups_differ() -> None:
    flatness = estimate_body("male", 1740, 69).measures[FLATNESS]
    assert (flatness.value, flatness.origin) == (100.0, "estimated")
    assert flatness.standard_error == pytest.approx(100.0 * (91.5 / 65.9 - 1.0) / 2.0, abs=0.7)  # B16


def test_what_is_given_gets_the_error_of_its_taking() -> None:
    body = estimate_body("male", 1740, 69, underside_flatness_percent=120, age_years=40)
    assert body.measures[FLATNESS] == Measure(120.0, 10.0, "given")
    assert body.measures["age_years"] == Measure(40.0, 0.5, "measured")


@pytest.mark.parametrize(
    ("bmi", "said"),
    [
        (14.8, "hardly ever met"),
        (15.2, None),
        (34.8, None),
        (35.2, "Large measures are what one expects"),
        (69.0, "Large measures are what one expects"),
        (71.0, "hardly ever met"),
    ],
)
def test_words_on_weight_begin_where_they_say(bmi: float, said: str | None) -> None:
    notes = " ".join(estimate_body("male", 1700, bmi * 1.7**2).notes)
    for words in ("hardly ever met", "Large measures are what one expects"):
        assert (words in notes) == (words == said)


@pytest.mark.parametrize(
    ("age", "said"), [(16.5, "Children"), (17.5, None), (57.5, None), (64.0, None), (66.0, "Old age")]
)
def test_words_on_age_begin_where_they_say(age: float, said: str | None) -> None:
    notes = " ".join(estimate_body("female", 1650, 62, age_years=age).notes)
    for words in ("Children", "Old age"):
        assert (words in notes) == (words == said)
