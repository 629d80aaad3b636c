"""From body measures to the lengths that shape a seated body.

The frame of the body has its origin midway between the tips of the sit bones: x to the sitter's right, y forward,
z up, mm. Figures with an id are those of the project's table of published values; the others are proportions from
memory of anatomy, chosen so that the ids in brackets hold.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from seatmesh.body.body import Body
from seatmesh.body.many_bodies import ManyBodies
from seatmesh.body.survey.sit_bone_tissue import TISSUE
from seatmesh.body.survey.underside import FLATNESS

HIP_ABOVE_SIT_BONE_MM = 77.0
"""Hip joint centre above the tip of the sit bone (B9)."""
HIP_AHEAD_OF_SIT_BONE_MM = 15.0
"""Hip joint centre ahead of the tip of the sit bone, upright; from memory."""
BUTTOCK_BEHIND_PER_HIP_BREADTH = 0.32
"""Back of the buttocks behind the sit bones over hip breadth: 99 to 140 mm from slight to broad (B11)."""
THIGH_BONE_PER_STATURE = 0.068
"""Distance of the upper thigh bones from the middle over stature: 120 mm at 1760 mm, whatever lies on them; from
memory of the breadth over the trochanters."""
TAILBONE_BEHIND_MM = 65.0
TAILBONE_ABOVE_MM = 36.0
"""Tip of the tailbone behind and above the tips of the sit bones, upright (B11)."""


@dataclass(frozen=True)
class Anatomy:
    """Lengths of one sitter, mm.

    Attributes
    ----------
    sit_bone_x
        Half of the distance between the sit bones.
    tissue
        Unloaded thickness under the sit bones.
    flatness
        Radius of the underside of buttocks and upper thighs over its usual one.
    hip_half_breadth
        Half of hip breadth, sitting.
    buttock_back
        y of the back of the buttocks (negative).
    knee_back
        y of the back of the knees with the thighs straight ahead.
    thigh_half_widths, thigh_half_heights
        Half-axes of the thigh's elliptic section at hip and knee-back.
    thigh_bone_x
        Distance of the upper thigh bones from the middle.
    popliteal_height
        Lower leg length, unshod.
    mass_kg
        Body mass.
    """

    sit_bone_x: float
    tissue: float
    flatness: float
    hip_half_breadth: float
    buttock_back: float
    knee_back: float
    thigh_half_widths: tuple[float, float]
    thigh_half_heights: tuple[float, float]
    thigh_bone_x: float
    popliteal_height: float
    mass_kg: float

    @property
    def thigh_x(self) -> float:
        """Distance of each thigh's axis from the middle, at the hip: its outer side is the hip's."""
        outer = self.hip_half_breadth - self.thigh_half_widths[0]
        return np.maximum(outer, 0.5 * self.thigh_half_widths[0])  # type: ignore[no-any-return]


def anatomy_of(body: Body) -> Anatomy:
    """Return the lengths of a seated body from its measures."""
    return _lengths(body.value)


def anatomy_of_many(bodies: ManyBodies) -> Anatomy:
    """Return the lengths of many bodies as one: each of shape (bodies, 1)."""
    return _lengths(lambda name: bodies.measures[name][:, None])


def _lengths(value: Callable[[str], Any]) -> Anatomy:
    hip_breadth = value("hip_breadth_sitting_mm")
    buttock_back = -BUTTOCK_BEHIND_PER_HIP_BREADTH * hip_breadth
    knee_girth_radius = value("lower_thigh_circumference_mm") / (2.0 * np.pi)
    half_height = 0.5 * value("thigh_clearance_mm")
    half_width = _half_width_of_girth(value("thigh_circumference_mm"), half_height)
    return Anatomy(
        sit_bone_x=0.5 * value("sit_bone_spacing_mm"),
        tissue=value(TISSUE),
        flatness=value(FLATNESS) / 100.0,
        hip_half_breadth=0.5 * hip_breadth,
        buttock_back=buttock_back,
        knee_back=buttock_back + value("buttock_popliteal_length_mm"),
        thigh_half_widths=(half_width, knee_girth_radius),
        thigh_half_heights=(half_height, knee_girth_radius),
        thigh_bone_x=THIGH_BONE_PER_STATURE * value("stature_mm"),
        popliteal_height=value("popliteal_height_mm"),
        mass_kg=value("mass_kg"),
    )


def _half_width_of_girth(girth: Any, half_height: Any) -> Any:
    """Return the other half-axis of an ellipse from its girth, by girth = 2 pi sqrt((a^2 + b^2) / 2).

    A seated thigh is wider than it is high; its thigh clearance is its height.
    """
    width = np.sqrt(np.maximum(2.0 * (girth / (2.0 * np.pi)) ** 2 - half_height**2, half_height**2))
    return float(width) if np.ndim(width) == 0 else width
