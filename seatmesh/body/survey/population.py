"""The survey behind every estimate: one multivariate normal distribution of body measures per sex.

Body mass enters by its logarithm, which is close to normal where mass itself leans to the heavy side; the
other measures are taken as they are, since their logarithms cover left-out people no better (see `derive`).

Stature, mass and age are the frame; the rest scatters about its regression on them, the more the heavier people are
for their stature, and a little more with age. With S the covariance of the frame, B the slopes and R the covariance of
that scatter at the middle of all people, the covariance for a person is

    [ S,   S B^T             ]
    [ B S, B S B^T + D R D   ],   D = diag(exp(g ln(BMI / middle) + a (age - middle) / 10 years)).
"""

from __future__ import annotations

import functools
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any

import numpy as np
from scipy.special import ndtri

from seatmesh.arrays import Floats
from seatmesh.body.body import Sex
from seatmesh.body.measures import SURVEYED
from seatmesh.body.survey.conditioning import MeasureReadings

SEXES: tuple[Sex, ...] = ("female", "male")
VARIABLES: tuple[str, ...] = tuple(kind.name for kind in SURVEYED)
"""Order of the means and covariances; the entry of `mass_kg` is its natural logarithm."""
STATURE, MASS, AGE = (VARIABLES.index(name) for name in ("stature_mm", "mass_kg", "age_years"))
FRAME = [STATURE, MASS, AGE]
"""Stature and mass, the build, come first."""
REST = [i for i in range(len(VARIABLES)) if i not in FRAME]
SURVEYED_AGES = (17.0, 58.0)
"""Youngest and oldest of the survey; nothing is carried on beyond them."""
YEARS_OF_SPREAD = 10.0
ANY_BUILD = 1000.0
"""Variance of stature and mass, over the survey's, that counts as any."""


@dataclass(frozen=True)
class Population:
    """The people of one sex.

    Attributes
    ----------
    fitted, left_out
        How many people the figures come from, and how many they were tried on.
    mean, covariance
        Shapes (10,) and (10, 10) in the order of `VARIABLES`; mm, years, and ln kg for the mass.
    bmi_power, age_rise
        g and a of the module's text for each of `REST`.
    middle_ln_bmi, least_ln_bmi
        Mean of ln BMI, and the value below which the scatter narrows no further.
    ranges
        Least and greatest value of each measure in the survey, mm or kg.
    coverage_90_percent
        Percentage of the people left out whose measure lay in the 90 % interval estimated from stature and
        mass.
    """

    fitted: int
    left_out: int
    mean: Floats
    covariance: Floats
    bmi_power: Floats
    age_rise: Floats
    middle_ln_bmi: float
    least_ln_bmi: float
    ranges: Mapping[str, tuple[float, float]]
    coverage_90_percent: Mapping[str, float]

    def covariance_for(self, readings: MeasureReadings) -> Floats:
        """Return the covariance, shape (10, 10), of people of the build and age that readings tell.

        Readings without stature or mass, or without an age, count as the middle.
        """
        return self._covariance(self.covariance[np.ix_(FRAME, FRAME)], readings)

    def covariance_of_any_build(self, readings: MeasureReadings) -> Floats:
        """Return that covariance as if every stature and mass were as likely as any other.

        An age follows stature and mass as in the survey where it was not read, and says nothing of them where it was.
        """
        frame = self.covariance[np.ix_(FRAME, FRAME)]
        build = frame[:, :2]
        broad = frame + ANY_BUILD * build @ np.linalg.solve(frame[:2, :2], build.T)
        if AGE in readings.which:
            broad[2, :2] = broad[:2, 2] = 0.0
            broad[2, 2] = frame[2, 2]
        return self._covariance(broad, readings)

    def _covariance(self, spread: Floats, readings: MeasureReadings) -> Floats:
        """Return the covariance of all, with another one of the frame."""
        frame = self.covariance[np.ix_(FRAME, FRAME)]
        slopes = np.linalg.solve(frame, self.covariance[np.ix_(FRAME, REST)]).T
        scatter = self.covariance[np.ix_(REST, REST)] - slopes @ frame @ slopes.T
        scale = self._scale(dict(zip(readings.which.tolist(), readings.values.tolist(), strict=True)))
        out = np.empty_like(self.covariance)
        out[np.ix_(FRAME, FRAME)] = spread
        out[np.ix_(REST, FRAME)] = slopes @ spread
        out[np.ix_(FRAME, REST)] = (slopes @ spread).T
        out[np.ix_(REST, REST)] = slopes @ spread @ slopes.T + scale[:, None] * scatter * scale
        return out

    def _scale(self, read: Mapping[int, float]) -> Floats:
        """Return the diagonal of D for what was read, by its place in `VARIABLES`."""
        heavier, older = np.zeros(1), np.zeros(1)
        if STATURE in read and MASS in read:
            heavier = self.heavier(np.array([read[STATURE]]), np.array([read[MASS]]))
        if AGE in read:
            older = (np.array([read[AGE]]) - self.mean[AGE]) / YEARS_OF_SPREAD
        return np.asarray(self.scatter(heavier, older)[0])

    def heavier(self, stature_mm: Floats, ln_mass: Floats) -> Floats:
        """Return by how much ln BMI of people lies above the middle, no less than where the scatter ends narrowing."""
        ln_bmi = ln_mass - 2.0 * np.log(stature_mm / 1000.0)
        return np.asarray(np.maximum(ln_bmi, self.least_ln_bmi) - self.middle_ln_bmi)

    def scatter(self, heavier: Floats, older: Floats) -> Floats:
        """Return the diagonal of D, shape (n, 7), of people so much heavier, in ln BMI, and so many decades older."""
        return np.exp(heavier[:, None] * self.bmi_power + older[:, None] * self.age_rise)

    def quantile(self, measure: str, probability: float) -> float:
        """Return a quantile of one measure among all people of the sex, mm or kg."""
        i = VARIABLES.index(measure)
        value = self.mean[i] + float(ndtri(probability)) * math.sqrt(self.covariance[i, i])
        return from_normal(measure, float(value))


