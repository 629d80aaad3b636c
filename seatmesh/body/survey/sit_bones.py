"""Distance between the sit bones, which no tape can take: what pelvic imaging says of women and men.

Women: three studies pooled by their numbers. Men: less by the difference that one study found, with the
women's spread for want of another, which puts 90 % of men within 89 to 128 mm. Both are independent of
stature and mass here.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from seatmesh.body.body import Measure, Sex
from seatmesh.body.survey.mixture import Mixture

SPACING = "sit_bone_spacing_mm"


@dataclass(frozen=True)
class Spread:
    """Mean and standard deviation over people, mm; `people` is how many were measured."""

    mean_mm: float
    sd_mm: float
    people: int


STUDIES_OF_WOMEN = (
    Spread(118.4, 13.1, 25),  # Hampel 2018
    Spread(120.6, 11.3, 100),  # Keller 2003
    Spread(122.0, 11.8, 710),  # PLoS One 2023;18:e0289814
)
WOMEN_MINUS_MEN_MM = (12.6, 13.7)
"""Least and greatest difference found by Chen 2021, Sci Rep, s41598-021-99232-w."""


def pool(studies: tuple[Spread, ...]) -> Spread:
    """Return the mean and standard deviation of all people of several studies taken together."""
    people = sum(study.people for study in studies)
    mean = sum(study.people * study.mean_mm for study in studies) / people
    squares = sum(
        (study.people - 1) * study.sd_mm**2 + study.people * (study.mean_mm - mean) ** 2 for study in studies
    )
    return Spread(mean, math.sqrt(squares / (people - 1)), people)


WOMEN = pool(STUDIES_OF_WOMEN)
MEN = Spread(WOMEN.mean_mm - sum(WOMEN_MINUS_MEN_MM) / 2, WOMEN.sd_mm, 0)
SIT_BONES: Mapping[Sex, Spread] = {"female": WOMEN, "male": MEN}


def estimate_sit_bones(weights: Mapping[Sex, float]) -> Measure:
    """Return the sit-bone spacing of a person who is of each sex with the given weight; they add up to 1."""
    spreads = [SIT_BONES[sex] for sex in weights]
    return Mixture(
        np.array(list(weights.values())),
        np.array([spread.mean_mm for spread in spreads]),
        np.array([spread.sd_mm for spread in spreads]),
    ).measure()


def surprise(spacing: Measure, sex: Sex) -> float:
    """Return by how many standard errors a given spacing lies above what is expected of the sex."""
    return (spacing.value - SIT_BONES[sex].mean_mm) / math.hypot(SIT_BONES[sex].sd_mm, spacing.standard_error)


def log_likelihood(spacing: Measure, sex: Sex) -> float:
    """Return the logarithm of a given spacing's density among people of the sex."""
    sd = math.hypot(SIT_BONES[sex].sd_mm, spacing.standard_error)
    return -0.5 * surprise(spacing, sex) ** 2 - math.log(sd * math.sqrt(2.0 * math.pi))
