"""What unmeasured quantities do to the peak: against sits of bodies that have more or less of them."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from seatmesh.body.body import Body
from seatmesh.body.measures import MEASURES
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.design.report.unmeasured_report import unmeasured_report, unmeasured_sentences
from seatmesh.seating.sit import sit
from seatmesh.seating.sureness.unmeasured import STIFFNESS, Unmeasured, unmeasured_of
from seatmesh.surface import flat_seat

FLAT = flat_seat()
MAN = estimate_body("male", 1740, 69.1)
TISSUE = "tissue_under_sit_bone_mm"


def peak(body: Body) -> float:
    return sit(body, FLAT).figures.peak_kpa


@pytest.fixture(scope="module")
def found() -> tuple[Unmeasured, ...]:
    return unmeasured_of(MAN, FLAT)


def test_everything_that_was_not_measured_is_there_what_matters_most_first(
    found: tuple[Unmeasured, ...],
) -> None:
    estimated = {name for name, one in MAN.measures.items() if one.origin == "estimated"}
    assert {one.name for one in found} == {*estimated, STIFFNESS}
    weights = [one.weight_kpa for one in found]
    assert weights == sorted(weights, reverse=True)
    assert found[0].name == TISSUE


@pytest.mark.parametrize(("name", "step"), [(TISSUE, 5.0), ("underside_flatness_percent", 20.0)])
def test_a_step_does_what_a_body_with_more_or_less_does(
    found: tuple[Unmeasured, ...], name: str, step: float
) -> None:
    (one,) = [row for row in found if row.name == name]
    assert one.step == step
    for moved, said in ((step, one.more_kpa), (-step, one.less_kpa)):
        value = replace(MAN.measures[name], value=MAN.value(name) + moved)
        true = peak(replace(MAN, measures={**MAN.measures, name: value})) - peak(MAN)
        assert said == pytest.approx(true, rel=0.005)
    assert one.more_kpa < 0.0 < one.less_kpa


def test_what_is_given_is_no_longer_told(found: tuple[Unmeasured, ...]) -> None:
    known = estimate_body("male", 1740, 69.1, tissue_under_sit_bone_mm=40, underside_flatness_percent=100)
    left = {one.name for one in unmeasured_of(known, FLAT)}
    assert {one.name for one in found} - left == {TISSUE, "underside_flatness_percent"}


def test_steps_are_handy_and_near_the_standard_error(found: tuple[Unmeasured, ...]) -> None:
    for one in found:
        assert math.fmod(one.step, 5.0) == 0.0
        assert abs(one.step - one.standard_error) <= 2.5 or one.step == 5.0


def test_a_step_never_leaves_what_is_plausible() -> None:
    """Near an end the step is as long as there is room on both sides; at the end nothing is told."""
    name = "underside_flatness_percent"
    lowest, highest = MEASURES[name].lowest, MEASURES[name].highest

    def told(value: float) -> list[Unmeasured]:
        edge = replace(MAN, measures={**MAN.measures, name: replace(MAN.measures[name], value=value)})
        return [row for row in unmeasured_of(edge, FLAT) if row.name == name]

    assert told(highest) == told(lowest) == []
    assert [one.step for one in told(lowest + 12.0)] == [10.0]
    (one,) = told(highest - 12.0)
    assert one.step == 10.0
    assert one.more_kpa is not None
    assert one.less_kpa is not None
    assert one.more_kpa < 0.0 < one.less_kpa


def test_a_body_without_balance_has_nothing_told() -> None:
    assert unmeasured_of(MAN, FLAT, load_n=4900.0) == ()


def test_sentences_say_what_one_step_does() -> None:
    rows = unmeasured_report(
        [
            Unmeasured(TISSUE, "tissue under sit bone", 39.7, 6.5, 5.0, -10.7, 15.6),
            Unmeasured(
                "underside_flatness_percent", "flatness of the underside", 100.0, 20.0, 20.0, -8.0, None
            ),
            Unmeasured("popliteal_height_mm", "lower leg length", 430.0, 12.0, 10.0, 0.2, -0.1),
        ]
    )
    assert unmeasured_sentences(rows, 63.0, "mm") == [
        "Tissue under sit bone, not measured and taken as 40 mm: 5 mm more would lower the peak by 11 kPa, 5 mm less "
        "would raise it by 16 kPa.",
        "Flatness of the underside, not measured and taken as usual: 20 % more would lower the peak by 8 kPa, 20 % "
        "less would leave no balance.",
    ]
    assert '1 9/16"' in unmeasured_sentences(rows, 63.0, "in")[0]
    # Where 5 % is less than can be told, half a kPa is the least that is named.
    assert unmeasured_sentences(rows[2:], 2.0, "mm") == [
        "Nothing that was not measured moves the peak by 0.5 kPa or more."
    ]
    assert unmeasured_sentences(rows[2:], 63.0, "mm") == [
        "Nothing that was not measured moves the peak by 5 % or more."
    ]
    assert unmeasured_sentences([], 63.0, "mm") == []
