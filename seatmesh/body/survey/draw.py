"""Possible true bodies behind a body: what was read within its error, the rest as the survey ties it together.

A body says of each measure how surely it is known, one by one; drawn bodies keep the measures together, so that broad
hips come with thick thighs. Each is a draw from

- the survey's normal distribution for the sitter's sex, conditioned on all readings, each with its own error (so a
  reading is drawn a little toward what the others expect); without a sex, the mixture of both by their weights;
- the sit bones' own distribution, narrowed by an imprint where there is one;
- tissue under the sit bones about what the drawn sex, stature and mass expect, and flatness about the usual one.

Both are drawn inside their plausible bands, in proportion to their density there. The other measures are held to the
ranges of the table, which they leave only where a reading stands at the very end of one.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import resources

import numpy as np
from scipy.special import ndtr, ndtri

from seatmesh.arrays import Bools, Floats
from seatmesh.body.body import Body, Measure, Sex
from seatmesh.body.measures import MEASURES
from seatmesh.body.survey.conditioning import MeasureReadings, condition
from seatmesh.body.survey.estimate import readings_of, sex_weights
from seatmesh.body.survey.population import (
    AGE,
    MASS,
    SEXES,
    STATURE,
    SURVEYED_AGES,
    VARIABLES,
    load_population,
)
from seatmesh.body.survey.sit_bone_tissue import TISSUE, TISSUE_BAND_MM, expected_tissue_mm, tissue_error_mm
from seatmesh.body.survey.sit_bones import SIT_BONES, SPACING
from seatmesh.body.survey.underside import (
    FLATNESS,
    FLATNESS_ERROR_PERCENT,
    USUAL_PERCENT,
)
from seatmesh.errors import ValueRefusedError

DRAWN: tuple[str, ...] = (*VARIABLES, SPACING, TISSUE, FLATNESS)
"""Order of the drawn measures."""
DIMENSIONS = 1 + len(DRAWN)
"""Numbers between 0 and 1 that make one body: its sex, then one for each drawn measure."""
MOST_DRAWS = 2**16
INSIDE = 2.0**-31
"""How far points stay from 0 and 1, where a normal distribution has no quantile."""


@dataclass(frozen=True)
class MeasuresOfSex:
    """What is known of a body's measures if it is of one sex: a normal distribution, and how likely that sex is.

    Attributes
    ----------
    weight
        Probability of the sex.
    mean, covariance
        Of `DRAWN` up to the sit bones, shapes (11,) and (11, 11): mm, years, and ln kg for the mass.
    """

    sex: Sex
    weight: float
    mean: Floats
    covariance: Floats


def draw_bodies(body: Body, n: int, seed: int) -> tuple[Body, ...]:
    """Return `n` possible true bodies behind a body, with its name and habit; the same for the same seed.

    Their measures are exact ("given", standard error 0) and hold the tissue under the sit bones as well. They come
    of evenly spread points, so their means and spreads are nearer to the distribution's than those of random draws.

    Raises
    ------
    ValueRefusedError
        For a number of draws that is not from 1 to `MOST_DRAWS`, or a seed that is not 0 or above.
    """
    return bodies_at(body, spread_points(n, DIMENSIONS, seed))


def spread_points(n: int, dimensions: int, seed: int) -> Floats:
    """Return evenly spread points, shape (n, dimensions), strictly between 0 and 1: scrambled Sobol points."""
    if not 1 <= n <= MOST_DRAWS:
        raise ValueRefusedError("number of draws", n, f"allowed are 1 to {MOST_DRAWS}", "give a whole number")
    if seed < 0:
        raise ValueRefusedError("seed", seed, "allowed are 0 and above", "give a whole number")
    power = max(n - 1, 1).bit_length()
    kept_seed, kept = _usual_points()
    if (2**power, dimensions, seed) == (*kept.shape, kept_seed):
        points = kept
    else:
        # Loaded when used: it takes a third of the time in which a command starts.
        from scipy.stats import qmc

        points = qmc.Sobol(dimensions, rng=seed).random_base2(power)
    return np.clip(points[:n], INSIDE, 1.0 - INSIDE)


@lru_cache(maxsize=1)
def _usual_points() -> tuple[int, Floats]:
    """Return the seed and the points, shape (n, dimensions), that stand ready: those of the usual uncertainty."""
    text = resources.files("seatmesh.body.survey").joinpath("usual_points.json").read_text(encoding="utf-8")
    kept = json.loads(text)
    return kept["seed"], np.array(kept["points"])


def evened_points(n: int, dimensions: int, seed: int) -> Floats:
    """Return spread points, shape (n, dimensions), whose normal scores have mean 0 and covariance 1 to the last digit.

    What a drawn figure owes to one of its inputs is then not blurred by a chance likeness between inputs.

    Raises
    ------
    ValueRefusedError
        As `draw_bodies`, and for fewer than two points for each dimension.
    """
    if n < 2 * dimensions:
        raise ValueRefusedError(
            "number of draws", n, f"allowed are {2 * dimensions} to {MOST_DRAWS}", "give a whole number"
        )
    scores = ndtri(spread_points(n, dimensions, seed))
    off = scores - scores.mean(axis=0)
    # The symmetric root moves the points least.
    values, vectors = np.linalg.eigh(off.T @ off / (n - 1))
    even = ndtr(off @ (vectors / np.sqrt(values)) @ vectors.T)
    return np.asarray(np.clip(even, INSIDE, 1.0 - INSIDE))


def bodies_at(body: Body, points: Floats) -> tuple[Body, ...]:
    """Return the possible true body at each point, shape (n, `DIMENSIONS`), of numbers between 0 and 1."""
    sexes, values = measures_at(body, points)
    return tuple(_exact(body, sex, row) for sex, row in zip(sexes, values, strict=True))


def measures_at(body: Body, points: Floats) -> tuple[tuple[Sex, ...], Floats]:
    """Return sex and measures, shape (n, len(`DRAWN`)), of the possible true body at each point; mm and kg."""
    joints = joints_of(body)
    which = np.searchsorted(np.cumsum([joint.weight for joint in joints])[:-1], points[:, 0])
    scores = ndtri(points[:, 1 : 2 + len(VARIABLES)])
    normal = np.empty_like(scores)
    for i, joint in enumerate(joints):
        normal[which == i] = joint.mean + scores[which == i] @ _root(joint.covariance).T
    measures = held(normal)
    sexes = tuple(joints[i].sex for i in which)
    tissue = _tissue(body, sexes, measures, points[:, 1 + DRAWN.index(TISSUE)])
    flatness = _flatness(body, points[:, 1 + DRAWN.index(FLATNESS)])
    return sexes, np.column_stack([measures, tissue, flatness])


def taken_of(body: Body) -> dict[str, Measure]:
    """Return those measures of the table that were taken of a body, not estimated."""
    return {
        name: one for name, one in body.measures.items() if name in MEASURES and one.origin != "estimated"
    }


def joints_of(body: Body) -> tuple[MeasuresOfSex, ...]:
    """Return the joint distributions of a body's measures: one where its sex is stated, else one for each sex.

    With S the covariance of what was read plus its squared errors and C that of all measures with it, the covariance
    is that of the population less C S^-1 C^T (Rasmussen and Williams 2006, *Gaussian Processes*, eq. 2.19).
    """
    known = taken_of(body)
    readings, spacing = readings_of(known), known.get(SPACING)
    population = load_population()
    candidates: tuple[Sex, ...] = SEXES if body.sex is None else (body.sex,)
    covariances = {sex: population[sex].covariance_for(readings) for sex in candidates}
    seen = {sex: condition(population[sex].mean, covariances[sex], readings) for sex in candidates}
    weights = sex_weights(seen, spacing)
    joints = []
    for sex, one in seen.items():
        bones, variance = _sit_bones(sex, spacing)
        covariance = np.zeros((len(VARIABLES) + 1,) * 2)
        covariance[:-1, :-1] = _conditional(covariances[sex], readings)
        covariance[-1, -1] = variance
        joints.append(MeasuresOfSex(sex, weights[sex], np.append(one.mean, bones), covariance))
    return tuple(joints)


def _conditional(covariance: Floats, readings: MeasureReadings) -> Floats:
    read = readings.which
    with_read = covariance[:, read]
    spread = covariance[np.ix_(read, read)] + np.diag(readings.errors**2)
    return np.asarray(covariance - with_read @ np.linalg.solve(spread, with_read.T))


def _sit_bones(sex: Sex, imprint: Measure | None) -> tuple[float, float]:
    """Return mean and variance of the sit-bone spacing of a person of the sex, given an imprint or none."""
    mean, variance = SIT_BONES[sex].mean_mm, SIT_BONES[sex].sd_mm ** 2
    if imprint is None:
        return mean, variance
    gain = variance / (variance + imprint.standard_error**2)
    return mean + gain * (imprint.value - mean), variance * (1.0 - gain)


def _root(covariance: Floats) -> Floats:
    """Return R with R R^T = covariance, also where exact readings leave some of it without spread."""
    scale = np.sqrt(np.maximum(np.diag(covariance), 1e-12))
    values, vectors = np.linalg.eigh(covariance / np.outer(scale, scale))
    return np.asarray(scale[:, None] * vectors * np.sqrt(np.maximum(values, 0.0)))


def held(normal: Floats) -> Floats:
    """Return mm, kg and years, within the ranges of the table, from values as the normal distributions hold them."""
    out = normal.copy()
    out[:, MASS] = np.exp(normal[:, MASS])
    ends = np.array([range_of(name) for name in (*VARIABLES, SPACING)]).T
    ends[:, AGE] = SURVEYED_AGES
    return np.asarray(np.clip(out, *ends))


def _tissue(body: Body, sexes: tuple[Sex, ...], measures: Floats, points: Floats) -> Floats:
    """Return the tissue under the sit bones: as it was given, or about what each drawn person is expected to have."""
    known = _given(body, TISSUE)
    if known is not None:
        return np.clip(known.value + known.standard_error * ndtri(points), *range_of(TISSUE))
    return usual_tissue_mm(np.array([sex == "female" for sex in sexes]), measures, points)


def usual_tissue_mm(women: Bools, measures: Floats, points: Floats) -> Floats:
    """Return the tissue under the sit bones of people of whom nobody stated it, drawn about what is expected."""
    stature, mass = measures[:, STATURE], measures[:, MASS]
    expected, error = (
        np.where(women, of("female", stature, mass), of("male", stature, mass))
        for of in (expected_tissue_mm, tissue_error_mm)
    )
    return inside(TISSUE_BAND_MM, expected, error, points)


def _flatness(body: Body, points: Floats) -> Floats:
    """Return how flat the underside is: as it was given, or about the usual."""
    known = _given(body, FLATNESS)
    if known is not None:
        return np.clip(known.value + known.standard_error * ndtri(points), *range_of(FLATNESS))
    return usual_flatness_percent(points)


def usual_flatness_percent(points: Floats) -> Floats:
    """Return how flat the underside is of people of whom nobody stated it."""
    usual, error = (np.full_like(points, number) for number in (USUAL_PERCENT, FLATNESS_ERROR_PERCENT))
    return inside(range_of(FLATNESS), usual, error, points)


def _given(body: Body, name: str) -> Measure | None:
    one = body.measures.get(name)
    return None if one is None or one.origin == "estimated" else one


def range_of(name: str) -> tuple[float, float]:
    """Return the least and the greatest plausible value of a measure of the table."""
    return MEASURES[name].lowest, MEASURES[name].highest


def inside(band: tuple[float, float], expected: Floats, error: Floats, points: Floats) -> Floats:
    """Return draws of normal distributions cut off at the ends of a band."""
    low, high = (ndtr((end - expected) / error) for end in band)
    return np.clip(expected + error * ndtri(low + points * (high - low)), *band)


def _exact(body: Body, sex: Sex, values: Floats) -> Body:
    measures: Mapping[str, Measure] = {
        name: Measure(float(value), 0.0, "given") for name, value in zip(DRAWN, values, strict=True)
    }
    return replace(body, sex=sex, measures=measures)
