"""Sit-bone spacing: against the published studies that it is pooled from."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from seatmesh.body.body import Measure, Sex
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.body.survey.sit_bones import MEN, WOMEN, Spread, estimate_sit_bones, log_likelihood, pool

SPACING = "sit_bone_spacing_mm"


def test_women_are_the_three_studies_pooled() -> None:
    # B1: 118.4 +/- 13.1 (25), 120.6 +/- 11.3 (100), 122.0 +/- 11.8 (710); mean weighted by hand.
    assert WOMEN.mean_mm == pytest.approx((25 * 118.4 + 100 * 120.6 + 710 * 122.0) / 835, rel=1e-12)
    assert WOMEN.people == 835
    # People spread evenly, moved and stretched to each study's mean and deviation, all in one room.
    room = []
    for mean, deviation, people in ((118.4, 13.1, 25), (120.6, 11.3, 100), (122.0, 11.8, 710)):
        line = np.linspace(-1.0, 1.0, people)
        room.append(mean + deviation * line / line.std(ddof=1))
    assert WOMEN.sd_mm == pytest.approx(np.concatenate(room).std(ddof=1), rel=1e-9)


def test_pooling_gives_the_spread_of_all_people_together() -> None:
    first, second = np.array([1.0, 4.0, 7.0, 9.0]), np.array([11.0, 12.0, 16.0])
    both = np.concatenate([first, second])
    studies = tuple(Spread(float(one.mean()), float(one.std(ddof=1)), len(one)) for one in (first, second))
    assert pool(studies).mean_mm == pytest.approx(both.mean(), rel=1e-12)
    assert pool(studies).sd_mm == pytest.approx(both.std(ddof=1), rel=1e-12)


def test_men_are_closer_by_the_difference_found() -> None:
    assert WOMEN.mean_mm - MEN.mean_mm == pytest.approx(0.5 * (12.6 + 13.7))  # B2, halfway


def test_a_spacing_is_as_likely_as_the_normal_distribution_says() -> None:
    given = Measure(131.0, 3.0, "given")
    for sex, mean, deviation in (("female", WOMEN.mean_mm, WOMEN.sd_mm), ("male", MEN.mean_mm, MEN.sd_mm)):
        normal = norm(mean, np.sqrt(deviation**2 + 9.0))
        assert log_likelihood(given, sex) == pytest.approx(normal.logpdf(131.0))


@pytest.mark.parametrize(("sex", "low", "high"), [("male", 90, 130), ("female", 100, 145)])
def test_intervals_lie_within_the_bands(sex: Sex, low: int, high: int) -> None:
    # B3, which is arithmetic on the same studies: the 90 % interval may pass the band's end by 3 mm.
    spacing = estimate_body(sex, 1700, 75).measures[SPACING]
    assert low - 3 <= spacing.low_90 < spacing.value < spacing.high_90 <= high + 3
    assert spacing.origin == "estimated"


def test_unknown_sex_is_a_mixture_between() -> None:
    even = estimate_sit_bones({"female": 0.5, "male": 0.5})
    assert even.value == pytest.approx((WOMEN.mean_mm + MEN.mean_mm) / 2, abs=1e-6)
    assert even.standard_error == pytest.approx(
        np.hypot(WOMEN.sd_mm, (WOMEN.mean_mm - MEN.mean_mm) / 2), rel=1e-9
    )
    assert estimate_sit_bones({"female": 1.0, "male": 0.0}).value == pytest.approx(WOMEN.mean_mm, abs=1e-6)


def test_an_imprint_is_taken_as_given() -> None:
    body = estimate_body("male", 1800, 80, sit_bone_spacing_mm=121)
    assert body.measures[SPACING] == Measure(121.0, 5.0, "given")
    assert body.notes == ()
    sure = estimate_body("male", 1800, 80, sit_bone_spacing_mm=Measure(121.0, 2.0, "given"))
    assert sure.measures[SPACING].standard_error == 2.0


def test_an_unlikely_imprint_gets_a_note() -> None:
    (note,) = estimate_body("male", 1800, 80, sit_bone_spacing_mm=160).notes
    assert "sit_bone_spacing_mm = 160" in note
    assert "109 mm" in note
