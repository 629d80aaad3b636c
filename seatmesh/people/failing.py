"""Whom a seat fails, and why: a handful of people, each of whom stands for many, in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.body.body import Sex
from seatmesh.body.survey.draw import DRAWN
from seatmesh.people.counted.groups import quantiles
from seatmesh.people.criteria import BY_NAME, Asked, bound_of, lacks_of, meets, scores_of
from seatmesh.people.public import Public
from seatmesh.people.table import PeopleTable
from seatmesh.units import format_length, format_mass

DESCRIBED = 5
SHORT, TALL = 1.0 / 3.0, 2.0 / 3.0
"""Shares of a sex below and above which somebody counts as short and tall."""
BUILDS = ("short", "of middle stature", "tall")
NO_BALANCE = "balanced"
MEASURED = ("stature_mm", "mass_kg")
SCALE = np.array([70.0, 14.0])
"""What makes a difference of stature, mm, and one of mass, kg, comparable: about a spread of each."""

Kind = tuple[bool, int, tuple[str, ...]]
"""Who fails alike: whether women, which of `BUILDS`, and what of the criteria they fail."""


@dataclass(frozen=True)
class FailingPerson:
    """Somebody whom a seat fails, standing for all of one sex and build whom it fails alike.

    Attributes
    ----------
    shorter, lighter
        Shares of the person's sex who are shorter, and lighter.
    fails
        Criteria failed, by name, with the person's own figure; "balanced" where no balance was found.
    stands_for
        Share of the public who fail alike.
    """

    number: int
    sex: Sex
    stature_mm: float
    mass_kg: float
    build: str
    shorter: float
    lighter: float
    measures: dict[str, float]
    fails: dict[str, float | None]
    stands_for: float

    def why(self, asked: Asked, units: str = "mm") -> str:
        """Return what the person lacks, in words."""
        if NO_BALANCE in self.fails:
            return "finds no balance that the model knows"
        return "; ".join(
            f"{lacks_of(name, float(value or 0.0), bound, units)} (asked: {bound_of(name, bound, units)})"
            for name, value in self.fails.items()
            for bound in (getattr(asked, name),)
        )

    def facts(self, asked: Asked, units: str = "mm") -> dict[str, Any]:
        """Return all as plain values."""
        return {
            "stature_mm": round(self.stature_mm),
            "mass_kg": round(self.mass_kg, 1),
            "sex": self.sex,
            "build": self.build,
            "shorter_share": round(self.shorter, 3),
            "lighter_share": round(self.lighter, 3),
            "measures": {name: round(value, 1) for name, value in self.measures.items()},
            "fails": self.fails,
            "why": self.why(asked, units),
            "stands_for_share": self.stands_for,
            "number": self.number,
        }


def kinds_of(public: Public, table: PeopleTable, asked: Asked) -> Ints:
    """Return a number for whom each person fails alike with, see `_kind`; -1 for those whom the seat serves."""
    names, met = asked.names, meets(scores_of(table, asked))
    # One digit for each criterion failed; who finds no balance has one of its own, and no other.
    fails = ((~met) * (2 ** np.arange(len(names)))).sum(axis=1)
    fails = np.where(table.of("balanced") > 0.5, fails, 2 ** len(names))
    tall = quantiles(public, table, "stature_mm")
    build = np.where(tall < SHORT, 0, np.where(tall > TALL, 2, 1))
    code = (fails * len(BUILDS) + build) * 2 + table.women
    return np.asarray(np.where(fails > 0, code, -1), dtype=np.int64)


def _kind(code: int, asked: Asked) -> Kind:
    """Return what a number of `kinds_of` stands for."""
    rest, woman = divmod(code, 2)
    fails, build = divmod(rest, len(BUILDS))
    names = (*asked.names, NO_BALANCE)
    return bool(woman), build, tuple(name for k, name in enumerate(names) if fails >> k & 1)


def failing_people(
    public: Public, asked: Asked, tables: Iterable[PeopleTable], again: Iterable[PeopleTable]
) -> list[FailingPerson]:
    """Return up to `DESCRIBED` people; the tables are gone through twice, one part in memory at a time.

    First the kinds of failing people are weighed: each criterion's commonest kind comes first, criteria by how many
    fail them, then the commonest of what is left. Then the person nearest to the mean build of each kind is found.
    """
    sums: dict[int, Floats] = {}
    total = 0.0
    for table in tables:
        codes, weights = kinds_of(public, table, asked), table.of("weight")
        total += float(weights.sum())
        found, place = np.unique(codes, return_inverse=True)
        of_each = [np.bincount(place, weights * one) for one in (np.ones(len(table)), *_build(table).T)]
        for k, code in enumerate(found.tolist()):
            sums[code] = sums.get(code, np.zeros(3)) + np.array([one[k] for one in of_each])
    weight = {code: float(one[0]) for code, one in sums.items() if code >= 0}
    chosen = _chosen({_kind(code, asked): (weight[code], code) for code in weight})
    means = {code: sums[code][1:] / weight[code] for code in chosen if weight[code] > 0.0}
    nearest: dict[int, tuple[float, FailingPerson]] = {}
    for table in again:
        codes, some = kinds_of(public, table, asked), table.of("weight") > 0.0
        for code, mean in means.items():
            off = np.where(
                (codes == code) & some, (((_build(table) - mean) / SCALE) ** 2).sum(axis=1), np.inf
            )
            i = int(off.argmin())
            if off[i] < nearest.get(code, (np.inf,))[0]:
                one = _person(public, table, i, _kind(code, asked), weight[code] / total)
                nearest[code] = float(off[i]), one
    return [nearest[code][1] for code in chosen if code in nearest]


def _build(table: PeopleTable) -> Floats:
    """Return stature and mass of each, shape (n, 2)."""
    return np.stack([table.of(name) for name in MEASURED], axis=1)


def _chosen(weights: dict[Kind, tuple[float, int]]) -> list[int]:
    """Return the numbers of up to `DESCRIBED` kinds, the commonest first, out of weight and number of each."""
    ordered = sorted(weights, key=lambda kind: (-weights[kind][0], kind))
    by_reason: dict[str, float] = {}
    for kind, (weight, _) in weights.items():
        for name in kind[2]:
            by_reason[name] = by_reason.get(name, 0.0) + weight
    chosen: list[Kind] = []
    for name in sorted(by_reason, key=lambda one: (-by_reason[one], one)):
        first = next((kind for kind in ordered if name in kind[2] and kind not in chosen), None)
        if first is not None and not any(name in kind[2] for kind in chosen):
            chosen.append(first)
    chosen += [kind for kind in ordered if kind not in chosen]
    return [weights[kind][1] for kind in sorted(chosen[:DESCRIBED], key=ordered.index)]


def _person(public: Public, table: PeopleTable, i: int, kind: Kind, share: float) -> FailingPerson:
    one = PeopleTable(table.rows[i : i + 1])
    value = {name: float(one.of(name)[0]) for name in ("number", *DRAWN)}
    return FailingPerson(
        number=int(value["number"]),
        sex="female" if kind[0] else "male",
        stature_mm=value["stature_mm"],
        mass_kg=value["mass_kg"],
        build=BUILDS[kind[1]],
        shorter=float(quantiles(public, one, "stature_mm")[0]),
        lighter=float(quantiles(public, one, "mass_kg")[0]),
        measures={name: value[name] for name in DRAWN if name not in MEASURED},
        fails={name: None if name == NO_BALANCE else _figure(one, name) for name in kind[2]},
        stands_for=share,
    )


def _figure(one: PeopleTable, name: str) -> float | None:
    value = float(one.of(BY_NAME[name].column)[0])
    return value if np.isfinite(value) else None


def described(people: Sequence[FailingPerson], asked: Asked, units: str = "mm") -> list[str]:
    """Return a sentence for each person."""
    lines = []
    for one in people:
        who = "woman" if one.sex == "female" else "man"
        called = f"{who} {one.build}" if one.build == BUILDS[1] else f"{one.build} {who}"
        lines.append(
            f"a {called}, {format_length(one.stature_mm, units, 2, 0)} and "
            f"{format_mass(one.mass_kg, units, 0)} "
            f"({_of_ten(one.shorter)} {who[:-2]}en are shorter, {_of_ten(one.lighter)} lighter), "
            f"standing for {100.0 * one.stands_for:.1f} % of all: "
            f"{one.why(asked, units)}"
        )
    return lines


def _of_ten(share: float) -> str:
    """Return a share as so many of a hundred."""
    return f"{round(100.0 * share)} of 100"
