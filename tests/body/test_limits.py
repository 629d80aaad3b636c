"""What an adult may measure, where buttock and thigh meet, and shares counted: both sides of each limit."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh.body.body import Measure
from seatmesh.body.body_file import bodies_folder, read_body
from seatmesh.body.figure.posture import POSTURES
from seatmesh.body.figure.seated import PARTS, seat_body
from seatmesh.body.figure.shapes import TaperedCapsule
from seatmesh.body.given_measures import checked_measures
from seatmesh.body.measures import MEASURES, SURVEYED
from seatmesh.body.survey import derive
from seatmesh.body.survey.estimate import estimate_body, sex_weights
from seatmesh.body.survey.population import SEXES, VARIABLES, load_population
from seatmesh.body.survey.sit_bones import MEN, WOMEN, log_likelihood
from seatmesh.errors import ValueRefusedError

ADULTS = {
    "stature_mm": (1000.0, 2300.0),
    "mass_kg": (30.0, 300.0),
    "hip_breadth_sitting_mm": (200.0, 750.0),
    "buttock_popliteal_length_mm": (300.0, 700.0),
    "buttock_knee_length_mm": (400.0, 850.0),
    "popliteal_height_mm": (250.0, 620.0),
    "thigh_clearance_mm": (80.0, 320.0),
    "thigh_circumference_mm": (300.0, 1100.0),
    "lower_thigh_circumference_mm": (220.0, 900.0),
    "sit_bone_spacing_mm": (70.0, 190.0),
    "age_years": (4.0, 110.0),
    "tissue_under_sit_bone_mm": (15.0, 110.0),
    "underside_flatness_percent": (60.0, 160.0),
}
"""Refusals name these; beyond them a slip of the pen or another unit is likelier than a person. Common practice."""


@pytest.mark.parametrize("name", MEASURES)
def test_what_an_adult_may_measure_and_what_is_a_slip(name):
    low, high = ADULTS[name]
    for inside in (1.005 * low, 0.995 * high):
        assert checked_measures({name: inside})[name].value == inside
    for outside in (0.995 * low, 1.005 * high):
        with pytest.raises(ValueRefusedError, match=f"allowed are {low:g} to {high:g}"):
            checked_measures({name: outside})


def test_nobody_of_the_survey_is_refused_and_there_is_room_beyond():
    for sex in SEXES:
        for name, (least, most) in load_population()[sex].ranges.items():
            low, high = ADULTS[name]
            assert low < 0.95 * least, name
            assert high > 1.05 * most, name


def test_a_reading_is_good_to_6_mm_1_kg_half_a_year_and_a_print_to_5_mm():
    """Common practice; they stand in the guide, and the tests of intervals rest on them."""
    for kind in SURVEYED:
        assert kind.tape_error == {"kg": 1.0, "years": 0.5, "mm": 6.0}[kind.unit]
    assert MEASURES["sit_bone_spacing_mm"].tape_error == 5.0


def test_tenths_of_an_inch_are_guessed_where_they_make_nobody_tall():
    """Nine tenths of the greatest stature: 2070 mm are 815 tenths of an inch."""
    for tenths, guessed in ((808, True), (822, False)):
        with pytest.raises(ValueRefusedError) as refusal:
            checked_measures({"stature_mm": float(tenths)})
        assert ("tenths of an inch" in str(refusal.value)) == guessed


def test_buttock_and_thigh_meet_45_mm_ahead_of_the_sit_bones():
    seated = seat_body(read_body(bodies_folder() / "viola.toml"), POSTURES["upright"])
    x, y = np.array([-90.0, -90.0, 90.0, 90.0]), np.array([44.5, 45.5, 44.5, 45.5])
    named = [PARTS[k] for k in seated.fields(x, y).part]
    assert named == ["left_sit_bone", "left_thigh", "right_sit_bone", "right_thigh"]


def test_no_tissue_is_thinner_than_8_mm_however_near_the_bone_comes():
    """Bone thickened until it stands 3 mm under the skin of a thigh; 12 mm under it, it is left as it is."""
    seated = seat_body(read_body(bodies_folder() / "viola.toml"), POSTURES["upright"])
    at = np.array([seated.anatomy.thigh_x]), np.array([250.0])
    bone = seated.bones["right_thigh"]
    left = float(seated.fields(*at).tissue[0])
    for wanted in (3.0, 7.7, 8.3, 12.0):
        more = tuple(radius + left - wanted for radius in bone.half_widths)
        thick = replace(bone, half_widths=more, half_heights=more)
        near = replace(seated, bones={**seated.bones, "right_thigh": thick})
        assert isinstance(thick, TaperedCapsule)
        assert float(near.fields(*at).tissue[0]) == pytest.approx(max(wanted, 8.0), abs=0.05)


def test_women_are_pooled_from_the_published_studies_to_the_last_digit():
    """B1: means, spreads and numbers as published; the variance of all together is that within and that between."""
    means, spreads, people = np.array([(118.4, 13.1, 25), (120.6, 11.3, 100), (122.0, 11.8, 710)]).T
    mean = people @ means / people.sum()
    squares = (people - 1) @ spreads**2 + people @ (means - mean) ** 2
    assert mean == pytest.approx(WOMEN.mean_mm, rel=1e-12)
    assert np.sqrt(squares / (people.sum() - 1)) == pytest.approx(WOMEN.sd_mm, rel=1e-9)
    assert WOMEN.mean_mm - MEN.mean_mm == pytest.approx((12.6 + 13.7) / 2.0)  # B2


def test_shares_inside_an_interval_are_counted_in_hundredths():
    """People made to lie 0 or 2 standard deviations off their expected hip breadth: those at 0 lie inside."""
    population = load_population()
    usual = estimate_body("male", 1750.0, 80.0, age_years=30.0)
    person = np.array([usual.value(name) for name in VARIABLES])
    hip = VARIABLES.index("hip_breadth_sitting_mm")
    off = np.zeros(len(VARIABLES))
    off[hip] = 2.0 * usual.measures["hip_breadth_sitting_mm"].standard_error
    covered = derive.coverage(population, "male", np.array([person, person, person, person + off]))
    assert covered["hip_breadth_sitting_mm"] == 75.0
    assert {share for name, share in covered.items() if name != "hip_breadth_sitting_mm"} == {100.0}


def test_a_print_of_the_sit_bones_says_whose_it_is_by_bayes():
    """Both sexes as likely before; densities of the tape and of the print multiply."""
    print_mm = Measure(128.0, 5.0, "given")

    class Seen:
        def __init__(self, log_density):
            self.log_density = log_density

    seen = {"female": Seen(-3.0), "male": Seen(-2.0)}
    alone = sex_weights(seen, None)
    assert alone["male"] == pytest.approx(np.e / (1.0 + np.e))
    odds = np.exp(1.0 + log_likelihood(print_mm, "male") - log_likelihood(print_mm, "female"))
    both = sex_weights(seen, print_mm)
    assert both["male"] == pytest.approx(odds / (1.0 + odds))
    assert sum(both.values()) == pytest.approx(1.0)
    assert both["female"] > alone["female"]
