"""A sitter's body: named measures, each with how surely it is known, and how the person likes to sit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Origin = Literal["measured", "estimated", "given"]
Sex = Literal["male", "female"]

Z90 = 1.6448536269514722
"""Standard normal quantile of 95 %: half-width of a 90 % interval in standard errors."""


@dataclass(frozen=True)
class Measure:
    """One body measure, in the unit its name ends in.

    Attributes
    ----------
    value
        Best estimate: what the tape said, or the median of what is expected.
    standard_error
        One standard error of `value`.
    origin
        "measured" with a tape, "given" by other means (a sit-bone imprint), or "estimated" from the others.
    interval_90
        5 % and 95 % quantiles; None stands for the normal ones around `value`.

    Examples
    --------
    >>> from seatmesh import Measure
    >>> hip = Measure(378.0, 6.0, "measured")
    >>> round(hip.low_90), round(hip.high_90)
    (368, 388)
    """

    value: float
    standard_error: float
    origin: Origin
    interval_90: tuple[float, float] | None = None

    def facts(self) -> dict[str, float | str]:
        """Return value, standard error, origin and interval as values that JSON knows."""
        names = ("value", "standard_error", "origin", "low_90", "high_90")
        return {name: getattr(self, name) for name in names}

    @property
    def low_90(self) -> float:
        """5 % quantile."""
        return self.interval_90[0] if self.interval_90 else self.value - Z90 * self.standard_error

    @property
    def high_90(self) -> float:
        """95 % quantile."""
        return self.interval_90[1] if self.interval_90 else self.value + Z90 * self.standard_error


@dataclass(frozen=True)
class Habit:
    """How a person likes to sit.

    Attributes
    ----------
    splay_deg
        How far each thigh points outward from straight ahead.
    pelvis_tilt_deg
        How far the pelvis rolls back from upright.
    forward_mm
        How far ahead of the usual place the person sits.
    across_mm
        How far to the person's right of the centre line.

    Examples
    --------
    >>> from seatmesh import Habit
    >>> Habit(forward_mm=15.0).splay_deg
    6.0
    """

    splay_deg: float = 6.0
    pelvis_tilt_deg: float = 0.0
    forward_mm: float = 0.0
    across_mm: float = 0.0


@dataclass(frozen=True)
class Body:
    """A sitter: name, sex (None where not stated), measures by name, habit, and notes on plausibility.

    Examples
    --------
    >>> from seatmesh import estimate_body
    >>> body = estimate_body("female", 1640, 61, hip_breadth_sitting_mm=378)
    >>> body.measures["hip_breadth_sitting_mm"].origin, body.measures["thigh_clearance_mm"].origin
    ('measured', 'estimated')
    >>> body.value("stature_mm")
    1640.0
    """

    name: str
    sex: Sex | None
    measures: Mapping[str, Measure]
    habit: Habit = field(default_factory=Habit)
    notes: tuple[str, ...] = ()

    def __hash__(self) -> int:
        return hash((self.name, self.sex, frozenset(self.measures.items()), self.habit, self.notes))

    def value(self, measure: str) -> float:
        """Return the best estimate of a measure, in the unit its name ends in."""
        return self.measures[measure].value
