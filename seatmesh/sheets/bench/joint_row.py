"""The joints as a table to drill from: where, how wide, how they lean, how deep from which face, what wood is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, degrees

import numpy as np
import shapely

from seatmesh.sheets.holes.bit import inch_size
from seatmesh.sheets.sheet_wishes import Speech
from seatmesh.surface import Seat
from seatmesh.wood.joint import FROM_ABOVE, ROUND, Joint
from seatmesh.wood.joint_rings import rings_mm
from seatmesh.woodwork.mortise_end import mortise_ends

ZONE_STEP_MM = 1.0


@dataclass(frozen=True)
class JointRow:
    """One joint; mm and degrees.

    Attributes
    ----------
    from_below
        Which face it is drilled or housed from.
    sight_line_deg
        In which direction of the plan it leans away from the seat: 0 forward, 90 to the sitter's right; None upright.
    depth_mm
        Along its axis from that face; None through and through, or a zone without a housing.
    bevel_mm
        How far the under-bevel has raised the face where it is drilled.
    left_mm
        Least wood, straight up or down, between its end and the other face as carved; None where it goes through.
    """

    joint: Joint
    from_below: bool
    sight_line_deg: float | None
    depth_mm: float | None
    bevel_mm: float
    left_mm: float | None


def joint_rows(seat: Seat) -> tuple[JointRow, ...]:
    """Return a seat's joints in the order in which the order names them."""
    return tuple(_row(seat, joint) for joint in seat.blank.joints)


def _row(seat: Seat, joint: Joint) -> JointRow:
    blank = seat.blank
    below = joint.kind not in FROM_ABOVE
    bevel = float(blank.underside_rise_mm(*map(np.asarray, joint.at_mm))) if below else 0.0
    if joint.kind not in ROUND or joint.kind == "circle":
        return JointRow(joint, True, None, joint.depth_mm, bevel, _left_over_zone(seat, joint))
    across, along = joint.lean(0.5 * blank.depth_mm)
    sight = degrees(atan2(across, along)) if joint.angle_deg > 0.0 else None
    left = None if joint.depth_mm is None else min(one.left_mm for one in mortise_ends(seat, joint))
    return JointRow(joint, below, sight, joint.depth_mm, bevel, left)


def _left_over_zone(seat: Seat, joint: Joint) -> float:
    """Return the least wood over a zone, its housing taken off."""
    least = np.inf
    for side in (1.0, -1.0) if joint.side == "both" else (1.0,):
        for ring in rings_mm(joint):
            polygon = shapely.Polygon(ring * [side, 1.0])
            x0, y0, x1, y1 = polygon.bounds
            step = ZONE_STEP_MM
            x, y = np.meshgrid(np.arange(x0, x1 + step, step), np.arange(y0, y1 + step, step))
            inside = shapely.intersects_xy(polygon, x, y)
            if inside.any():
                least = min(least, float(seat.wood_left_mm(x[inside], y[inside]).min()))
    return least - (joint.depth_mm or 0.0)


HEADS = ("joint", "drill", "from centre", "from rear", "lean", "sight line", "depth", "wood left")


def table(rows: Sequence[JointRow], says: Speech) -> tuple[tuple[str, ...], ...]:
    """Return the table in words, its heads first; nothing without joints."""
    return (HEADS, *(_cells(row, says) for row in rows)) if rows else ()


def notes(rows: Sequence[JointRow]) -> tuple[str, ...]:
    """Return what has to be known beside the table."""
    if not rows:
        return ()
    out = [
        "Places are where the axis meets the face it is drilled from. Leans are from square to that face, sight lines "
        "from straight forward. Drill before carving, in one go for a pair, left the mirror of right."
    ]
    if any(row.depth_mm is not None for row in rows):
        out.append(
            "Depth is along the axis to the bit's full width, a longer point beyond it not counted; wood left is the "
            "least over a flat end, to the finished surface."
        )
    if any(row.left_mm is not None and row.left_mm <= 0.0 for row in rows):
        out.append(
            "A joint marked ! breaks out of the finished surface: do not drill it before you have asked."
        )
    if any(row.bevel_mm > 0.0 for row in rows):
        out.append(
            "Depths marked * are from the bevelled underside: cut the bevel first, or drill that much deeper."
        )
    return tuple(out)


def _cells(row: JointRow, says: Speech) -> tuple[str, ...]:
    joint = row.joint
    x, y = joint.at_mm
    sides = "both" if joint.side == "both" else "" if x == 0.0 else "right" if x > 0.0 else "left"
    return (
        joint.kind,
        _drill(joint, says),
        f"{says.length(abs(x))} {sides}".strip(),
        says.length(y),
        f"{joint.angle_deg:g} deg"
        if row.sight_line_deg is not None
        else "upright"
        if joint.kind in ROUND
        else "",
        _sight(row, x),
        _depth(row, says),
        _left(row, says),
    )


def _drill(joint: Joint, says: Speech) -> str:
    if joint.kind == "circle":
        return f"zone {says.length(joint.diameter_mm)}"
    if joint.kind in ROUND:
        # A bit's size is its name: no fraction near it will do.
        return f"{joint.diameter_mm:g} mm" if says.units == "mm" else inch_size(joint.diameter_mm)
    if joint.kind == "bar":
        return f"{says.length(joint.length_mm)} x {says.length(joint.width_mm)}"
    return "see the plan"


def _sight(row: JointRow, x: float) -> str:
    """Return the direction of the lean in words: how far from straight forward, toward which side."""
    if row.sight_line_deg is None:
        return ""
    turn = row.sight_line_deg
    if abs(turn) < 0.05:
        return "forward"
    if abs(abs(turn) - 180.0) < 0.05:
        return "to the rear"
    if row.joint.side == "both":
        outward = turn * (1.0 if x >= 0.0 else -1.0) > 0.0
        return f"{abs(turn):.1f} deg {'outward' if outward else 'inward'}"
    return f"{abs(turn):.1f} deg {'right' if turn > 0.0 else 'left'}"


def _depth(row: JointRow, says: Speech) -> str:
    if row.depth_mm is None:
        return "through" if row.joint.kind in ROUND and row.joint.kind != "circle" else "none"
    face = "below" if row.from_below else "above"
    return f"{says.depth(row.depth_mm)} from {face}{'*' if row.bevel_mm > 0.0 else ''}"


def _left(row: JointRow, says: Speech) -> str:
    if row.left_mm is None:
        return ""
    if row.left_mm <= 0.0:
        return "! none"
    return says.depth(row.left_mm)
