"""Notes on a body: people and measures beyond the survey, and readings that do not go together."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from seatmesh.body.body import Measure, Sex
from seatmesh.body.measures import MEASURES
from seatmesh.body.people_words import BMI_HARDLY_MET, beyond_survey_notes, body_mass_index
from seatmesh.body.survey.conditioning import MeasureReadings, condition, without
from seatmesh.body.survey.population import AGE, VARIABLES, Population, from_normal
from seatmesh.body.survey.sit_bone_tissue import TISSUE, expected_tissue_mm
from seatmesh.body.survey.sit_bone_tissue import surprise as tissue_surprise
from seatmesh.body.survey.sit_bones import SIT_BONES, SPACING, surprise

HEAVIEST_KG: Mapping[Sex, float] = {"male": 144.0, "female": 120.0}
"""Heavier people are beyond the whole survey, which is leaner than the public."""

AS_SURPRISING = 0.9
"""Readings that surprise by this share of the most surprising are as likely to be the slip."""
SURPRISING = 3.5
"""Standard errors; among people measured well one reading in two thousand lies farther out."""

LIKELY_ENOUGH = 0.05
"""Least probability of a sex, where none is stated, at which its range in the survey is looked at."""

_PEOPLE: Mapping[Sex, str] = {"male": "men", "female": "women"}


def plausibility_notes(
    population: Mapping[Sex, Population],
    weights: Mapping[Sex, float],
    given: Mapping[str, Measure],
    readings: MeasureReadings,
) -> tuple[str, ...]:
    """Return in words who and what is beyond the survey and what to take again; empty where all is usual."""
    likely = [sex for sex, weight in weights.items() if weight >= LIKELY_ENOUGH]
    names = [name for i, name in enumerate(VARIABLES) if name in given and i != AGE]
    beyond = [_beyond(population, likely, name, given[name].value) for name in names]
    notes = [*beyond_survey_notes({name: one.value for name, one in given.items()})]
    notes += [note for note in beyond if note]
    notes += _build_hardly_met(given)
    notes += _surprising({sex: population[sex] for sex in weights}, given, readings)
    if SPACING in given:
        notes += _surprising_sit_bones(list(weights), given[SPACING])
    if TISSUE in given:
        notes += _surprising_tissue(list(weights), given)
    return tuple(notes)


def _beyond(population: Mapping[Sex, Population], likely: list[Sex], name: str, value: float) -> str:
    unit = MEASURES[name].unit
    for sex in likely:
        low, high = population[sex].ranges[name]
        if name == "mass_kg" and value > HEAVIEST_KG[sex]:
            reach = f"heavier than {HEAVIEST_KG[sex]:g} kg, beyond all {_PEOPLE[sex]} of the survey"
        elif not low <= value <= high:
            reach = f"outside the survey's {_PEOPLE[sex]} ({low:g} to {high:g} {unit})"
        else:
            continue
        return f"{name} = {value:g} is {reach}: what is estimated from it is extrapolation, so measure more."
    return ""


def _surprising(
    population: Mapping[Sex, Population], given: Mapping[str, Measure], readings: MeasureReadings
) -> list[str]:
    """Return a note on the reading that fits the others worst, then without it on the next, and so on.

    One slip makes its neighbours look odd too; taking the worst out first names it alone. That somebody is heavy, tall
    or old is no reason to doubt a reading; that thighs do not go with the mass is. An age is never questioned.
    """
    notes = []
    while len(readings.which) > 1:
        seen = [
            condition(one.mean, one.covariance_of_any_build(readings), readings)
            for one in population.values()
        ]
        off = np.array([one.surprise for one in seen])
        kindest = np.argmin(np.abs(off), axis=0)
        least = np.where(readings.which == AGE, 0.0, np.abs(off)[kindest, np.arange(off.shape[1])])
        worst = int(np.argmax(least))
        if least[worst] <= SURPRISING:
            break
        alike = np.flatnonzero(least >= AS_SURPRISING * least[worst])
        if len(alike) > 1:
            notes.append(_contradiction([VARIABLES[readings.which[k]] for k in alike], given))
            # Which of them is off cannot be told, nor what the others would look like without it.
            break
        name = VARIABLES[readings.which[worst]]
        expected = from_normal(name, float(seen[kindest[worst]].expected[worst]))
        notes.append(_doubt(name, given[name].value, float(off[kindest[worst], worst]), expected))
        readings = without(readings, worst)
    return notes


def _contradiction(names: list[str], given: Mapping[str, Measure]) -> str:
    words = [f"{name} = {given[name].value:g}" for name in names]
    return (
        f"{', '.join(words[:-1])} and {words[-1]} do not go together, and which of them is off cannot be told: check "
        "the readings and take them all again."
    )


def _build_hardly_met(given: Mapping[str, Measure]) -> list[str]:
    stature, mass = given["stature_mm"].value, given["mass_kg"].value
    bmi = body_mass_index(stature, mass)
    low, high = BMI_HARDLY_MET
    if low <= bmi <= high:
        return []
    return [
        f"mass_kg = {mass:g} and stature_mm = {stature:g} make a body mass index of {bmi:.0f}, which is hardly ever "
        f"met ({low:g} to {high:g} are usual): check both readings and their units."
    ]


def _surprising_tissue(sexes: list[Sex], given: Mapping[str, Measure]) -> list[str]:
    build = given["stature_mm"].value, given["mass_kg"].value
    sex = min(sexes, key=lambda one: abs(tissue_surprise(given[TISSUE], one, *build)))
    off = tissue_surprise(given[TISSUE], sex, *build)
    if abs(off) <= SURPRISING:
        return []
    return [_doubt(TISSUE, given[TISSUE].value, off, float(expected_tissue_mm(sex, *build)))]


def _surprising_sit_bones(sexes: list[Sex], spacing: Measure) -> list[str]:
    sex = min(sexes, key=lambda one: abs(surprise(spacing, one)))
    off = surprise(spacing, sex)
    if abs(off) <= SURPRISING:
        return []
    return [_doubt(SPACING, spacing.value, off, SIT_BONES[sex].mean_mm)]


def _doubt(name: str, value: float, off: float, expected: float) -> str:
    side = "above" if off > 0 else "below"
    return (
        f"{name} = {value:g} lies {abs(off):.1f} standard errors {side} what is expected from the rest "
        f"({expected:.0f} {MEASURES[name].unit}): check the reading and take it again."
    )
