"""A body from a few measures: what is kept, what is estimated, what is refused, what is noted."""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
import pytest
from scipy.stats import multivariate_normal, norm

from seatmesh.body.body import Measure, Sex
from seatmesh.body.measures import MEASURES
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.body.survey.population import VARIABLES, load_population
from seatmesh.body.survey.sit_bones import MEN, WOMEN
from seatmesh.errors import UnknownKeyError, ValueRefusedError

HIP = "hip_breadth_sitting_mm"
SEAT = "buttock_popliteal_length_mm"
KNEE = "popliteal_height_mm"


def by_hand(
    sex: Sex, name: str, taped: list[float], errors: list[float], covariance: np.ndarray
) -> tuple[float, float]:
    """Generalised regression on stature, ln mass and hip breadth, solved as plain linear equations."""
    population = load_population()[sex]
    read, i = [0, 1, 2], VARIABLES.index(name)
    spread = covariance[np.ix_(read, read)] + np.diag(np.square(errors))
    slopes = np.linalg.solve(spread, covariance[read, i])
    off = np.array(taped) - population.mean[read]
    return population.mean[i] + slopes @ off, math.sqrt(covariance[i, i] - slopes @ covariance[read, i])


@pytest.mark.parametrize("sex", ["male", "female"])
def test_estimates_are_the_regression_on_what_is_given(sex: Sex, covariance_of_build: Any) -> None:
    covariance = covariance_of_build(sex, 1702.0, 71.5)
    body = estimate_body(sex, 1702, 71.5, hip_breadth_sitting_mm=Measure(371.0, 9.0, "measured"))
    for name in (SEAT, KNEE, "thigh_clearance_mm", "lower_thigh_circumference_mm"):
        value, error = by_hand(sex, name, [1702, math.log(71.5), 371.0], [6.0, 1.0 / 71.5, 9.0], covariance)
        assert body.measures[name].value == pytest.approx(value, rel=1e-9)
        assert body.measures[name].standard_error == pytest.approx(error, rel=1e-7)
        assert body.measures[name].interval_90 is None


def test_every_measure_is_there_in_the_order_of_the_table() -> None:
    body = estimate_body("female", 1650, 62)
    assert list(body.measures) == [name for name in MEASURES if name != "age_years"]
    assert list(estimate_body("female", 1650, 62, age_years=40).measures) == list(MEASURES)
    assert all(
        m.origin == ("measured" if n in ("stature_mm", "mass_kg") else "estimated")
        for n, m in body.measures.items()
    )
    assert (body.sex, body.name, body.notes) == ("female", "woman, 1650 mm, 62 kg", ())


def test_what_was_given_keeps_its_value_and_error() -> None:
    own = Measure(402.0, 3.0, "given")
    body = estimate_body(
        "male", 1650, Measure(62.0, 0.5, "measured"), popliteal_height_mm=own, hip_breadth_sitting_mm=370
    )
    assert body.measures["stature_mm"] == Measure(1650.0, 6.0, "measured")
    assert body.measures["mass_kg"] == Measure(62.0, 0.5, "measured")
    assert body.measures[KNEE] is own
    assert body.measures[HIP] == Measure(370.0, 6.0, "measured")


def test_a_surer_reading_weighs_more() -> None:
    plain = estimate_body("male", 1750, 80).value("thigh_circumference_mm")
    shifts = [
        estimate_body("male", 1750, 80, hip_breadth_sitting_mm=Measure(400.0, error, "measured")).value(
            "thigh_circumference_mm"
        )
        - plain
        for error in (0.0, 6.0, 30.0, 500.0)
    ]
    assert shifts[0] > shifts[1] > shifts[2] > shifts[3] > 0.0
    assert shifts[3] < 0.02 * shifts[0]


def test_a_measure_more_narrows_the_rest() -> None:
    before = estimate_body("female", 1650, 62).measures[SEAT]
    after = estimate_body("female", 1650, 62, buttock_knee_length_mm=585).measures[SEAT]
    assert after.standard_error < 0.75 * before.standard_error


