"""Builds of a public: sex, age, stature and mass, drawn and weighed against the survey's.

Half of the builds are drawn as the survey has them and half as the public has them (a defensive mixture: Owen and Zhou
2000, J Am Stat Assoc 95:135), with the weight t / (s/2 + t/2), t and s being the densities of public and survey. No
weight exceeds 2, so no single person carries the answer. Where the public is the survey's all weights are 1.

The public keeps the survey's correlations between stature, ln mass and age; means and spreads are its own, and mass is
log-normal. Ages are the survey's normal ones between 18 and 58 years; bands are parts of it with shares of their own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtr, ndtri

from seatmesh.arrays import Bools, Floats
from seatmesh.body.body import Sex
from seatmesh.body.survey.population import (
    AGE,
    MASS,
    SEXES,
    STATURE,
    VARIABLES,
    Population,
    load_population,
)
from seatmesh.people.public import AGES, AgeBand, Public

DIMENSIONS = 5
"""Numbers between 0 and 1 that make one build: sex, survey's or public's, age, stature, mass."""
PROBES, PROBE_SEED = 4096, 2012
"""Builds of the survey over which it is reckoned how many of its people are left under a public's weights."""


@dataclass(frozen=True)
class Builds:
    """Builds of n people; arrays of shape (n,).

    Attributes
    ----------
    women
        Whether each is a woman.
    stature_mm, mass_kg, age_years
        The build.
    weights
        How many of the public each stands for, about 1.
    """

    women: Bools
    stature_mm: Floats
    mass_kg: Floats
    age_years: Floats
    weights: Floats


@dataclass(frozen=True)
class _Joint:
    """Stature and ln mass of one sex: normal, with a mean that goes linearly with age."""

    mean: Floats
    slope: Floats
    root: Floats

    def at(self, age_off: Floats, scores: Floats) -> Floats:
        """Return stature, mm, and ln mass, shape (n, 2), for ages off the mean and normal scores (n, 2)."""
        return np.asarray(self.mean + age_off[:, None] * self.slope + scores @ self.root.T)

    def log_density(self, values: Floats, age_off: Floats) -> Floats:
        """Return the logarithm of the density at stature and ln mass, shape (n, 2)."""
        off = values - self.mean - age_off[:, None] * self.slope
        first = off[:, 0] / self.root[0, 0]
        second = (off[:, 1] - self.root[1, 0] * first) / self.root[1, 1]
        return np.asarray(-0.5 * (first**2 + second**2) - math.log(self.root[0, 0] * self.root[1, 1]))


def _joint(population: Population, means: Floats, scale: Floats) -> _Joint:
    """Return the joint distribution with its own means, its spreads scaled, its correlations the survey's."""
    build = [STATURE, MASS]
    spread = population.covariance[np.ix_(build, build)] * np.outer(scale, scale)
    with_age = population.covariance[build, AGE] * scale
    variance = population.covariance[AGE, AGE]
    slope = with_age / variance
    left = spread - np.outer(slope, with_age)
    first = math.sqrt(left[0, 0])
    second = math.sqrt(left[1, 1] - left[1, 0] ** 2 / left[0, 0])
    return _Joint(means, slope, np.array([[first, 0.0], [left[1, 0] / first, second]]))


@dataclass(frozen=True)
class _OfSex:
    """All that builds of one sex are drawn from."""

    survey: _Joint
    public: _Joint
    mean_age: float
    age_sd: float
    edges: Floats
    """Lower and upper score of age of each band, shape (bands, 2)."""
    shares: Floats
    """Of the bands, shape (bands,); they add up to 1."""
    natural: Floats
    """Share that the survey's ages have in each band."""


def stated_spread(public: Public, sex: Sex, measure: str) -> tuple[float, float]:
    """Return mean and standard deviation of stature, mm, or of ln mass in a public: as stated, else the survey's."""
    population = load_population()[sex]
    if measure == "stature_mm" and sex in public.stature_mm:
        one = public.stature_mm[sex]
        return one.mean, one.sd
    if measure == "mass_kg" and sex in public.mass_kg:
        one = public.mass_kg[sex]
        sd = math.sqrt(math.log1p((one.sd / one.mean) ** 2))
        return math.log(one.mean) - 0.5 * sd**2, sd
    i = VARIABLES.index(measure)
    return float(population.mean[i]), math.sqrt(population.covariance[i, i])


