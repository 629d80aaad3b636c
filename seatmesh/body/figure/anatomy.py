"""From body measures to the lengths that shape a seated body.

The frame of the body has its origin midway between the tips of the sit bones: x to the sitter's right, y forward,
z up, mm. Figures with an id are those of the project's table of published values; the others are proportions from
memory of anatomy, chosen so that the ids in brackets hold.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from seatmesh.arrays import Floats
from seatmesh.body.body import Body, Measure

HIP_ABOVE_SIT_BONE_MM = 77.0
"""Hip joint centre above the tip of the sit bone (B9)."""
HIP_AHEAD_OF_SIT_BONE_MM = 15.0
"""Hip joint centre ahead of the tip of the sit bone, upright; from memory."""
BUTTOCK_BEHIND_PER_HIP_BREADTH = 0.32
"""Back of the buttocks behind the sit bones over hip breadth: 99 to 140 mm from slight to broad (B11)."""
TISSUE_PER_HIP_BREADTH = 0.112
"""Unloaded tissue under the sit bone over hip breadth sitting: 39 mm at 350 mm (B4), more in a broader body."""
TISSUE_BAND_MM = (25.0, 60.0)
"""Plausible unloaded tissue under the sit bone (B6)."""
TISSUE_ERROR_MM = 6.0
"""Standard error of that estimate: half of the spread between people that B5 shows once loaded."""
TISSUE = "tissue_under_sit_bone_mm"
"""No tape takes it, so no table or file has it; a body carries it among its measures where it is known otherwise."""
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
        return max(self.hip_half_breadth - self.thigh_half_widths[0], 0.5 * self.thigh_half_widths[0])


def anatomy_of(body: Body) -> Anatomy:
    """Return the lengths of a seated body from its measures."""
    hip_breadth = body.value("hip_breadth_sitting_mm")
    buttock_back = -BUTTOCK_BEHIND_PER_HIP_BREADTH * hip_breadth
    knee_girth_radius = body.value("lower_thigh_circumference_mm") / (2.0 * np.pi)
    half_height = 0.5 * body.value("thigh_clearance_mm")
    half_width = _half_width_of_girth(body.value("thigh_circumference_mm"), half_height)
    return Anatomy(
        sit_bone_x=0.5 * body.value("sit_bone_spacing_mm"),
        tissue=tissue_under_sit_bone(body).value,
        hip_half_breadth=0.5 * hip_breadth,
        buttock_back=buttock_back,
        knee_back=buttock_back + body.value("buttock_popliteal_length_mm"),
        thigh_half_widths=(half_width, knee_girth_radius),
        thigh_half_heights=(half_height, knee_girth_radius),
        thigh_bone_x=THIGH_BONE_PER_STATURE * body.value("stature_mm"),
        popliteal_height=body.value("popliteal_height_mm"),
        mass_kg=body.value("mass_kg"),
    )


def tissue_under_sit_bone(body: Body) -> Measure:
    """Return the unloaded tissue thickness under the sit bones, mm, with its standard error.

    It is the body's own where the body carries one under `TISSUE`, else estimated from hip breadth.
    """
    if TISSUE in body.measures:
        return body.measures[TISSUE]
    expected = float(expected_tissue_mm(body.value("hip_breadth_sitting_mm")))
    return Measure(expected, TISSUE_ERROR_MM, "estimated")


def expected_tissue_mm(hip_breadth_mm: ArrayLike) -> Floats:
    """Return the unloaded tissue thickness expected under the sit bones of bodies of such hip breadths."""
    return np.clip(TISSUE_PER_HIP_BREADTH * np.asarray(hip_breadth_mm, dtype=float), *TISSUE_BAND_MM)


def _half_width_of_girth(girth: float, half_height: float) -> float:
    """Return the other half-axis of an ellipse from its girth, by girth = 2 pi sqrt((a^2 + b^2) / 2).

    A seated thigh is wider than it is high; its thigh clearance is its height.
    """
    return float(np.sqrt(max(2.0 * (girth / (2.0 * np.pi)) ** 2 - half_height**2, half_height**2)))
