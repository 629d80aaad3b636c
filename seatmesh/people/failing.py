"""Whom a seat fails, and why: a handful of people, each of whom stands for many, in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.body.body import Sex
from seatmesh.body.survey.draw import DRAWN
from seatmesh.people.counted.groups import quantiles
from seatmesh.people.criteria import BY_NAME, Asked, lacks_of, meets, scores_of, words_of
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
            f"{lacks_of(name, float(value or 0.0), units)}, asked is {words_of(name, getattr(asked, name), units)}"
            for name, value in self.fails.items()
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


def kinds_of(public: Public, table: PeopleTable, asked: Asked) -> list[Kind | None]:
    """Return who each person fails alike with; None for those whom the seat serves."""
    met = meets(scores_of(table, asked))
    balanced = table.of("balanced") > 0.5
    tall = quantiles(public, table, "stature_mm")
    out: list[Kind | None] = []
    for i in range(len(table)):
        fails = tuple(name for k, name in enumerate(asked.names) if not met[i, k])
        if not balanced[i]:
            fails = (NO_BALANCE,)
        build = 0 if tall[i] < SHORT else 2 if tall[i] > TALL else 1
        out.append((bool(table.women[i]), build, fails) if fails else None)
    return out


def failing_people(
    public: Public, asked: Asked, tables: Iterable[PeopleTable], again: Iterable[PeopleTable]
) -> list[FailingPerson]:
    """Return up to `DESCRIBED` people; the tables are gone through twice, one part in memory at a time.

    First the kinds of failing people are weighed: each criterion's commonest kind comes first, criteria by how many
    fail them, then the commonest of what is left. Then the person nearest to the mean build of each kind is found.
    """
    weight: dict[Kind, Floats] = {}
    total = 0.0
    for table in tables:
        build = np.stack([np.ones(len(table)), *(table.of(name) for name in MEASURED)], axis=1)
        weights = table.of("weight")
        total += float(weights.sum())
        for i, kind in enumerate(kinds_of(public, table, asked)):
            if kind is not None:
                weight[kind] = weight.get(kind, np.zeros(3)) + weights[i] * build[i]
    chosen = _chosen({kind: float(one[0]) for kind, one in weight.items()})
    means = {kind: weight[kind][1:] / weight[kind][0] for kind in chosen if weight[kind][0] > 0.0}
    nearest: dict[Kind, tuple[float, FailingPerson]] = {}
    for table in again:
        kinds = kinds_of(public, table, asked)
        build = np.stack([table.of(name) for name in MEASURED], axis=1)
        for i, kind in enumerate(kinds):
            if kind in means and table.of("weight")[i] > 0.0:
                off = float((((build[i] - means[kind]) / SCALE) ** 2).sum())
                if kind not in nearest or off < nearest[kind][0]:
                    share = float(weight[kind][0]) / total
                    nearest[kind] = off, _person(public, table, i, kind, share)
    return [nearest[kind][1] for kind in chosen if kind in nearest]


def _chosen(weights: dict[Kind, float]) -> list[Kind]:
    ordered = sorted(weights, key=lambda kind: (-weights[kind], kind))
    by_reason: dict[str, float] = {}
    for kind, weight in weights.items():
        for name in kind[2]:
            by_reason[name] = by_reason.get(name, 0.0) + weight
    chosen: list[Kind] = []
    for name in sorted(by_reason, key=lambda one: (-by_reason[one], one)):
        first = next((kind for kind in ordered if name in kind[2] and kind not in chosen), None)
        if first is not None and not any(name in kind[2] for kind in chosen):
            chosen.append(first)
    chosen += [kind for kind in ordered if kind not in chosen]
    return sorted(chosen[:DESCRIBED], key=lambda kind: (-weights[kind], kind))


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
        lines.append(
            f"a {who} {one.build}, {format_length(one.stature_mm, units, 2, 0)} and "
            f"{format_mass(one.mass_kg, units, 0)} "
            f"({_of_ten(one.shorter)} {who[:-2]}en are shorter, {_of_ten(one.lighter)} lighter), "
            f"standing for {100.0 * one.stands_for:.1f} % of all: "
            f"{one.why(asked, units)}"
        )
    return lines


def _of_ten(share: float) -> str:
    """Return a share as so many of a hundred."""
    return f"{round(100.0 * share)} of 100"
