"""The underside of a blank in triangles: flat, and along the outline the under-bevel."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.errors import NotSolvedError
from seatmesh.solids.facet_fit import SAMPLED_SHARE, SAMPLES
from seatmesh.solids.plan.chains import chains_of
from seatmesh.solids.plan.inset_rings import inset
from seatmesh.solids.plan.kept_lines import kept_lines
from seatmesh.solids.plan.plan_mesh import inner_points
from seatmesh.solids.plan.refine import Filled, refined
from seatmesh.solids.plan.triangulate import border, rooms
from seatmesh.wood.blank import Blank

SPACING_MM = 30.0
RIDGE_DEG = 8.0
"""Two sides of a bevel that meet at a greater turn in the plan have an edge between them."""

STEPS = 48
OVER_MM = 0.5
"""How far a ridge is drawn beyond its ends, so that it meets the lines there."""

INSIDE_MM = 1e-6


@dataclass(frozen=True)
class Underside:
    """The right half of the underside.

    Attributes
    ----------
    points, faces
        Shapes (n, 3), mm, and (m, 3), clockwise seen from above: outward.
    """

    points: Floats
    faces: Ints


def underside(blank: Blank, tolerance_mm: float) -> Underside:
    """Return the underside's right half; each corner of the outline is a vertex, on the foot of the wall.

    Raises
    ------
    ValueRefusedError
        The outline has no room for the bevel.
    NotSolvedError
        The tolerance was not reached within the limits of refinement.
    """
    outline = _right(blank.polygon_mm())
    region = shapely.Polygon(outline)
    flat = (
        _right(inset(blank.polygon_mm(), blank.under_bevel_width_mm, "under_bevel_width_mm"))
        if blank.has_bevel
        else None
    )
    lines = (flat,) if flat is not None else ()
    off = max(0.008, 0.03 * tolerance_mm)
    ridges = list(_ridges(blank)) if blank.has_bevel else []
    kept = kept_lines(outline, lines, ridges, lambda _: True, off)
    chains = chains_of(kept, SPACING_MM)
    inside = shapely.Polygon(flat) if flat is not None else region
    shapely.prepare(inside)

    def rise(plan: Floats) -> Floats:
        return np.asarray(blank.underside_rise_mm(plan[:, 0], plan[:, 1]))

    def asked(plan: Floats, faces: Ints) -> Floats:
        out, sloping = np.zeros(len(faces)), ~_middles_in(inside, plan, faces)
        corners = plan[faces[sloping]]
        used, numbers = np.unique(faces[sloping], return_inverse=True)
        high = rise(plan[used])[numbers.reshape(-1, 3)]
        at = np.einsum("ki,mij->mkj", SAMPLES, corners)
        true = rise(at.reshape(-1, 2)).reshape(at.shape[:2])
        out[sloping] = np.abs(true - high @ SAMPLES.T).max(axis=1) / (SAMPLED_SHARE * tolerance_mm)
        return out

    filled, worst = refined(
        chains, region, inner_points(outline, chains, SPACING_MM), asked if blank.has_bevel else None
    )
    if worst > 1.0:
        raise NotSolvedError("the under-bevel was not met within the tolerance; give a coarser one.")
    return Underside(_raised(blank, filled, inside), filled.faces[:, ::-1])


def _raised(blank: Blank, filled: Filled, flat: shapely.Polygon) -> Floats:
    """Return the points with their heights, exact on the flat and at the foot of the wall."""
    plan = filled.points
    high = np.zeros(len(plan))
    if blank.has_bevel:
        high = np.array(blank.underside_rise_mm(plan[:, 0], plan[:, 1]))
        high[_foot(filled)] = blank.under_bevel_height_mm
        room = rooms(filled.faces, filled.edges)
        within = _middles_in(flat, plan, filled.faces)
        level = np.bincount(room, within) > 0.5 * np.bincount(room)
        high[np.unique(filled.faces[level[room]])] = 0.0
    return np.column_stack([plan, high - blank.thickness_mm])


def _foot(filled: Filled) -> Ints:
    """Return the numbers of points on the border of the right half, off the centre line or at its ends."""
    edges = border(filled.faces)
    return np.unique(edges[np.any(filled.points[edges, 0] > 0.0, axis=1)])


def _middles_in(area: shapely.Polygon, plan: Floats, faces: Ints) -> Bools:
    middle = plan[faces].mean(axis=1)
    return np.asarray(shapely.contains_xy(area, middle[:, 0], middle[:, 1]))


def _right(polygon: Floats) -> Floats:
    right = np.array(polygon[: len(polygon) // 2 + 1])
    right[[0, -1], 0] = 0.0
    return np.asarray(right[np.append(True, np.any(right[1:] != right[:-1], axis=1))])


def _ridges(blank: Blank) -> Iterator[Floats]:
    """Yield the lines in the plan along which sides of a bevel meet, each of shape (n, 2), drawn over at both ends."""
    polygon, width = blank.polygon_mm(), blank.under_bevel_width_mm
    distances = np.linspace(0.0, width, STEPS + 1)
    count = len(polygon) // 2 + 1
    rings = np.array([inset(polygon, float(d), "under_bevel_width_mm") if d else polygon for d in distances])[
        :, :count
    ]
    sharp = np.array([_turns(ring) > np.radians(RIDGE_DEG) for ring in rings])
    done: set[tuple[float, ...]] = set()
    for i in np.flatnonzero(sharp[-1] & (rings[-1][:, 0] > INSIDE_MM)):
        key = tuple(np.round(rings[-1, i], 6).tolist())
        if key in done:
            continue
        done.add(key)
        since = int(np.flatnonzero(~sharp[:, i])[-1]) + 1 if not sharp[:, i].all() else 0
        line = rings[since:, i]
        line = line[np.append(True, np.linalg.norm(np.diff(line, axis=0), axis=1) > INSIDE_MM)]
        if len(line) > 1:
            ways = [a / np.linalg.norm(a) for a in (line[0] - line[1], line[-1] - line[-2])]
            yield np.vstack([line[0] + OVER_MM * ways[0], line, line[-1] + OVER_MM * ways[1]])


def _turns(ring: Floats) -> Floats:
    """Return by how much a chain turns at each point, zero at its ends, shape (n,); points in one place turn as one."""
    new = np.append(True, np.linalg.norm(np.diff(ring, axis=0), axis=1) > INSIDE_MM)
    along = np.diff(ring[new], axis=0)
    way = np.arctan2(along[:, 1], along[:, 0])
    turn = np.abs((np.diff(way) + np.pi) % (2.0 * np.pi) - np.pi)
    return np.asarray(np.concatenate([[0.0], turn, [0.0]])[np.cumsum(new) - 1])