def _of_sex(population: Population, public: Public, sex: Sex) -> _OfSex:
    means = population.mean[[STATURE, MASS]]
    sds = np.sqrt(np.diag(population.covariance)[[STATURE, MASS]])
    wished_mean, wished_sd = np.array(
        [stated_spread(public, sex, name) for name in ("stature_mm", "mass_kg")]
    ).T
    mean_age, age_sd = float(population.mean[AGE]), math.sqrt(population.covariance[AGE, AGE])
    stated = np.array([sex in public.stature_mm, sex in public.mass_kg])
    bands = public.ages or (AgeBand(*AGES, 1.0),)
    edges = np.array([[(end - mean_age) / age_sd for end in (one.youngest, one.oldest)] for one in bands])
    whole = [ndtr((end - mean_age) / age_sd) for end in AGES]
    shares = np.array([one.share for one in bands])
    shares = shares / shares.sum()
    # Means as stated are those of all ages together, not those at the survey's mean age.
    of_public = _joint(population, wished_mean, wished_sd / sds)
    older = age_sd * float(shares @ _middle_score(edges))
    return _OfSex(
        survey=_joint(population, means, np.ones(2)),
        public=replace(of_public, mean=wished_mean - stated * of_public.slope * older),
        mean_age=mean_age,
        age_sd=age_sd,
        edges=edges,
        shares=shares,
        natural=(ndtr(edges[:, 1]) - ndtr(edges[:, 0])) / (whole[1] - whole[0]),
    )


def _middle_score(edges: Floats) -> Floats:
    """Return the mean of a standard normal score between edges, shape (bands, 2)."""
    density = np.exp(-0.5 * edges**2) / math.sqrt(2.0 * math.pi)
    return np.asarray((density[:, 0] - density[:, 1]) / (ndtr(edges[:, 1]) - ndtr(edges[:, 0])))


def builds_at(public: Public, points: Floats) -> Builds:
    """Return the build at each point, shape (n, `DIMENSIONS`), of numbers strictly between 0 and 1."""
    women = points[:, 0] < public.women_share
    n = len(points)
    age, build, weights = np.empty(n), np.empty((n, 2)), np.ones(n)
    population = load_population()
    for sex in SEXES:
        source = _of_sex(population[sex], public, sex)
        who = np.flatnonzero(women if sex == "female" else ~women)
        ours = points[who]
        of_public = ours[:, 1] >= 0.5 if not public.is_surveyed else np.zeros(len(who), dtype=bool)
        off = np.where(of_public, _banded_age(source, ours[:, 2]), _any_age(source, ours[:, 2]))
        scores = ndtri(ours[:, 3:5])
        age_off = off * source.age_sd
        values = np.where(
            of_public[:, None], source.public.at(age_off, scores), source.survey.at(age_off, scores)
        )
        age[who], build[who] = source.mean_age + age_off, values
        if not public.is_surveyed:
            ratio = _ratio(source, values, off)
            weights[who] = 2.0 * ratio / (1.0 + ratio)
    return Builds(women, build[:, 0], np.exp(build[:, 1]), age, weights)


def _any_age(source: _OfSex, points: Floats) -> Floats:
    low, high = (ndtr((end - source.mean_age) / source.age_sd) for end in AGES)
    return np.asarray(ndtri(low + points * (high - low)))


def _banded_age(source: _OfSex, points: Floats) -> Floats:
    ends = np.cumsum(source.shares)
    band = np.minimum(np.searchsorted(ends, points, side="right"), len(ends) - 1)
    within = np.clip((points - (ends[band] - source.shares[band])) / source.shares[band], 0.0, 1.0)
    low, high = ndtr(source.edges[band, 0]), ndtr(source.edges[band, 1])
    return np.asarray(ndtri(low + within * (high - low)))


def _ratio(source: _OfSex, values: Floats, age_score: Floats) -> Floats:
    """Return the density of the public over that of the survey at builds."""
    age_off = age_score * source.age_sd
    logs = source.public.log_density(values, age_off) - source.survey.log_density(values, age_off)
    inside = (age_score[:, None] >= source.edges[:, 0] - 1e-12) & (
        age_score[:, None] < source.edges[:, 1] + 1e-12
    )
    of_band = (inside * (source.shares / source.natural)).max(axis=1)
    return np.asarray(of_band * np.exp(np.minimum(logs, 700.0)))


def surveyed_people_left(public: Public) -> float:
    """Return how many of the survey's people are left, in effect, under a public's weights.

    Kish's effective size, (sum w)^2 / sum w^2 (Kish 1965, *Survey Sampling*), sex by sex over builds as the survey has
    them, joined by the shares of the sexes.
    """
    population = load_population()
    generator = np.random.Generator(np.random.Philox(PROBE_SEED))
    points = np.clip(generator.random((PROBES, DIMENSIONS)), 2.0**-31, 1.0 - 2.0**-31)
    spread = 0.0
    for sex, share in public.shares.items():
        if share == 0.0:
            continue
        source = _of_sex(population[sex], public, sex)
        people = population[sex].fitted + population[sex].left_out
        off = _any_age(source, points[:, 2])
        ratio = _ratio(source, source.survey.at(off * source.age_sd, ndtri(points[:, 3:5])), off)
        left = people * float(ratio.sum()) ** 2 / (PROBES * float((ratio**2).sum()))
        spread += share**2 / left
    return 1.0 / spread