def to_normal(measure: str, value: float) -> float:
    """Return a measure as the normal distribution holds it: ln for the mass, ages within the survey's, else itself."""
    if measure == "age_years":
        return min(max(value, SURVEYED_AGES[0]), SURVEYED_AGES[1])
    return math.log(value) if measure == "mass_kg" else value


def from_normal(measure: str, value: float) -> float:
    """Undo `to_normal`, but for ages beyond the survey's."""
    return math.exp(value) if measure == "mass_kg" else value


def error_to_normal(measure: str, value: float, standard_error: float) -> float:
    """Return a standard error on the scale of `to_normal`, to first order: error over mass for the mass."""
    return standard_error / value if measure == "mass_kg" else standard_error


@functools.cache
def load_population() -> Mapping[Sex, Population]:
    """Return the committed survey figures of both sexes."""
    text = resources.files("seatmesh.body.survey").joinpath("population.json").read_text(encoding="utf-8")
    return population_from_table(json.loads(text))


def population_from_table(table: Mapping[str, Any]) -> Mapping[Sex, Population]:
    """Return both sexes' figures from the table that `derive` writes as `population.json`."""
    return {sex: _one_sex(table["sexes"][sex]) for sex in SEXES}


def _one_sex(row: Mapping[str, Any]) -> Population:
    mean = np.array([row["mean"][name] for name in VARIABLES])
    lower = np.zeros((len(VARIABLES), len(VARIABLES)))
    for i, entries in enumerate(row["covariance_lower_triangle"]):
        lower[i, : i + 1] = entries
    return Population(
        fitted=row["fitted"],
        left_out=row["left_out"],
        mean=mean,
        covariance=lower + np.tril(lower, -1).T,
        bmi_power=np.array([row["scatter_by_ln_bmi"][VARIABLES[i]] for i in REST]),
        age_rise=np.array([row["scatter_by_ten_years"][VARIABLES[i]] for i in REST]),
        middle_ln_bmi=row["middle_ln_bmi"],
        least_ln_bmi=row["least_ln_bmi"],
        ranges={name: (low, high) for name, (low, high) in row["range"].items()},
        coverage_90_percent=row.get("coverage_90_percent", {}),
    )
