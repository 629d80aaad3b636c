"""Whom the survey knows, and plain words for people whom it does not know.

What is said of flesh and skin of old people and of pregnancy is from memory; none of it is medical advice.
"""

from __future__ import annotations

from collections.abc import Mapping

from seatmesh.body.survey.population import SURVEYED_AGES
from seatmesh.units import format_mass

SURVEY = (
    "What is estimated comes from a survey of 4,850 soldiers of 17 to 58 years, leaner than the public; "
    "173 of them have a body mass index above 35. For anybody else, in pregnancy above all, an estimate is less "
    "sure than its range says."
)
"""Stands wherever an estimate is shown. Gordon et al. 2014, NATICK/TR-15/007: the share of its rows that we hold."""
CHILDREN = (
    "Children: nothing estimated holds, since their proportions, bones and flesh differ. Take every measure, and "
    "expect the seat to be outgrown."
)
PREGNANCY = (
    "Pregnancy: the mass and how it is carried change from week to week, and nothing estimated holds. Take measures "
    "from well before or after it, or take them all and let the sitter try the seat again as they change."
)
OLD_AGE = (
    "Old age: muscle under the sit bones wastes and skin grows thin, so pressure may be higher than said. Take the "
    "girths anew, and let the sitter try the seat early and for long."
)
WHEELCHAIR = (
    "Wheelchair users: flesh that is seldom used wastes, and skin that does not feel gives no warning. No figure here "
    "holds for them; a seating clinician must have the say."
)
HEAVY = (
    "A body mass index above 35: what is estimated of hips and thighs is carried on from lighter people, and its range "
    "is wide. Large measures are what one expects; take hip breadth, thigh clearance and both thigh girths, and let "
    "the sitter try the seat early."
)
NOT_SURVEYED = (CHILDREN, PREGNANCY, OLD_AGE, WHEELCHAIR, HEAVY)
"""Stands where measures are explained."""

HEAVY_BMI = 35.0
BMI_HARDLY_MET = (15.0, 70.0)
"""Beyond these stature and mass are asked for again; from memory of the leanest and the heaviest people alive."""
OLD_FROM = 65.0
CHILD_BELOW_MM = 1400.0
"""Hardly any adult is shorter: the survey's shortest is 1435 mm."""


def body_mass_index(stature_mm: float, mass_kg: float) -> float:
    """Return mass over stature squared, kg/m2."""
    return mass_kg / (stature_mm / 1000.0) ** 2


def beyond_survey_notes(given: Mapping[str, float]) -> tuple[str, ...]:
    """Return plain words for a person whose age or body mass index the survey does not hold; empty for others."""
    notes = []
    youngest, oldest = SURVEYED_AGES
    age = given.get("age_years")
    if age is None and given["stature_mm"] < CHILD_BELOW_MM:
        notes.append(f"stature_mm = {given['stature_mm']:g}: if this is a child, give age_years. {CHILDREN}")
    if age is not None and age < youngest:
        notes.append(f"age_years = {age:g}, and the survey begins at {youngest:g}. {CHILDREN}")
    if age is not None and age > oldest:
        notes.append(
            f"age_years = {age:g}, and the survey ends at {oldest:g}: estimated lengths and girths are those of people "
            f"of {oldest:g}, and the flesh under the bone that of younger ones."
            + (f" {OLD_AGE}" if age >= OLD_FROM else "")
        )
    mass = given["mass_kg"]
    bmi = body_mass_index(given["stature_mm"], mass)
    if HEAVY_BMI < bmi <= BMI_HARDLY_MET[1]:
        # Both units, so that pounds written down as kilograms meet the eye.
        notes.append(
            f"{mass:g} kg ({format_mass(mass, 'in', 0)}) make a body mass index of {bmi:.0f}. {HEAVY}"
        )
    return tuple(notes)
