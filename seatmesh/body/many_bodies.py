"""Many bodies as arrays: the measures and habits that a seated figure is made of, one row for each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.body.body import Body, Habit

HABITS: tuple[str, ...] = tuple(one.name for one in fields(Habit))
NEEDED = (
    "stature_mm", "mass_kg", "hip_breadth_sitting_mm", "buttock_popliteal_length_mm", "popliteal_height_mm",
    "thigh_clearance_mm", "thigh_circumference_mm", "lower_thigh_circumference_mm", "sit_bone_spacing_mm",
    "tissue_under_sit_bone_mm", "underside_flatness_percent",
)  # fmt: skip
"""Measures that a figure takes, and no others."""


@dataclass(frozen=True)
class ManyBodies:
    """Bodies without names, in an order; all arrays have shape (n,).

    Attributes
    ----------
    measures
        `NEEDED` by name; mm, kg, percent.
    habits
        The fields of `seatmesh.Habit` by name.
    """

    measures: Mapping[str, Floats]
    habits: Mapping[str, Floats]

    @classmethod
    def of(cls, bodies: Sequence[Body]) -> ManyBodies:
        """Return bodies as arrays."""
        measures = {name: np.array([body.value(name) for body in bodies]) for name in NEEDED}
        return cls(
            measures, {name: np.array([getattr(body.habit, name) for body in bodies]) for name in HABITS}
        )

    @classmethod
    def usual(cls, measures: Mapping[str, Floats]) -> ManyBodies:
        """Return bodies of measures, shape (n,) each, that sit as people usually do."""
        habit, count = Habit(), len(measures["mass_kg"])
        return cls(
            {name: measures[name] for name in NEEDED},
            {name: np.full(count, getattr(habit, name)) for name in HABITS},
        )

    def __len__(self) -> int:
        return len(self.measures["mass_kg"])

    def some(self, who: Ints) -> ManyBodies:
        """Return some of them, in the order given."""
        return ManyBodies(
            {name: values[who] for name, values in self.measures.items()},
            {name: values[who] for name, values in self.habits.items()},
        )

    def column(self, habit: str) -> Floats:
        """Return a habit of all, shape (n, 1), as figures of many bodies take it."""
        return self.habits[habit][:, None]
