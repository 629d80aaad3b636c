"""Where joints open in the plan: what a scan shows there is no face, and holes that are there tell how it lies."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from seatmesh.wood.blank import Blank
from seatmesh.wood.joint_cuts import Hole, Housing, joint_cuts

CLEAR_MM = 2.0
INSIDE_MM = 2.0


@dataclass(frozen=True)
class JointPlaces:
    """The joints of a blank in its plan.

    Attributes
    ----------
    above, below
        Areas that openings in the top face and in the underside may take, a little more.
    open_above, open_below
        Areas of those openings that are open in any case, a little less.
    """

    above: shapely.Geometry
    below: shapely.Geometry
    open_above: shapely.Geometry
    open_below: shapely.Geometry


def joint_places(blank: Blank) -> JointPlaces:
    """Return where the joints of a blank open."""
    above: list[shapely.Geometry] = []
    below: list[shapely.Geometry] = []
    open_above: list[shapely.Geometry] = []
    open_below: list[shapely.Geometry] = []
    for cut in joint_cuts(blank):
        if isinstance(cut, Housing):
            below.append(shapely.Polygon(cut.corners_mm).buffer(CLEAR_MM))
            open_below.append(shapely.Polygon(cut.corners_mm).buffer(-INSIDE_MM))
            continue
        for side, wide, sure in (("top", above, open_above), ("underside", below, open_below)):
            if cut.side == side or cut.depth_mm is None:
                path = _path(cut, blank, -blank.thickness_mm if side == "underside" else 0.0)
                wide.append(path.buffer(_half_width(cut) + CLEAR_MM))
            if cut.side == side:
                foot = shapely.Point(cut.x_mm, cut.y_mm)
                sure.append(foot.buffer(max(0.5 * cut.diameter_mm - INSIDE_MM, 0.5)))
    joined = [shapely.union_all(one) for one in (above, below, open_above, open_below)]
    for one in joined:
        shapely.prepare(one)
    return JointPlaces(*joined)


def _half_width(hole: Hole) -> float:
    return float(0.5 * hole.diameter_mm / max(abs(hole.outward[2]), 0.5))


def _path(hole: Hole, blank: Blank, level_mm: float) -> shapely.Geometry:
    """Return the stretch of the plan that a hole's axis passes over between a face and the deepest hollow below it."""
    start_z = (
        hole.face_z_mm if hole.face_z_mm is not None else (0.0 if hole.side == "top" else -blank.thickness_mm)
    )
    slope = hole.outward[:2] / hole.outward[2]
    reach = -blank.greatest_depth_mm if level_mm == 0.0 else level_mm + blank.under_bevel_height_mm
    ends = [np.array([hole.x_mm, hole.y_mm]) + (z - start_z) * slope for z in (level_mm, reach)]
    return shapely.LineString(ends) if np.any(ends[0] != ends[1]) else shapely.Point(ends[0])
