"""The points of a scan that lie on the carved face, as depths over the plan of the blank."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from seatmesh.formats.scan_contents import Raw
from seatmesh.wood.blank import Blank

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

EDGE_MM = 1.0
"""So near to the outline a scan sees the edge, not the face."""
DECK_LINE_MM = 1.0
GUTTER_MM = 0.5
"""A point of the hollow lies deeper than the gutter by more."""
ABOVE_MM = 3.0
"""Nothing of the seat stands higher above its rim."""
CELL_MM = 2.0
LONG_MM = 16.0
"""Triangles with longer edges say more between their corners than their corners do."""
STEP_MM = 6.0
UNCUT_MM = 0.02
"""A triangle whose corners all lie so near to the rim's plane lies on uncut wood: all of it is known."""
MOST_FILLED = 300_000
LEAST_UP = 0.25
"""Least share of a triangle's normal that points up or down on the carved face."""


@dataclass(frozen=True)
class Face:
    """What a scan shows of the carved face ahead of the deck line.

    Attributes
    ----------
    x_mm, y_mm, depth_mm
        Its points, one to a cell of 2 mm, shapes (n,).
    seen_mm
        Where it was seen at all, shape (k, 2): points, and places inside its triangles.
    deck_rms_mm
        How far the deck behind it lies off its plane, rms; None where none was seen.
    """

    x_mm: Floats
    y_mm: Floats
    depth_mm: Floats
    seen_mm: Floats
    deck_rms_mm: float | None


def carved_face(raw: Raw, points: Floats, blank: Blank) -> Face:
    """Return the carved face of a scan whose points, in the frame of the blank, are `points`."""
    seen = points
    if len(raw.faces):
        corners = points[raw.faces]
        across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        level = np.abs(across[:, 2]) > LEAST_UP * np.linalg.norm(across, axis=1)
        seen = sampled(points, raw.faces[level], STEP_MM)
        uncut = level & np.all(np.abs(corners[:, :, 2]) < UNCUT_MM, axis=1)
        points = np.vstack(
            [sampled(points, raw.faces[level & ~uncut], LONG_MM), sampled(points, raw.faces[uncut], STEP_MM)]
        )
    wood = shapely.Polygon(blank.polygon_mm()).buffer(-EDGE_MM - blank.round_over_mm)
    shapely.prepare(wood)
    points = points[_on_face(points, wood, blank)]
    ahead = blank.ahead_of_deck_mm(points[:, 0], points[:, 1])
    deck = points[ahead < -DECK_LINE_MM, 2]
    deck = deck[np.abs(deck) < ABOVE_MM]
    chosen = _one_a_cell(points[(ahead > DECK_LINE_MM) & ~_in_gutter(ahead, points[:, 2], blank)])
    seen = seen[_on_face(seen, wood, blank)]
    return Face(
        x_mm=chosen[:, 0],
        y_mm=chosen[:, 1],
        depth_mm=-chosen[:, 2],
        seen_mm=_one_a_cell(seen)[:, :2],
        deck_rms_mm=float(np.sqrt(np.mean(deck**2))) if len(deck) else None,
    )


def _in_gutter(ahead: Floats, z: Floats, blank: Blank) -> Bools:
    """Tell which points show the gutter, which is the blank's own, not the hollow."""
    if blank.gutter_depth_mm <= 0.0:
        return np.zeros(len(z), dtype=bool)
    near = (ahead > -DECK_LINE_MM) & (ahead < blank.gutter_width_mm + DECK_LINE_MM)
    return np.asarray(near & (-z < blank.gutter_at_mm(ahead) + GUTTER_MM))


def _on_face(points: Floats, wood: shapely.Geometry, blank: Blank) -> Bools:
    """Tell which points lie on the carved face or the deck: half of the floor separates them from the underside."""
    z = points[:, 2]
    own = (z < ABOVE_MM) & (z > -(blank.greatest_depth_mm + 0.5 * blank.floor_mm))
    own[own] = shapely.contains_xy(wood, points[own, 0], points[own, 1])
    return np.asarray(own)


def sampled(points: Floats, faces: Ints, long_mm: float) -> Floats:
    """Return the corners of triangles, and points inside those with an edge longer than that, shape (k, 3), mm."""
    corners = points[faces]
    sides = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1)
    return np.vstack([points[np.unique(faces)], _filled(corners[sides > long_mm], sides[sides > long_mm])])


def _filled(large: Floats, sides: Floats) -> Floats:
    """Return points inside triangles of which the longest sides are given, shape (k, 3)."""
    out = [np.zeros((0, 3))]
    count = 0
    steps = np.ceil(sides / STEP_MM).astype(int)
    for n in np.unique(steps):
        n_held = min(int(n), 100)
        share = np.array(
            [(i, j, n_held - i - j) for i in range(n_held + 1) for j in range(n_held + 1 - i)], dtype=float
        )
        inner = np.einsum("ki,mij->mkj", share / n_held, large[steps == n]).reshape(-1, 3)
        out.append(inner[: MOST_FILLED - count])
        count += len(out[-1])
    return np.vstack(out)


def _one_a_cell(points: Floats) -> Floats:
    """Return of each cell of the plan the point of middle height: neither crumb nor pit decides."""
    if len(points) == 0:
        return points
    cell = np.floor(points[:, :2] / CELL_MM).astype(np.int64)
    cell -= cell.min(axis=0)
    key = cell[:, 0] * (cell[:, 1].max() + 1) + cell[:, 1]
    order = np.lexsort((points[:, 2], key))
    first = np.flatnonzero(np.diff(key[order], prepend=-1))
    count = np.diff(np.append(first, len(order)))
    return np.asarray(points[order[first + count // 2]])