def test_without_a_sex_the_estimate_is_the_mixture() -> None:
    both = estimate_body(None, 1700, 70)
    parts = [estimate_body(sex, 1700, 70) for sex in ("female", "male")]
    densities = []
    for sex in ("female", "male"):
        population = load_population()[sex]
        spread = population.covariance[:2, :2] + np.diag([36.0, (1.0 / 70) ** 2])
        densities.append(multivariate_normal(population.mean[:2], spread).pdf([1700.0, math.log(70)]))
    weights = np.array(densities) / sum(densities)
    assert 0.1 < weights[0] < 0.9
    for name in (HIP, SEAT, KNEE, "sit_bone_spacing_mm"):
        mixed, ms = both.measures[name], [part.measures[name] for part in parts]
        for value, probability in ((mixed.low_90, 0.05), (mixed.value, 0.5), (mixed.high_90, 0.95)):
            below = sum(
                w * norm.cdf(value, m.value, m.standard_error) for w, m in zip(weights, ms, strict=True)
            )
            assert below == pytest.approx(probability, abs=1e-8)
        mean = sum(w * m.value for w, m in zip(weights, ms, strict=True))
        second = sum(w * (m.standard_error**2 + m.value**2) for w, m in zip(weights, ms, strict=True))
        assert mixed.standard_error == pytest.approx(math.sqrt(second - mean**2), rel=1e-6)
    assert both.sex is None


def test_readings_tell_the_sexes_apart() -> None:
    tall = estimate_body(None, 1900, 95).measures["sit_bone_spacing_mm"].value
    short = estimate_body(None, 1530, 55).measures["sit_bone_spacing_mm"].value
    assert tall == pytest.approx(MEN.mean_mm, abs=0.5)
    assert short == pytest.approx(WOMEN.mean_mm, abs=0.5)
    # A wide imprint speaks for a woman, and hips follow.
    wide, narrow = (estimate_body(None, 1700, 70, sit_bone_spacing_mm=mm).value(HIP) for mm in (135, 95))
    assert wide > narrow + 10.0


def test_weights_are_the_shares_in_a_population_half_and_half() -> None:
    """Sampled people, half women: who is of about one stature and mass gives the weights."""
    generator = np.random.default_rng(11)
    counts = []
    for sex in ("female", "male"):
        population = load_population()[sex]
        people = generator.multivariate_normal(population.mean[:2], population.covariance[:2, :2], 400_000)
        near = (np.abs(people[:, 0] - 1700) < 8) & (np.abs(people[:, 1] - math.log(70)) < 0.02)
        counts.append(np.count_nonzero(near))
    women = counts[0] / sum(counts)
    spacing = estimate_body(None, 1700, 70).measures["sit_bone_spacing_mm"]
    below = women * norm.cdf(spacing.value, WOMEN.mean_mm, WOMEN.sd_mm) + (1 - women) * norm.cdf(
        spacing.value, MEN.mean_mm, MEN.sd_mm
    )
    assert below == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize("sex", ["male", "female", None])
def test_all_plausible_bodies_have_positive_measures(sex: Sex | None) -> None:
    for stature_mm, mass_kg in itertools.product((1000, 1600, 2300), (30, 75, 300)):
        body = estimate_body(sex, stature_mm, mass_kg)
        assert all(
            0.0 < m.value < math.inf and 0.0 < m.standard_error < math.inf for m in body.measures.values()
        )
        assert all(m.low_90 < m.value < m.high_90 for m in body.measures.values())


