"""The joints of a blank as the holes and housings that a maker cuts for them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import atan, cos, degrees, radians, sin, tan

from seatmesh.solids.holes import Hole, Housing
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import FROM_ABOVE, Joint


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
