"""Glue lines that run where they should not: through a mortise, or close beside the pommel."""

from __future__ import annotations

from math import cos, radians

from seatmesh.place_words import aside
from seatmesh.surface import Seat
from seatmesh.units import format_length
from seatmesh.wood.joint import MORTISES, Joint
from seatmesh.wood.joint_rings import axis_run_mm

MORTISE_MM = 3.0
"""Wood between a mortise and a glue line that is as good as none (common practice, no source)."""


def through_mortises(seat: Seat) -> list[str]:
    """Note every glue line that runs through a mortise, or as close to it as leaves no wood between."""
    return [
        f"the glue line {aside(x, seat.units)} runs through joint {number} ({joint.said(seat.units)}): choose other "
        "widths, or move the joint"
        for x in seat.blank.glue_lines()
        for number, joint in enumerate(seat.blank.joints, start=1)
        if meets(joint, x, seat.blank.depth_mm, seat.blank.thickness_mm)
    ]


def beside_pommel(seat: Seat, clear_mm: float, under_mm: float) -> list[str]:
    """Note every glue line that runs beside the pommel: from `under_mm` to `clear_mm` off its crest."""
    return [
        f"the glue line {aside(x, seat.units)} runs beside the pommel, nearer than "
        f"{format_length(clear_mm, seat.units)} to its crest: put it on the centre line, or farther out"
        for x in seat.blank.glue_lines()
        if under_mm < abs(x) < clear_mm
    ]


def meets(joint: Joint, x_mm: float, depth_mm: float, thickness_mm: float) -> bool:
    """Tell whether a mortise, its lean and all, meets the upright plane of a glue line."""
    if joint.kind not in MORTISES:
        return False
    run = axis_run_mm(joint, depth_mm, thickness_mm)
    ends = (joint.x_mm, joint.x_mm) if run is None else (float(run[0, 0]), float(run[1, 0]))
    radius = 0.5 * joint.diameter_mm / cos(radians(joint.angle_deg)) + MORTISE_MM
    for sign in (1.0, -1.0) if joint.side == "both" else (1.0,):
        low, high = sorted(sign * one for one in ends)
        if low - radius < x_mm < high + radius:
            return True
    return False