REFUSED = [
    ({"stature_mm": 1.7}, "1.7 looks like metres; give 1700"),
    ({"stature_mm": 170}, "170 looks like cm; give 1700"),
    ({"stature_mm": 68}, "68 looks like inches; give 1727"),
    ({"stature_mm": 5.6}, "5.6 looks like feet; give 1707"),
    ({"stature_mm": 700}, "700 looks like tenths of an inch; give 1778"),
    ({"stature_mm": 900}, "allowed are 1000 to 2300 mm; measure again"),
    ({"stature_mm": 0}, "allowed are 1000 to 2300 mm; measure again"),
    ({"stature_mm": -1700}, "allowed are 1000 to 2300 mm; measure again"),
    ({"stature_mm": math.nan}, "give a finite number"),
    ({"stature_mm": math.inf}, "give a finite number"),
    ({"stature_mm": 10**400}, "give a finite number"),
    ({"stature_mm": "1700"}, "give a number"),
    ({"stature_mm": None}, "give a number"),
    ({"mass_kg": True}, "give a number"),
    ({"mass_kg": 350}, "350 looks like pounds; give 158.8"),
    ({"mass_kg": 11}, "11 looks like stones; give 69.85"),
    ({"mass_kg": 70000}, "70000 looks like grams; give 70"),
    ({"popliteal_height_mm": 42}, "42 looks like cm; give 420"),
    ({"popliteal_height_mm": 16.5}, "16.5 looks like inches; give 419.1"),
    (
        {"hip_breadth_sitting_mm": Measure(380.0, -1.0, "measured")},
        "standard error of hip_breadth_sitting_mm = -1",
    ),
    (
        {"hip_breadth_sitting_mm": Measure(380.0, math.nan, "measured")},
        "standard error of hip_breadth_sitting_mm",
    ),
    ({"hip_breadth_sitting_mm": Measure(38.0, 6.0, "measured")}, "38 looks like cm; give 380"),
    ({"hip_breadth_sitting_mm": Measure(380.0, 6.0, "estimated")}, "leave it out"),
    ({"sit_bone_spacing_mm": 12}, "12 looks like cm; give 120"),
    ({"age_years": 1961}, "give the age in years, not the year of birth, or leave it out"),
    ({"age_years": 2}, "allowed are 4 to 110 years"),
    ({"tissue_under_sit_bone_mm": 4}, "4 looks like cm; give 40"),
    ({"underside_flatness_percent": 1.1}, "allowed are 60 to 160 percent; give 100 for a usual underside"),
    ({"sex": "woman"}, 'allowed are "male" and "female"'),
    ({"sex": ""}, 'allowed are "male" and "female"'),
    ({"sex": ["male"]}, 'allowed are "male" and "female"'),
]


@pytest.mark.parametrize(("change", "told"), REFUSED)
def test_refuses_what_cannot_be_right(change: dict[str, Any], told: str) -> None:
    with pytest.raises(ValueRefusedError) as refused:
        estimate_body(**{"sex": "female", "stature_mm": 1650, "mass_kg": 62, **change})
    assert told in str(refused.value)


def test_refuses_a_measure_that_no_table_knows_with_the_nearest() -> None:
    with pytest.raises(UnknownKeyError, match="did you mean 'hip_breadth_sitting_mm'") as refused:
        estimate_body("female", 1650, 62, hip_bredth_sitting_mm=400)
    assert refused.value.nearest == HIP


@pytest.mark.parametrize(
    ("sex", "mass_kg", "told"),
    [
        ("male", 144.1, "heavier than 144 kg"),
        ("male", 143.9, None),
        ("female", 120.1, "heavier than 120 kg"),
        ("female", 119.0, "outside the survey's women"),
        ("female", 110.0, None),
        (None, 150.0, "heavier than 144 kg"),
        (None, 130.0, None),
        ("male", 36.0, "outside the survey's men"),
    ],
)
def test_body_mass_beyond_the_survey_is_noted(sex: Sex | None, mass_kg: float, told: str | None) -> None:
    notes = estimate_body(sex, 1820 if sex != "female" else 1700, mass_kg).notes
    beyond = [note for note in notes if "extrapolation" in note]
    assert len(beyond) == (0 if told is None else 1)
    assert told is None or told in beyond[0]


def test_stature_beyond_the_survey_is_noted() -> None:
    (note,) = estimate_body("female", 1835, 80).notes
    assert note.startswith("stature_mm = 1835 is outside the survey's women (1435 to 1829 mm)")


@pytest.mark.parametrize("slip_mm", [-70.0, 70.0])
@pytest.mark.parametrize("sex", ["male", "female", None])
def test_a_slip_of_the_tape_is_noted_and_named_alone(sex: Sex | None, slip_mm: float) -> None:
    usual = estimate_body(sex, 1700, 70)
    taped = {name: float(round(usual.value(name))) for name in (HIP, SEAT, "buttock_knee_length_mm", KNEE)}
    assert estimate_body(sex, 1700, 70, **taped).notes == ()
    taped[KNEE] += slip_mm
    (note,) = [one for one in estimate_body(sex, 1700, 70, **taped).notes if "standard errors" in one]
    assert note.startswith(f"popliteal_height_mm = {taped[KNEE]:g} lies")
    assert ("above" in note) == (slip_mm > 0)
    assert "take it again" in note


def test_a_slip_is_noted_from_three_and_a_half_standard_errors_on() -> None:
    usual = estimate_body("male", 1750, 80).measures[HIP]
    width = math.hypot(usual.standard_error, 6.0)
    for count, noted in ((3.4, False), (3.6, True), (-3.4, False), (-3.6, True)):
        body = estimate_body("male", 1750, 80, hip_breadth_sitting_mm=usual.value + count * width)
        assert any(HIP in note for note in body.notes) == noted


