"""A frame that the user gave: looked at for whether the scan bears it out, as one that was found is."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.reading.placing import (
    AsDrawn,
    Frame,
    Placing,
    RimPoints,
    checked_points,
    frame_along,
    plane_through,
)
from seatmesh.reading.pose.judged.evidence import Evidence, Plan, evidence
from seatmesh.reading.pose.judged.refusals import refuse_faults, refuse_no_rim
from seatmesh.reading.pose.judged.verdict import PoseLimits, faults
from seatmesh.reading.pose.level import levelled
from seatmesh.reading.pose.outline_fit import fit_outline, near_the_edge
from seatmesh.reading.pose.rim_planes import Rim, rim_planes
from seatmesh.reading.pose.search import FEWEST, wall
from seatmesh.reading.pose.toward import Toward
from seatmesh.reading.pose.turns import Turn
from seatmesh.wood.outline.shapes import area_mm2

OFF_MM = 3.0
"""A line on the seat is picked within this."""
PICKED_MM = 0.3
"""A point on the rim lies as near to its plane, or as the scan scatters."""


def given_pose(
    points: Floats, samples: Floats, placing: Placing, mm: float, plan: Plan, toward: Toward, where: str
) -> Evidence:
    """Return what a scan shows in the frame that was given; `mm` is the file's unit.

    Raises
    ------
    ValueRefusedError
        What was given makes no frame, or outline, deck, gutter or underside speak against it.
    """
    frames = _frames(points, samples, placing, mm, plan, where)
    # Points of a probe stop short of the edge: what is drawn in the frame need not show it.
    limits = PoseLimits(OFF_MM, 0.0 if isinstance(placing, AsDrawn) else 0.5, toward.up is None)
    judged = []
    for frame, scatter in frames:
        seen = _seen(samples, frame, scatter, plan)
        judged.append((seen, faults(seen, plan.blank, limits)))
    best, found = min(judged, key=lambda one: sum(fault.badness for fault in one[1]))
    if found:
        refuse_faults(best, found, where, given=True)
    return best


def _frames(
    points: Floats, samples: Floats, placing: Placing, mm: float, plan: Plan, where: str
) -> list[tuple[Frame, float]]:
    """Return the frames that may be meant, and the scatter of the scan's points in each."""
    if isinstance(placing, AsDrawn):
        frame = Frame(np.zeros(3), np.eye(3))
        # Only the scatter is asked for: what is drawn in the frame is not moved.
        return [(frame, levelled(points, samples, frame, 0.1, plan)[1])]
    if isinstance(placing, RimPoints):
        rim = rim_of_points(placing, points, mm)
        frame = frame_along(rim.plane, *(mm * checked_points(placing.centre_line, 2, "centre_line")))
        return [levelled(points, samples, frame, rim.scatter_mm, plan)]
    if placing.centre_line is None:
        raise ValueRefusedError(
            "placing", "RimPlane()", "allowed is one with a centre line", "leave placing out to have it found"
        )
    rear, front = mm * checked_points(placing.centre_line, 2, "centre_line")
    rims = rim_planes(points, samples, area_mm2(plan.blank.polygon_mm()))
    if not rims:
        refuse_no_rim(where)
    out: list[tuple[Frame, float]] = []
    for rim in rims:
        try:
            frame = frame_along(rim.plane, rear, front)
        except ValueRefusedError:
            # The plane with most wood on it, or the other face beside it, is the rim's.
            if rim is rims[0]:
                raise
            continue
        out.append(levelled(points, samples, frame, rim.scatter_mm, plan))
    return out


def rim_of_points(placing: RimPoints, points: Floats, mm: float) -> Rim:
    """Return the plane through points that were picked on a rim, as a scan scatters."""
    return Rim(plane_through(mm * checked_points(placing.rim, 3, "rim"), points), 1.0, PICKED_MM)


def _seen(samples: Floats, frame: Frame, scatter_mm: float, plan: Plan) -> Evidence:
    local = frame.into(samples)
    standing = local[wall(local, plan.blank), :2]
    as_it_is = Turn(0.0, np.zeros(2), 0.0)
    edge = near_the_edge(standing) if len(standing) >= FEWEST else np.zeros((0, 2))
    fit = fit_outline(edge, as_it_is, plan.blank, plan.cell_mm, scatter_mm, turns=False, shifts=False)
    return evidence(samples, frame, fit, scatter_mm, plan)
