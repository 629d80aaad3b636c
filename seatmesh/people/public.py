"""The people a seat is for: shares of the sexes, bands of age, stature and mass where they differ from the survey's.

Means and spreads of a cited table are rows A4 (read in the source) and A5 (from memory) of the guide's sources.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from types import MappingProxyType
from typing import Any

from seatmesh.body.body import Sex
from seatmesh.body.measures import MEASURES
from seatmesh.body.survey.population import SURVEYED_AGES
from seatmesh.errors import NotAmongError, ValueRefusedError

ADULT_FROM = 18.0
AGES = (ADULT_FROM, SURVEYED_AGES[1])
"""Ages that can be drawn: adults, as old as the survey's oldest."""
MOST_SD_SHARE = 0.4
"""Greatest spread over its mean that is taken: beyond it a table was misread; own judgement."""


@dataclass(frozen=True)
class MeanAndSpread:
    """Mean and standard deviation over people, in the unit of the measure."""

    mean: float
    sd: float


@dataclass(frozen=True)
class AgeBand:
    """A share of all people who are at least `youngest` and below `oldest` years; shares are taken in proportion."""

    youngest: float
    oldest: float
    share: float


@dataclass(frozen=True)
class Public:
    """Whom a seat is for.

    Attributes
    ----------
    women_share
        Share of women, 0 to 1.
    stature_mm, mass_kg
        Mean and spread by sex; a sex that is not named has the survey's.
    ages
        Bands of age, adults up to the survey's oldest; none takes the survey's ages.
    words
        What the reader is told it is.

    Raises
    ------
    ValueRefusedError
        A share, a mean, a spread or a band is out of range.

    Examples
    --------
    >>> from seatmesh.people.public import MeanAndSpread, Public
    >>> Public(0.6, mass_kg={"female": MeanAndSpread(70.0, 14.0)}).is_surveyed
    False
    """

    women_share: float = 0.5
    stature_mm: Mapping[Sex, MeanAndSpread] = field(default_factory=dict)
    mass_kg: Mapping[Sex, MeanAndSpread] = field(default_factory=dict)
    ages: tuple[AgeBand, ...] = ()
    words: str = ""

    def __post_init__(self) -> None:
        if not 0.0 <= self.women_share <= 1.0:
            raise ValueRefusedError(
                "women_share", self.women_share, "allowed are 0 to 1", "0.5 is half of them"
            )
        for name in ("stature_mm", "mass_kg"):
            given: Mapping[Sex, MeanAndSpread] = getattr(self, name)
            for sex, one in given.items():
                _check_spread(f"{name} of {sex}", name, one)
            object.__setattr__(self, name, MappingProxyType(dict(given)))
        _check_ages(self.ages)

    def __reduce__(self) -> tuple[Any, ...]:
        return Public, (self.women_share, dict(self.stature_mm), dict(self.mass_kg), self.ages, self.words)

    @property
    def is_surveyed(self) -> bool:
        """Whether stature, mass and ages are the survey's, whatever the share of women."""
        return not (self.stature_mm or self.mass_kg or self.ages)

    @property
    def shares(self) -> dict[Sex, float]:
        """Share of each sex."""
        return {"female": self.women_share, "male": 1.0 - self.women_share}

    def facts(self) -> dict[str, Any]:
        """Return all that is stated, as plain values."""
        return {
            "words": self.in_words,
            "women_share": self.women_share,
            "stature_mm": {sex: {"mean": one.mean, "sd": one.sd} for sex, one in self.stature_mm.items()},
            "mass_kg": {sex: {"mean": one.mean, "sd": one.sd} for sex, one in self.mass_kg.items()},
            "ages": [
                {"from_years": one.youngest, "to_years": one.oldest, "share": one.share} for one in self.ages
            ],
        }

    @property
    def in_words(self) -> str:
        """What it is called: its own words, else the survey's soldiers or the maker's figures."""
        if self.words:
            return self.words
        return "adults built like the survey's soldiers" if self.is_surveyed else "adults as stated"


def _check_spread(where: str, name: str, one: MeanAndSpread) -> None:
    kind = MEASURES[name]
    if not kind.lowest <= one.mean <= kind.highest:
        raise ValueRefusedError(
            where, one.mean, f"a mean from {kind.lowest:g} to {kind.highest:g} is allowed", "give mm or kg"
        )
    if not 0.0 < one.sd <= MOST_SD_SHARE * one.mean:
        raise ValueRefusedError(
            where,
            one.sd,
            f"a standard deviation above 0 and up to {MOST_SD_SHARE:g} of the mean is allowed",
            "give the spread between people, in the same unit",
        )


def _check_ages(bands: Sequence[AgeBand]) -> None:
    if not bands:
        return
    for one in bands:
        if not AGES[0] <= one.youngest < one.oldest <= AGES[1]:
            raise ValueRefusedError(
                "ages",
                f"{one.youngest:g} to {one.oldest:g}",
                f"allowed are bands within {AGES[0]:g} to {AGES[1]:g}: the survey knows nobody older, and children are "
                "not built like adults",
                "end the oldest band there, and judge older people by trying",
            )
        if not (math.isfinite(one.share) and one.share > 0.0):
            raise ValueRefusedError(
                "share of an age band", one.share, "above 0 is allowed", "leave the band out"
            )
    ordered = sorted(bands, key=lambda band: band.youngest)
    for one, after in pairwise(ordered):
        if after.youngest < one.oldest:
            raise ValueRefusedError(
                "ages", f"{after.youngest:g}", "bands may not overlap", "let one begin where the other ends"
            )


SOLDIERS = Public()
US_ADULTS = Public(
    stature_mm={"male": MeanAndSpread(1759.0, 76.0), "female": MeanAndSpread(1619.0, 70.0)},
    mass_kg={"male": MeanAndSpread(88.8, 21.0), "female": MeanAndSpread(76.4, 21.0)},
    words="US adults of 2011 to 2014 (means A4, spreads A5)",
)
TABLES: Mapping[str, Public] = MappingProxyType({"soldiers": SOLDIERS, "us-2011": US_ADULTS})
"""Publics by the name under which they can be asked for."""


def public_named(name: str) -> Public:
    """Return one of `TABLES`; NotAmongError for a name that is none."""
    if name not in TABLES:
        raise NotAmongError("public", repr(name), TABLES)
    return TABLES[name]