def test_mass_and_stature_that_do_not_go_together_are_noted() -> None:
    (note,) = estimate_body("male", 1850, 45).notes
    assert note.startswith("mass_kg = 45 and stature_mm = 1850 make a body mass index of 13")
    assert "check both readings" in note
    (*_, note) = estimate_body("female", 1500, 200).notes
    assert "index of 89" in note
    assert "check both readings" in note


@pytest.mark.parametrize(
    ("sex", "stature_mm", "mass_kg"), [("female", 1620, 125), ("male", 1760, 170), (None, 1700, 140)]
)
def test_a_heavy_person_is_not_told_to_take_a_reading_again(
    sex: Sex | None, stature_mm: int, mass_kg: int
) -> None:
    """Girths as large as such a mass makes them: of a thigh as thick as body mass over stature, by its root.

    The survey's mean man has 84 kg and 1755 mm and a thigh of 626 mm; hips grow alike. Real people vary, so do these.
    """
    growth = (mass_kg / stature_mm / (84.2 / 1755.0)) ** 0.5
    for more in (0.95, 1.0, 1.05):
        girths = {"thigh_circumference_mm": 626.0 * growth * more, HIP: 385.0 * growth * more}
        notes = estimate_body(sex, stature_mm, mass_kg, **girths).notes
        assert not [note for note in notes if "again" in note or "check" in note], notes
        assert sum("body mass index" in note for note in notes) == 1
        assert "Large measures are what one expects" in notes[0]


def test_thighs_that_do_not_go_with_a_large_mass_are_still_noted() -> None:
    notes = estimate_body("female", 1620, 125, thigh_circumference_mm=600, hip_breadth_sitting_mm=390).notes
    assert [
        note for note in notes if "mass_kg = 125" in note and ("lies" in note or "do not go together" in note)
    ]


def test_two_readings_that_contradict_one_another_are_both_named() -> None:
    """A thin thigh and a large mass surprise alike: which of them is off cannot be told."""
    (note,) = [
        one for one in estimate_body("male", 1780, 130, thigh_circumference_mm=500).notes if "together" in one
    ]
    assert "mass_kg = 130" in note
    assert "thigh_circumference_mm = 500 do not go together" in note
    # Readings that go with the mass tell them apart.
    heavy = {"hip_breadth_sitting_mm": 470, "thigh_clearance_mm": 200}
    notes = estimate_body("male", 1780, 125, thigh_circumference_mm=520, **heavy).notes
    assert [one for one in notes if one.startswith("thigh_circumference_mm = 520 lies")]


def test_a_short_sitter_without_an_age_may_be_a_child() -> None:
    assert "if this is a child, give age_years" in estimate_body("male", 1380, 34).notes[0]
    assert all("child" not in note for note in estimate_body("female", 1450, 50).notes)


@pytest.mark.parametrize(
    ("age", "told", "silent"),
    [
        (12, "survey begins at 17. Children:", "Old age"),
        (30, None, "survey"),
        (58, None, "survey"),
        (60, "survey ends at 58: estimated lengths and girths are those of people of 58", "Old age"),
        (71, "Old age: muscle under the sit bones wastes", "Children"),
    ],
)
def test_ages_beyond_the_survey_get_words_of_their_own(age: int, told: str | None, silent: str) -> None:
    notes = estimate_body("female", 1620, 58, age_years=age).notes
    assert len(notes) == (0 if told is None else 1)
    assert told is None or told in notes[0]
    assert all(silent not in note for note in notes)


def test_no_age_is_ever_questioned_nor_carried_beyond_the_survey() -> None:
    oldest, beyond = (estimate_body("male", 1750, 80, age_years=age) for age in (58, 90))
    girth = "thigh_circumference_mm"
    assert beyond.measures[girth] == oldest.measures[girth]
    assert beyond.value("age_years") == 90.0
    thick = estimate_body("male", 1750, 80, age_years=58, thigh_circumference_mm=630)
    assert not [note for note in thick.notes if "standard errors" in note]


def test_older_people_have_thinner_thighs_at_like_mass() -> None:
    """Sixteen millimetres of girth past 45, by the rows: see tests/verification/survey_coverage.py."""
    young, old = (
        estimate_body("male", 1755, 84, age_years=age).value("thigh_circumference_mm") for age in (29, 49)
    )
    assert 10.0 < young - old < 25.0
