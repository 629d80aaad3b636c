"""The survey behind every estimate: one multivariate normal distribution of body measures per sex.

Body mass enters by its logarithm, which is close to normal where mass itself leans to the heavy side; the
other measures are taken as they are, since their logarithms cover left-out people no better (see `derive`).
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

SEXES: tuple[Sex, ...] = ("female", "male")
VARIABLES: tuple[str, ...] = tuple(kind.name for kind in SURVEYED)
"""Order of the means and covariances; the entry of `mass_kg` is its natural logarithm."""


@dataclass(frozen=True)
class Population:
    """The people of one sex.

    Attributes
    ----------
    fitted, left_out
        How many people the figures come from, and how many they were tried on.
    mean, covariance
        Shapes (9,) and (9, 9) in the order of `VARIABLES`; mm, and ln kg for the mass.
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
    ranges: Mapping[str, tuple[float, float]]
    coverage_90_percent: Mapping[str, float]

    def quantile(self, measure: str, probability: float) -> float:
        """Return a quantile of one measure among all people of the sex, mm or kg."""
        i = VARIABLES.index(measure)
        value = self.mean[i] + float(ndtri(probability)) * math.sqrt(self.covariance[i, i])
        return from_normal(measure, float(value))


def to_normal(measure: str, value: float) -> float:
    """Return a measure as the normal distribution holds it: ln for the mass, itself for lengths."""
    return math.log(value) if measure == "mass_kg" else value


def from_normal(measure: str, value: float) -> float:
    """Undo `to_normal`."""
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
        ranges={name: (low, high) for name, (low, high) in row["range"].items()},
        coverage_90_percent=row.get("coverage_90_percent", {}),
    )
