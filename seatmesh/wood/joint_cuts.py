"""The joints of a blank as the holes and housings that a maker cuts for them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import atan, cos, degrees, radians, sin, tan
from typing import Literal

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import FROM_ABOVE, Joint

STEEPEST_DEG = 45.0


@dataclass(frozen=True)
class Hole:
    """A drilled hole with a flat end.

    Attributes
    ----------
    x_mm, y_mm
        Where its axis meets the face that it is drilled from.
    diameter_mm
        Of the drill.
    side
        The face that it is drilled from.
    to_right_deg, to_front_deg
        How far the axis, followed out of that face, leans to the sitter's right and to the front: the angles that
        it shows from the front and from the side.
    depth_mm
        Along the axis from that face; None goes through.
    face_z_mm
        Height of that face at the place; None is the blank's top face, or the lowest z of the mesh.
    """

    x_mm: float
    y_mm: float
    diameter_mm: float
    side: Literal["top", "underside"] = "underside"
    to_right_deg: float = 0.0
    to_front_deg: float = 0.0
    depth_mm: float | None = None
    face_z_mm: float | None = None

    def __post_init__(self) -> None:
        lengths = {"x_mm": self.x_mm, "y_mm": self.y_mm}
        _refuse_unless(all(map(math.isfinite, lengths.values())), "place", lengths, "finite numbers")
        _refuse_unless(0.5 <= self.diameter_mm <= 150.0, "diameter_mm", self.diameter_mm, "0.5 to 150 mm")
        for lean in (self.to_right_deg, self.to_front_deg):
            _refuse_unless(abs(lean) <= STEEPEST_DEG, "lean", lean, f"up to {STEEPEST_DEG:g} degrees")
        if self.depth_mm is not None:
            _refuse_unless(
                0.0 < self.depth_mm <= 1000.0, "depth_mm", self.depth_mm, "above 0, or None for through"
            )
        _refuse_unless(self.side in ("top", "underside"), "side", self.side, "'top' or 'underside'")

    @property
    def outward(self) -> Floats:
        """Return the unit vector along the axis, out of the face that it is drilled from."""
        up = 1.0 if self.side == "top" else -1.0
        lean = [math.tan(math.radians(angle)) for angle in (self.to_right_deg, self.to_front_deg)]
        axis = np.array([*lean, up])
        return np.asarray(axis / np.linalg.norm(axis))


@dataclass(frozen=True)
class Housing:
    """A flat-bottomed pocket let in from the underside: corners in the plan, in order, and its depth."""

    corners_mm: tuple[tuple[float, float], ...]
    depth_mm: float

    def __post_init__(self) -> None:
        _refuse_unless(
            0.0 < self.depth_mm <= 1000.0 and len(self.corners_mm) >= 3,
            "housing",
            f"{len(self.corners_mm)} corners, {self.depth_mm:g} mm deep",
            "three corners or more and a depth above 0",
        )


def _refuse_unless(fits: bool, name: str, given: object, allowed: str) -> None:
    if not fits:
        raise ValueRefusedError(f"hole, {name}", given, f"allowed is {allowed}", "correct it")


def joint_cuts(blank: Blank) -> tuple[Hole | Housing, ...]:
    """Return what is cut out of a seat for its joints; zones without a depth only keep wood and cut none.

    Mortises start where their axis meets the top face or the underside, bevel included. A joint on both sides
    is cut on both, once where it lies on the centre line.
    """
    return tuple(cut for joint in blank.joints for cut in _cuts(joint, blank))


def _cuts(joint: Joint, blank: Blank) -> Iterator[Hole | Housing]:
    own = _cut(joint, blank)
    if own is None:
        return
    yield own
    if joint.side != "both":
        return
    image = (
        replace(own, x_mm=-own.x_mm, to_right_deg=-own.to_right_deg)
        if isinstance(own, Hole)
        else replace(own, corners_mm=tuple((-x, y) for x, y in reversed(own.corners_mm)))
    )
    if image != own:
        yield image


def _cut(joint: Joint, blank: Blank) -> Hole | Housing | None:
    from_above = joint.kind in FROM_ABOVE
    if not (from_above or joint.kind == "leg mortise"):
        return _housing(joint)
    across, along = joint.lean(0.5 * blank.depth_mm)
    slope = tan(radians(joint.angle_deg))
    rise = float(blank.underside_rise_mm(joint.x_mm, joint.y_mm))
    return Hole(
        joint.x_mm,
        joint.y_mm,
        joint.diameter_mm,
        "top" if from_above else "underside",
        degrees(atan(slope * across)) + 0.0,
        degrees(atan(slope * along)) + 0.0,
        joint.depth_mm,
        None if from_above else rise - blank.thickness_mm,
    )


def _housing(joint: Joint) -> Hole | Housing | None:
    if joint.depth_mm is None:
        return None
    if joint.kind == "circle":
        return Hole(joint.x_mm, joint.y_mm, joint.diameter_mm, depth_mm=joint.depth_mm)
    if joint.kind == "polygon":
        return Housing(joint.points_mm, joint.depth_mm)
    c, s = cos(radians(joint.turn_deg)), sin(radians(joint.turn_deg))
    half = 0.5 * joint.length_mm, 0.5 * joint.width_mm
    corners = [(-half[0], -half[1]), (half[0], -half[1]), (half[0], half[1]), (-half[0], half[1])]
    return Housing(
        tuple((joint.x_mm + c * u - s * v, joint.y_mm + s * u + c * v) for u, v in corners), joint.depth_mm
    )
