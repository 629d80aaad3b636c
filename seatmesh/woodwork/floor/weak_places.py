"""Where the carved blank is weakest under a load: along the grain, across it, and across its glue lines."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.place_words import aside
from seatmesh.wood.boards.layup import Layup

GLUE_WITHIN_MM = 12.0
"""Stress across a glue line is told from as near to it."""


@dataclass(frozen=True)
class Strain:
    """Stress under one load, on surface and underside.

    Attributes
    ----------
    points_mm
        Places, shape (n, 3).
    along_mpa, across_mpa
        Along the grain, and the greatest pull square to it; shape (n,).
    over_mpa
        Pull square to the glue lines, along x; shape (n,).
    along_factor, across_factor
        Strength over stress at each place; infinite where nothing pulls; not a number where no strength is known.
    """

    points_mm: Floats
    along_mpa: Floats
    across_mpa: Floats
    over_mpa: Floats
    along_factor: Floats
    across_factor: Floats


@dataclass(frozen=True)
class WeakPlace:
    """The weakest place in one way: which way, how many times stronger than its load, and where.

    `line_mm` is where the glue line runs that it is across; None of all else.
    """

    way: str
    factor: float
    stress_mpa: float
    strength_mpa: float
    x_mm: float
    y_mm: float
    face: str
    line_mm: float | None = None

    def said(self, units: str) -> str:
        """Return the way in words, and which glue line it is."""
        return self.way if self.line_mm is None else f"{self.way} {aside(self.line_mm, units)}"


def weakest(strain: Strain, faces: list[str], layup: Layup) -> tuple[WeakPlace, ...]:
    """Return the weakest place along the grain, across it, and across each glue line; `faces` names each place's."""
    out = []
    for way, factor, stress in (
        ("along the grain", strain.along_factor, strain.along_mpa),
        ("across the grain", strain.across_factor, strain.across_mpa),
    ):
        k = int(np.argmin(factor))
        out.append(_place(way, strain, faces, k, float(factor[k]), float(stress[k])))
    for number, line in enumerate(layup.glue_lines_mm):
        pair = layup.boards[number : number + 2]
        strength = min(board.species.across_mpa or 0.0 for board in pair)
        near = np.abs(strain.points_mm[:, 0] - line) <= GLUE_WITHIN_MM
        pull = np.where(near, strain.over_mpa, -np.inf)
        k = int(np.argmax(pull))
        least = strength / float(pull[k]) if pull[k] > 0.0 else float("inf")
        place = _place("across the glue line", strain, faces, k, least, float(pull[k]))
        out.append(replace(place, line_mm=line))
    return tuple(out)


def _place(way: str, strain: Strain, faces: list[str], k: int, factor: float, stress: float) -> WeakPlace:
    x, y, _ = strain.points_mm[k]
    strength = factor * abs(stress)
    return WeakPlace(way, factor, stress, strength, float(x), float(y), faces[k])
