"""The points of a scan that lie on the carved face, as depths over the plan of the blank."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.formats.scan_contents import Raw
from seatmesh.reading.pose.joint_places import JointPlaces
from seatmesh.reading.pose.samples import surface_samples
from seatmesh.reading.top_face import STEP_MM, top_facets, top_points
from seatmesh.wood.blank import Blank

EDGE_MM = 1.0
"""So near to the outline a scan sees the edge, not the face."""
EDGE_SIGMAS = 3.0
DECK_LINE_MM = 1.0
GUTTER_MM = 0.5
"""A point of the hollow lies deeper than the gutter by more."""
GUTTER_ASIDE_MM = 0.2
"""No scan places the gutter's steep sides nearer."""
ABOVE_MM = 3.0
"""Nothing of the seat stands higher above its rim."""
UNDERSIDE_MM = 2.0
CELL_MM = 2.0
LONG_MM = 16.0
"""Triangles with longer edges say more between their corners than their corners do."""
FILL_MM = 6.0
SEEN_MM = 3.0
UNCUT_MM = 0.02
"""A triangle whose corners all lie so near to the rim's plane lies on uncut wood: all of it is known."""


@dataclass(frozen=True)
class Face:
    """What a scan shows of the carved face ahead of the deck line.

    Attributes
    ----------
    x_mm, y_mm, depth_mm
        Its points, one to a cell of 2 mm, shapes (n,).
    seen_mm, seen_depth_mm
        Where the face was seen at all, shape (k, 2), and how deep it lies there, shape (k,): the points of a list, or
        places all over the triangles, so that each stands for as much of the face as any other.
    spacing_mm
        The usual distance between those.
    looking_up
        Share of its triangles, seen from above, whose corners go round counter-clockwise; None of a list.
    """

    x_mm: Floats
    y_mm: Floats
    depth_mm: Floats
    seen_mm: Floats
    seen_depth_mm: Floats
    spacing_mm: float
    looking_up: float | None = None


def carved_face(
    raw: Raw, local: Floats, blank: Blank, places: JointPlaces, spacing_mm: float, scatter_mm: float
) -> Face:
    """Return the carved face of a scan.

    Parameters
    ----------
    local
        Its points in the frame of the blank, shape (n, 3).
    places
        Where joints open: what is seen there is no face.
    spacing_mm
        The usual distance between points of a list.
    scatter_mm
        Of single points: so much more of the edge is left out, where scatter mixes face and wall.
    """
    looking_up = None
    if len(raw.faces):
        top = raw.faces[top_facets(local, raw.faces, surface_samples(local, raw.faces, STEP_MM))]
        looking_up = _looking_up(local, top)
        seen = surface_samples(local, top, SEEN_MM)
        uncut = np.all(np.abs(local[top][:, :, 2]) < UNCUT_MM, axis=1)
        points = np.vstack([_filled(local, top[~uncut], LONG_MM), _filled(local, top[uncut], FILL_MM)])
        spacing_mm = SEEN_MM
    else:
        points = seen = local[top_points(local, spacing_mm, blank)]
    edge = EDGE_MM + EDGE_SIGMAS * scatter_mm + blank.round_over_mm
    wood = shapely.Polygon(blank.polygon_mm()).buffer(-edge).difference(places.above)
    shapely.prepare(wood)
    points = points[_on_face(points, wood, blank)]
    ahead = blank.ahead_of_deck_mm(points[:, 0], points[:, 1])
    chosen = _one_a_cell(points[(ahead > DECK_LINE_MM) & ~_in_gutter(ahead, points[:, 2], blank, scatter_mm)])
    seen = _one_a_cell(seen[_on_face(seen, wood, blank)])
    return Face(
        x_mm=chosen[:, 0],
        y_mm=chosen[:, 1],
        depth_mm=-chosen[:, 2],
        seen_mm=seen[:, :2],
        seen_depth_mm=-seen[:, 2],
        spacing_mm=spacing_mm,
        looking_up=looking_up,
    )


def _looking_up(points: Floats, faces: Ints) -> float | None:
    corners = points[faces]
    along, across = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0]
    total = float(np.abs(area).sum())
    return float(area[area > 0.0].sum()) / total if total > 0.0 else None


def _in_gutter(ahead: Floats, z: Floats, blank: Blank, scatter_mm: float) -> Bools:
    """Tell which points show the gutter, which is the blank's own, not the hollow.

    Scatter moves points across the gutter's steep sides: it is taken for as much wider and deeper.
    """
    if blank.gutter_depth_mm <= 0.0:
        return np.zeros(len(z), dtype=bool)
    margin, more = gutter_margin_mm(scatter_mm), EDGE_SIGMAS * scatter_mm
    near = (ahead > -margin) & (ahead < blank.gutter_width_mm + margin)
    aside = max(more, GUTTER_ASIDE_MM)
    deep = np.max([blank.gutter_at_mm(ahead + step) for step in (-aside, 0.0, aside)], axis=0)
    return np.asarray(near & (-z < deep + GUTTER_MM + more))


def gutter_margin_mm(scatter_mm: float) -> float:
    """Return how far beside a gutter its points may be seen."""
    return DECK_LINE_MM + EDGE_SIGMAS * scatter_mm


def _on_face(points: Floats, wood: shapely.Geometry, blank: Blank) -> Bools:
    """Tell which points lie in the wood as seen from above, clear of the underside, which a hole lets through."""
    z = points[:, 2]
    own = (z < ABOVE_MM) & (z > -blank.thickness_mm)
    own[own] = shapely.contains_xy(wood, points[own, 0], points[own, 1])
    rise = blank.underside_rise_mm(points[own, 0], points[own, 1])
    own[own] = z[own] > rise - blank.thickness_mm + UNDERSIDE_MM
    return np.asarray(own)


def _filled(points: Floats, faces: Ints, long_mm: float) -> Floats:
    """Return the corners of triangles, and points inside those with an edge longer than that, shape (k, 3), mm."""
    corners = points[faces]
    sides = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1, initial=0.0)
    inside = surface_samples(points, faces[sides > long_mm], FILL_MM)
    return np.vstack([points[np.unique(faces)], inside if np.any(sides > long_mm) else points[:0]])


def _one_a_cell(points: Floats) -> Floats:
    """Return of each cell of the plan the point of middle height: neither crumb nor pit decides.

    Of an even number it is by turns the upper and the lower of the middle two.
    """
    if len(points) == 0:
        return points
    cell = np.floor(points[:, :2] / CELL_MM).astype(np.int64)
    cell -= cell.min(axis=0)
    key = cell[:, 0] * (cell[:, 1].max() + 1) + cell[:, 1]
    order = np.lexsort((points[:, 2], key))
    first = np.flatnonzero(np.diff(key[order], prepend=-1))
    count = np.diff(np.append(first, len(order)))
    return np.asarray(points[order[first + (count - np.arange(len(count)) % 2) // 2]])
