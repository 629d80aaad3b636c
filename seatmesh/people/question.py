"""The question: for how many people, of which public, is a seat good, and by what."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.body.survey.population import SEXES, load_population
from seatmesh.errors import ValueRefusedError
from seatmesh.people.builds import surveyed_people_left
from seatmesh.people.criteria import Asked
from seatmesh.people.drawn import check_count
from seatmesh.people.public import SOLDIERS, Public
from seatmesh.surface import Seat

COUNT, SEED = 5000, 1
USUAL_FRONT_HEIGHT_MM = 430.0
"""Taken where a seat states no height: the middle of D3."""
FEWEST_LEFT = 100.0
"""Fewer of the survey's people under a public's weights are refused: a share would be 5 points off; own judgement."""
FEW_LEFT = 500.0


@dataclass(frozen=True)
class PeopleQuestion:
    """A seat and whom it is asked about.

    Attributes
    ----------
    count, seed
        People to draw, and from which numbers.
    asked
        Criteria with their bounds.
    """

    seat: Seat
    public: Public = SOLDIERS
    asked: Asked = field(default_factory=Asked)
    count: int = COUNT
    seed: int = SEED

    def __post_init__(self) -> None:
        check_count(self.count, self.seed)
        left = surveyed_people_left(self.public)
        if left < FEWEST_LEFT:
            raise ValueRefusedError(
                "public", self.public.in_words,
                f"under its weights {left:.0f} of the survey's 4,850 people are left in effect, and "
                f"{FEWEST_LEFT:g} are the fewest that say anything",
                "state means and spreads nearer to the survey's, or judge by trying",
            )  # fmt: skip

    @property
    def at_a_height(self) -> Seat:
        """The seat with a height: where it states none everybody would have a chair of one's own height."""
        chair = self.seat.chair
        if chair.front_height_mm is not None:
            return self.seat
        return replace(self.seat, chair=replace(chair, front_height_mm=USUAL_FRONT_HEIGHT_MM))


def survey_ranges() -> Floats:
    """Return the survey's least and greatest stature, mm, and mass, kg: shape (2 sexes, 2 measures, 2)."""
    population = load_population()
    return np.array([[population[sex].ranges[name] for name in ("stature_mm", "mass_kg")] for sex in SEXES])


def beyond_words(share: float, limits: Mapping[str, Any]) -> str:
    """Return how many of a public the survey does not know, in words."""
    men, women = limits["male"]["mass_kg"][1], limits["female"]["mass_kg"][1]
    return (
        f"{100.0 * share:.1f} % of this public are shorter, taller, lighter or heavier than anybody of their sex in "
        f"the survey (heaviest: men {men:g} kg, women {women:g} kg); what is said of them is carried on from others"
    )


def survey_limits() -> dict[str, dict[str, list[float]]]:
    """Return the survey's range of stature and mass by sex, as plain values."""
    population = load_population()
    return {
        sex: {name: list(population[sex].ranges[name]) for name in ("stature_mm", "mass_kg")} for sex in SEXES
    }
