"""What tests of bodies share."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from seatmesh.body.body import Sex
from seatmesh.body.survey.population import VARIABLES, load_population

FRAME = ("stature_mm", "mass_kg", "age_years")
CovarianceOfBuild = Callable[[Sex, float, float], np.ndarray]


@pytest.fixture(scope="session")
def covariance_of_build() -> CovarianceOfBuild:
    """Return the survey's covariance for people of a sex, stature and mass, made from its precision.

    The block of a precision that belongs to some variables is the inverse of their covariance given the others, and the
    slopes follow from the block beside it. The scatter is stretched by (BMI / middle)^g, measure by measure.
    """

    def of(sex: Sex, stature_mm: float, mass_kg: float) -> np.ndarray:
        population = load_population()[sex]
        rest = [i for i, name in enumerate(VARIABLES) if name not in FRAME]
        frame = [i for i, name in enumerate(VARIABLES) if name in FRAME]
        precision = np.linalg.inv(population.covariance)
        ln_bmi = math.log(mass_kg / (stature_mm / 1000.0) ** 2)
        stretch = np.exp(
            (max(ln_bmi, population.least_ln_bmi) - population.middle_ln_bmi) * population.bmi_power
        )
        own = precision[np.ix_(rest, rest)] / np.outer(stretch, stretch)
        slopes = -np.linalg.solve(precision[np.ix_(rest, rest)], precision[np.ix_(rest, frame)])
        beside = -own @ slopes
        within = np.linalg.inv(population.covariance[np.ix_(frame, frame)]) + slopes.T @ own @ slopes
        joint = np.empty_like(precision)
        joint[np.ix_(rest, rest)], joint[np.ix_(frame, frame)] = own, within
        joint[np.ix_(rest, frame)], joint[np.ix_(frame, rest)] = beside, beside.T
        return np.linalg.inv(joint)

    return of
