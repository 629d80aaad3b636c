"""Tissue under the sit bones against the published figures that the rule is made of; ids are those of check values."""

from __future__ import annotations

import numpy as np
import pytest

from seatmesh.body.body import Measure, Sex
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.body.survey.sit_bone_tissue import (
    TISSUE,
    _muscle_root,
    body_fat_percent,
    estimate_tissue,
    expected_tissue_mm,
    fat_layer_mm,
    skin_area_m2,
    tissue_error_mm,
)


def test_body_fat_is_that_of_deurenberg_at_thirty() -> None:
    # Deurenberg, Weststrate, Seidell 1991: 1.20 BMI + 0.23 age - 10.8 (men) - 5.4; BMI 25 by 1600 mm and 64 kg.
    assert body_fat_percent("female", 1600.0, 64.0) == pytest.approx(30.0 + 6.9 - 5.4, abs=1e-9)
    assert body_fat_percent("male", 1600.0, 64.0) == pytest.approx(30.0 + 6.9 - 10.8 - 5.4, abs=1e-9)
    assert body_fat_percent("male", 1900.0, 40.0) == 5.0


def test_the_skin_of_a_usual_man_is_1_8_square_metres() -> None:
    # DuBois 1916, from memory; 70 kg and 1750 mm by hand: 0.007184 x 6.0835 x 42.284 = 1.848.
    assert skin_area_m2(1750.0, 70.0) == pytest.approx(1.848, rel=0.002)


def test_the_fat_layer_is_fat_over_skin() -> None:
    # 18.129 % of 70 kg, 0.9 kg for 1 mm over 1 m2, 1.848 m2.
    assert fat_layer_mm("male", 1750.0, 70.0) == pytest.approx(0.18129 * 70.0 / 0.9 / 1.848, rel=0.002)


def test_a_usual_man_has_what_b4_gives() -> None:
    assert expected_tissue_mm("male", 1750.0, 70.0) == pytest.approx((38.8 + 41.0) / 2, rel=1e-6)  # B4
    assert expected_tissue_mm("male", 1740.0, 69.1) == pytest.approx(39.9, abs=2.0)


@pytest.mark.parametrize("sex", ["male", "female"])
def test_usual_people_lie_within_the_band_of_b6(sex: Sex) -> None:
    for bmi in (18.0, 22.0, 27.0, 32.0):
        assert 25.0 <= expected_tissue_mm(sex, 1700.0, bmi * 1.7**2) <= 60.0  # B6


def test_fat_under_the_bone_gains_less_than_that_at_the_back_of_the_buttocks() -> None:
    # Frank et al. 2019: 3 mm for each unit of BMI in men, 4 mm in women, at the back of the buttocks; thinned by hip
    # flexion as Makhsous et al. 2011 found of all tissue there, 73.8 of 135.9 mm. An even spread is the least.
    men, women = (
        float(np.diff(fat_layer_mm(sex, 1700.0, np.array([22.0, 30.0]) * 1.7**2))[0]) / 8.0
        for sex in ("male", "female")
    )
    for gain, back in ((men, 3.0), (women, 4.0)):
        assert gain < 1.5 * gain < back * 73.8 / 135.9


def test_muscle_goes_with_the_root_of_lean_mass_over_stature() -> None:
    lean = [float(m * (1.0 - body_fat_percent("male", 1750.0, m) / 100.0)) for m in (60.0, 90.0)]
    muscle = [
        float(expected_tissue_mm("male", 1750.0, m) - 1.5 * fat_layer_mm("male", 1750.0, m)) for m in (60, 90)
    ]
    assert muscle[1] / muscle[0] == pytest.approx((lean[1] / lean[0]) ** 0.5, rel=1e-6)


def test_the_error_adds_person_fat_and_rule_and_grows_with_fat() -> None:
    # At the man of B4 the rule itself adds nothing: 6 mm between people, 4.1 % of fat by 1.5.
    of_fat = 1.5 * 0.041 * 70.0 / 0.9 / 1.848
    assert tissue_error_mm("male", 1750.0, 70.0) == pytest.approx(np.hypot(6.0, of_fat), rel=0.001)
    layers = fat_layer_mm("female", 1650.0, 95.0) - fat_layer_mm("male", 1750.0, 70.0)
    of_fat = 1.5 * 0.041 * 95.0 / 0.9 / skin_area_m2(1650.0, 95.0)
    expected = np.sqrt(6.0**2 + of_fat**2 + (0.6 * layers) ** 2)
    assert tissue_error_mm("female", 1650.0, 95.0) == pytest.approx(expected, rel=1e-9)


def test_hip_breadth_alone_does_not_thicken_the_tissue() -> None:
    slim, broad = (estimate_body("male", 1740, 69, hip_breadth_sitting_mm=hip) for hip in (338, 390))
    assert slim.value(TISSUE) == broad.value(TISSUE)


def test_without_a_sex_the_tissue_is_a_mixture() -> None:
    both = estimate_tissue({"female": 0.5, "male": 0.5}, 1700.0, 65.0)
    women, men = (float(expected_tissue_mm(sex, 1700.0, 65.0)) for sex in ("female", "male"))
    assert men < both.value < women
    assert both.standard_error > float(tissue_error_mm("male", 1700.0, 65.0))


def test_a_given_thickness_is_kept_with_its_error() -> None:
    assert estimate_body("male", 1740, 69, tissue_under_sit_bone_mm=33).measures[TISSUE] == Measure(
        33.0, 3.0, "given"
    )


def test_nobody_carries_less_than_5_or_more_than_60_percent_of_fat() -> None:
    """What adults carry, from memory."""
    assert float(body_fat_percent("female", 1500.0, 150.0)) == 60.0
    assert float(body_fat_percent("male", 1950.0, 45.0)) == 5.0


def test_the_muscle_of_a_usual_man_is_told_by_kilograms_per_metre() -> None:
    """Of 70 kg on 1.75 m with a BMI of 22.9 some 18 % are fat: 57 kg of the rest, 33 kg/m, whose root is 5.7."""
    fat = 1.2 * 70.0 / 1.75**2 + 0.23 * 30.0 - 10.8 - 5.4
    assert float(_muscle_root("male", 1750.0, 70.0)) == pytest.approx(np.sqrt((100.0 - fat) / 100.0 * 40.0))
