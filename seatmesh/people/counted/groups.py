"""Groups that people are counted in: all, each sex, and each decile of stature and of mass within a sex.

Deciles are those of the public as it is stated, not of the people drawn: so a part can be counted before the others are
there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from seatmesh.arrays import Floats, Ints
from seatmesh.body.body import Sex
from seatmesh.body.survey.population import SEXES
from seatmesh.people.builds import stated_spread
from seatmesh.people.public import Public
from seatmesh.people.table import PeopleTable

DECILES = 10
MEASURES = ("stature_mm", "mass_kg")


@dataclass(frozen=True)
class Group:
    """A group by what it is made of; `decile` counts from 1, least first, and is 0 for whole sexes."""

    sex: Sex | None
    measure: str | None = None
    decile: int = 0


GROUPS: tuple[Group, ...] = (
    Group(None),
    *(Group(sex) for sex in SEXES),
    *(Group(sex, name, k + 1) for sex in SEXES for name in MEASURES for k in range(DECILES)),
)


def quantiles(public: Public, table: PeopleTable, measure: str) -> Floats:
    """Return the share of each person's sex who have less of a measure, 0 to 1, shape (n,)."""
    value = table.of(measure) if measure == "stature_mm" else np.log(table.of(measure))
    out = np.empty(len(table))
    for sex in SEXES:
        who = table.women if sex == "female" else ~table.women
        mean, sd = stated_spread(public, sex, measure)
        out[who] = ndtr((value[who] - mean) / sd)
    return out


def members(public: Public, table: PeopleTable) -> Floats:
    """Return 1 for each group that a person belongs to, else 0, shape (n, groups)."""
    out = np.zeros((len(table), len(GROUPS)))
    deciles: dict[str, Ints] = {
        name: np.minimum(np.floor(DECILES * quantiles(public, table, name)), DECILES - 1).astype(np.int64)
        for name in MEASURES
    }
    for i, group in enumerate(GROUPS):
        who = np.ones(len(table), dtype=bool)
        if group.sex is not None:
            who = table.women if group.sex == "female" else ~table.women
        if group.measure is not None:
            who = who & (deciles[group.measure] == group.decile - 1)
        out[:, i] = who
    return out
