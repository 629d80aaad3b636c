"""What is counted of people, part by part in the order of the parts, so that the sums are the same to the bit.

Nothing is added by BLAS: it may add in another order with other threads.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.people.counted.groups import GROUPS, members
from seatmesh.people.counted.share import Share, Sums, share_of
from seatmesh.people.criteria import Asked, scores_of
from seatmesh.people.public import Public
from seatmesh.people.table import PeopleTable

STATURES_MM = np.arange(1400.0, 2101.0, 25.0)
MASSES_KG = np.arange(35.0, 176.0, 5.0)
PEAKS_KPA = np.geomspace(2.0, 400.0, 213)
"""Edges of the bins of peaks: 2.5 % wide. What lies beyond counts in the first and last."""
TIMES = np.geomspace(0.5, 20.0, 149)


@dataclass(frozen=True)
class Tally:
    """Sums over people.

    Attributes
    ----------
    count
        People counted.
    sums
        Shape (5, groups, scores): w, w^2, w x, w^2 x, w^2 x^2; scores are the criteria asked for, all of them together,
        and those that found no balance.
    by_build
        Shape (3, statures, masses): weight, served weight, and people.
    by_peak, by_times
        Weight in each bin of peaks and of multiples of one's own best, by sex, shape (2, bins).
    beyond
        Weight of those whose stature or mass no surveyed person of the sex has.
    served_if
        Served weight were all peaks lower, and higher, by the model's standard error.
    """

    count: int
    sums: Floats
    by_build: Floats
    by_peak: Floats
    by_times: Floats
    beyond: Floats
    served_if: Floats

    def __add__(self, other: Tally) -> Tally:
        return Tally(*(getattr(self, one.name) + getattr(other, one.name) for one in fields(self)))

    def share(self, group: int, score: int) -> Share:
        """Return the share of a group that has a score."""
        return share_of(Sums(*(float(one) for one in self.sums[:, group, score])))

    @property
    def weight(self) -> float:
        """Weight of all people."""
        return float(self.sums[0, 0, 0])


def tally_of(public: Public, table: PeopleTable, asked: Asked, ranges: Floats) -> Tally:
    """Return the sums over the people of one part.

    `ranges` holds the survey's least and greatest stature and mass, shape (2 sexes, 2 measures, 2).
    """
    weights, groups = table.of("weight"), members(public, table)
    scores = scores_of(table, asked)
    served = scores.prod(axis=1)
    unknown = 1.0 - table.of("balanced")
    x = np.column_stack([scores, served, unknown])
    powers = np.concatenate(_powers(weights[:, None], x), axis=1)
    sums = np.einsum("ng,nk->gk", groups, powers).reshape(len(GROUPS), -1, x.shape[1]).swapaxes(0, 1)
    build = (table.of("stature_mm"), table.of("mass_kg"))
    sex = np.where(table.women, 0.0, 1.0)
    return Tally(
        count=len(table),
        sums=sums,
        by_build=np.stack(
            [
                _binned(build, (STATURES_MM, MASSES_KG), w)
                for w in (weights, weights * served, np.ones_like(weights))
            ]
        ),
        by_peak=_by_sex(sex, table.of("peak_kpa"), PEAKS_KPA, weights),
        by_times=_by_sex(sex, table.of("peak_over_own_best"), TIMES, weights),
        beyond=np.einsum("n,n->", weights, _is_beyond(build, sex, ranges))[None],
        served_if=np.array(
            [
                float(np.einsum("n,n->", weights, scores_of(table, asked, up).prod(axis=1)))
                for up in (-1.0, 1.0)
            ]
        ),
    )


def _powers(w: Floats, x: Floats) -> list[Floats]:
    """Return w, w^2, w x, w^2 x and w^2 x^2 of scores (n, c), each of that shape."""
    ones = np.ones_like(x)
    return [w * ones, w**2 * ones, w * x, w**2 * x, w**2 * x**2]


def _binned(values: tuple[Floats, Floats], edges: tuple[Floats, Floats], weights: Floats) -> Floats:
    shape = (len(edges[0]) - 1, len(edges[1]) - 1)
    row, column = (_bin(value, edge) for value, edge in zip(values, edges, strict=True))
    return np.asarray(
        np.bincount(row * shape[1] + column, weights, shape[0] * shape[1]).reshape(shape), dtype=float
    )


def _bin(value: Floats, edges: Floats) -> Ints:
    return np.clip(np.searchsorted(edges, value, side="right") - 1, 0, len(edges) - 2).astype(np.int64)


def _by_sex(sex: Floats, value: Floats, edges: Floats, weights: Floats) -> Floats:
    known = np.isfinite(value)
    place = sex[known].astype(np.int64) * (len(edges) - 1) + _bin(value[known], edges)
    return np.asarray(np.bincount(place, weights[known], 2 * (len(edges) - 1)).reshape(2, -1), dtype=float)


def _is_beyond(build: tuple[Floats, Floats], sex: Floats, ranges: Floats) -> Floats:
    of = ranges[sex.astype(np.int64)]
    off = [(value < of[:, i, 0]) | (value > of[:, i, 1]) for i, value in enumerate(build)]
    return np.asarray((off[0] | off[1]).astype(float))


def group_place(**made_of: object) -> int:
    """Return the place of a group in `GROUPS` by what it is made of."""
    return next(
        i
        for i, one in enumerate(GROUPS)
        if all(getattr(one, name) == value for name, value in made_of.items())
    )
