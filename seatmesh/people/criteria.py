"""What a maker asks of a seat for people not yet met, and how far each person's sitting meets it.

Every bound is the maker's; each default has its source beside it. A bound of None leaves a criterion out.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from scipy.special import ndtr

from seatmesh.arrays import Bools, Floats
from seatmesh.errors import UnknownKeyError, ValueRefusedError
from seatmesh.people.own_best import OWN_ERROR
from seatmesh.people.table import PeopleTable
from seatmesh.seating.sureness.model_error import FLESH_PEAK, LAW_PEAK
from seatmesh.units import format_area, format_length

SERVED_FROM = 0.5
"""Chance of meeting a criterion from which a person counts as meeting it, where people are told apart."""


@dataclass(frozen=True)
class Criterion:
    """One thing asked of a seat.

    Attributes
    ----------
    name
        Its key.
    words
        What a person has who meets it; `{}` stands for the bound.
    lacks
        What a person has who fails it; `{}` stands for the person's own figure.
    column
        Of the table of people.
    at_most
        Whether the bound is the greatest that is allowed, not the least.
    allowed
        Range of bounds that are taken.
    unit
        Of bound and figure.
    source
        Of the default.
    """

    name: str
    words: str
    lacks: str
    column: str
    at_most: bool
    allowed: tuple[float, float]
    unit: str
    source: str
    words_at_zero: str = ""
    lacks_below_zero: str = ""
    """The same where the bound is 0, or the figure negative; `{}` stands for it without its sign."""


CRITERIA: tuple[Criterion, ...] = (
    Criterion(
        "peak_times_own_best", "peak at most {} times that on a seat of one's own",
        "a peak {} times that on a seat of one's own", "peak_over_own_best", True, (1.0, 10.0), "times",
        "two steps that can just be felt, 12 % each (S13)",
    ),
    Criterion(
        "peak_kpa", "peak at most {} kPa", "a peak of {} kPa", "peak_kpa", True, (1.0, 1000.0), "kPa",
        "none: peaks of studies depend on the sensor (S7)",
    ),
    Criterion(
        "contact_area_cm2", "contact over {} or more", "contact over {} only", "contact_area_cm2", False,
        (1.0, 3000.0), "cm2", "a standard deviation below what old men have on a flat seat (S5)",
    ),
    Criterion(
        "knee_clearance_mm", "knee-backs {} or more ahead of the front edge",
        "knee-backs {} ahead of the front edge", "knee_clearance_mm", False, (-200.0, 300.0), "mm",
        "the least for a seat of one's own (D2, from memory)", "knee-backs at the front edge or ahead of it",
        "knee-backs {} behind the front edge",
    ),
    Criterion(
        "feet_share", "feet carry {} % of the body or more", "feet that carry {} % of the body only", "feet_share",
        False, (0.0, 0.2), "share",
        "half of what they carry where the front edge is level with the knee-backs (L1; S11)",
    ),
    Criterion(
        "hip_margin_mm", "a blank at least {} broader than the hips", "a blank {} broader than the hips",
        "hip_margin_mm", False, (-300.0, 300.0), "mm", "common practice: hips lie on the seat",
        "a blank as broad as the hips or broader", "a blank {} narrower than the hips",
    ),
    Criterion(
        "rim_load_share", "at most {} % of the load on wood outside the hollow",
        "{} % of the load on wood outside the hollow", "rim_load_share", True, (0.0, 1.0), "share",
        "common practice: the hips lie inside the hollow; the bound is our own judgement",
    ),
    Criterion(
        "tailbone_clearance_mm", "bone of the tailbone {} or more above the wood",
        "the bone of the tailbone {} above the wood", "tailbone_clearance_mm", False, (0.0, 100.0), "mm",
        "the flesh over its tip is about as thick unpressed (from memory)",
    ),
)  # fmt: skip
BY_NAME: Mapping[str, Criterion] = {one.name: one for one in CRITERIA}


@dataclass(frozen=True)
class Asked:
    """The bound of each criterion, by its name; None leaves it out.

    Examples
    --------
    >>> from seatmesh.people.criteria import Asked
    >>> Asked(peak_kpa=40.0, peak_times_own_best=None).names[0]
    'peak_kpa'
    """

    peak_times_own_best: float | None = 1.25
    peak_kpa: float | None = None
    contact_area_cm2: float | None = 464.0
    knee_clearance_mm: float | None = 50.0
    feet_share: float | None = 0.06
    hip_margin_mm: float | None = 0.0
    rim_load_share: float | None = 0.05
    tailbone_clearance_mm: float | None = 18.0

    def __post_init__(self) -> None:
        for one in CRITERIA:
            bound = getattr(self, one.name)
            if bound is not None and not (math.isfinite(bound) and one.allowed[0] <= bound <= one.allowed[1]):
                low, high = one.allowed
                raise ValueRefusedError(
                    one.name, bound, f"allowed are {low:g} to {high:g} {one.unit}, or none to leave it out",
                    "give a bound in this unit",
                )  # fmt: skip
        if not self.names:
            raise ValueRefusedError(
                "criteria", "none", "at least one has to be asked for", f"known are {', '.join(BY_NAME)}"
            )

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the criteria that are asked for."""
        return tuple(one.name for one in fields(self) if getattr(self, one.name) is not None)

    def with_bounds(self, given: Mapping[str, float | None]) -> Asked:
        """Return the same with other bounds; UnknownKeyError for a name that is none."""
        for name in given:
            if name not in BY_NAME:
                raise UnknownKeyError(name, BY_NAME, "criterion")
        return replace(self, **given)

    def facts(self, units: str = "mm") -> list[dict[str, Any]]:
        """Return name, bound, words and source of each criterion, as plain values."""
        return [
            {
                "name": name,
                "bound": getattr(self, name),
                "words": words_of(name, getattr(self, name), units),
                "source": BY_NAME[name].source
                if getattr(self, name) == getattr(Asked(), name)
                else "the maker's own",
            }
            for name in self.names
        ]


