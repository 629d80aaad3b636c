"""People drawn at random: all measures of each, in parts of fixed size, the same for the same seed.

Each part has its own stream of numbers from a counter-based generator (Philox: Salmon et al. 2011, *Parallel random
numbers: as easy as 1, 2, 3*), told by seed and number of the part. So a part is the same whoever draws it, and whatever
was drawn before. Other measures scatter about their regression on stature, ln mass and age as the survey has them
(`seatmesh.body.survey.population`); sit bones, tissue and flatness as `seatmesh.body.survey.draw` has them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from seatmesh.arrays import Floats, Ints
from seatmesh.body.body import Body, Measure, Sex
from seatmesh.body.survey.draw import DRAWN, INSIDE, held, usual_flatness_percent, usual_tissue_mm
from seatmesh.body.survey.population import (
    AGE,
    FRAME,
    MASS,
    REST,
    SEXES,
    STATURE,
    VARIABLES,
    YEARS_OF_SPREAD,
    load_population,
)
from seatmesh.body.survey.sit_bones import SIT_BONES
from seatmesh.errors import ValueRefusedError
from seatmesh.people.builds import DIMENSIONS as BUILD
from seatmesh.people.builds import Builds, builds_at
from seatmesh.people.public import Public

PART_SIZE = 100
"""People of a part."""
MOST_PEOPLE = 1_000_000
DIMENSIONS = BUILD + len(REST) + 3
"""Numbers that make one person: the build, the rest, then sit bones, tissue and flatness."""


@dataclass(frozen=True)
class People:
    """People with all their measures.

    Attributes
    ----------
    first
        Number of the first of them, from 0.
    builds
        Sex, stature, mass, age and weight of each.
    measures
        Shape (n, len(`DRAWN`)), in that order; mm, kg, years.
    """

    first: int
    builds: Builds
    measures: Floats

    def __len__(self) -> int:
        return len(self.measures)

    def column(self, name: str) -> Floats:
        """Return one measure of all, shape (n,)."""
        return self.measures[:, DRAWN.index(name)]

    def some(self, who: Ints) -> People:
        """Return some of them, in the order given; their numbers are those of a list of its own."""
        of = self.builds
        builds = Builds(
            of.women[who], of.stature_mm[who], of.mass_kg[who], of.age_years[who], of.weights[who]
        )
        return People(0, builds, self.measures[who])

    def body(self, i: int) -> Body:
        """Return one of them as a body whose measures are exact."""
        sex: Sex = "female" if self.builds.women[i] else "male"
        values = zip(DRAWN, self.measures[i], strict=True)
        exact = {name: Measure(float(value), 0.0, "given") for name, value in values}
        return Body(f"person {self.first + i + 1}", sex, exact)

    def bodies(self) -> list[Body]:
        """Return all of them as bodies."""
        return [self.body(i) for i in range(len(self))]


def joined(parts: Sequence[People]) -> People:
    """Return the people of parts that follow one another."""
    builds = [one.builds for one in parts]
    arrays = (
        np.concatenate([getattr(one, name) for one in builds])
        for name in ("women", "stature_mm", "mass_kg", "age_years", "weights")
    )
    return People(parts[0].first, Builds(*arrays), np.concatenate([one.measures for one in parts]))


def check_count(count: int, seed: int) -> None:
    """Refuse a number of people, or a seed, that cannot be drawn."""
    if not 1 <= count <= MOST_PEOPLE:
        raise ValueRefusedError(
            "count", count, f"allowed are 1 to {MOST_PEOPLE:,} people", "give a whole number"
        )
    if not 0 <= seed < 2**63:
        raise ValueRefusedError("seed", seed, "allowed are 0 and above", "give a whole number")


def part_sizes(count: int) -> list[int]:
    """Return how many people each part has: `PART_SIZE`, and the last what is left."""
    whole, left = divmod(count, PART_SIZE)
    return [PART_SIZE] * whole + ([left] if left else [])


def draw_part(public: Public, seed: int, part: int, size: int = PART_SIZE) -> People:
    """Return the first `size` people of a part."""
    stream = np.random.SeedSequence(seed, spawn_key=(part,))
    points = np.random.Generator(np.random.Philox(stream)).random((PART_SIZE, DIMENSIONS))[:size]
    return people_at(public, np.clip(points, INSIDE, 1.0 - INSIDE), part * PART_SIZE)


def people_at(public: Public, points: Floats, first: int = 0) -> People:
    """Return the person at each point, shape (n, `DIMENSIONS`), of numbers strictly between 0 and 1."""
    builds = builds_at(public, points[:, :BUILD])
    normal = np.empty((len(points), len(VARIABLES)))
    normal[:, STATURE], normal[:, MASS] = builds.stature_mm, np.log(builds.mass_kg)
    normal[:, AGE] = builds.age_years
    scores = ndtri(points[:, BUILD : BUILD + len(REST)])
    bones = np.empty(len(points))
    bone_scores = ndtri(points[:, BUILD + len(REST)])
    for sex in SEXES:
        who = np.flatnonzero(builds.women if sex == "female" else ~builds.women)
        normal[who[:, None], REST] = _rest(sex, normal[who][:, FRAME], scores[who])
        bones[who] = SIT_BONES[sex].mean_mm + SIT_BONES[sex].sd_mm * bone_scores[who]
    measures = held(np.column_stack([normal, bones]))
    tissue = usual_tissue_mm(builds.women, measures, points[:, -2])
    flatness = usual_flatness_percent(points[:, -1])
    return People(first, builds, np.column_stack([measures, tissue, flatness]))


def _rest(sex: Sex, frames: Floats, scores: Floats) -> Floats:
    """Return the other measures, shape (n, 7), of people of a sex with stature, ln mass and age (n, 3)."""
    population = load_population()[sex]
    among = population.covariance[np.ix_(FRAME, FRAME)]
    slopes = np.linalg.solve(among, population.covariance[np.ix_(FRAME, REST)])
    scatter = population.covariance[np.ix_(REST, REST)] - slopes.T @ among @ slopes
    scale = population.scatter(
        population.heavier(frames[:, 0], frames[:, 1]),
        (frames[:, 2] - population.mean[AGE]) / YEARS_OF_SPREAD,
    )
    off = frames - population.mean[FRAME]
    # Sums of a few columns by einsum: BLAS may add in another order on another machine, or with other threads.
    spread = np.einsum("ij,kj->ik", scores, np.linalg.cholesky(scatter))
    return np.asarray(population.mean[REST] + np.einsum("ij,jk->ik", off, slopes) + scale * spread)