def words_of(name: str, bound: float, units: str = "mm") -> str:
    """Return what a criterion asks for, in words."""
    one = BY_NAME[name]
    words = one.words_at_zero if bound == 0.0 and one.words_at_zero else one.words
    return words.format(_written(one, bound, units))


def lacks_of(name: str, value: float, bound: float, units: str = "mm") -> str:
    """Return what a person has who fails a criterion, in words; who just misses is not said to meet it."""
    one = BY_NAME[name]
    if value < 0.0 and one.lacks_below_zero:
        return one.lacks_below_zero.format(_written(one, -value, units))
    written = _written(one, value, units)
    near = f"just {'over' if one.at_most else 'under'} " if written == _written(one, bound, units) else ""
    return one.lacks.format(f"{near}{written}")


def bound_of(name: str, bound: float, units: str = "mm") -> str:
    """Return a bound with its unit, and on which side of it one has to be, in words."""
    one = BY_NAME[name]
    unit = {"share": " %", "kPa": " kPa", "times": " times"}.get(one.unit, "")
    return f"{'at most' if one.at_most else 'at least'} {_written(one, bound, units)}{unit}"


def _written(one: Criterion, value: float, units: str) -> str:
    """Return a figure in the seat's units; words that name kPa, % or times have their unit in them."""
    if one.unit == "mm":
        return format_length(value, units, 16, 0)
    if one.unit == "cm2":
        return format_area(value, units)
    if one.unit == "share":
        return f"{100.0 * value:.1f}".removesuffix(".0")
    return f"{value:.2f}".rstrip("0").rstrip(".") if one.unit == "times" else f"{value:.0f}"


def scores_of(table: PeopleTable, asked: Asked, errors_up: float = 0.0) -> Floats:
    """Return the chance that each person meets each criterion asked for, shape (n, criteria).

    It is 0 or 1 but for the multiple of one's own best, which is estimated: there it is the chance that the true
    multiple lies below the bound. Whoever finds no balance meets nothing that needs one. `errors_up` tells by how many
    of the model's standard errors all peaks are taken to be higher: of the law alone for a multiple, since a person's
    flesh is the same on both seats, of law and flesh for a peak in kPa.
    """
    columns = [_score(table, name, float(getattr(asked, name)), errors_up) for name in asked.names]
    return np.stack(columns, axis=1)


def _score(table: PeopleTable, name: str, bound: float, errors_up: float) -> Floats:
    one = BY_NAME[name]
    value = table.of(one.column)
    known = np.isfinite(value)
    if name == "peak_times_own_best":
        over = np.log(np.where(known, value, np.inf) / bound) + errors_up * LAW_PEAK
        return np.asarray(np.where(known, ndtr(-over / OWN_ERROR), 0.0))
    if name == "peak_kpa":
        value = value * np.exp(errors_up * np.hypot(LAW_PEAK, FLESH_PEAK))
    met = value <= bound if one.at_most else value >= bound
    return np.asarray(np.where(known & met, 1.0, 0.0))


def meets(scores: Floats) -> Bools:
    """Return whether scores count as met."""
    return scores >= SERVED_FROM
