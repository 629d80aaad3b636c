"""Points all over the surface of a scan, close enough together that nothing of a seat slips between them."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats, Ints

STEP_MM = 3.0
MOST = 600_000
MOST_POSED = 250_000
SEED = 11
MOST_BORDER = 0.8
"""Greatest share of a mesh's sides that can be its border."""


def surface_samples(points: Floats, faces: Ints, step_mm: float = STEP_MM) -> Floats:
    """Return points inside all triangles, no farther apart than about a step, shape (n, 3); of a list, its points.

    Of a mesh so large that they would be too many the step is widened.
    """
    return facet_samples(points, faces, step_mm)[0] if len(faces) else points


def facet_samples(points: Floats, faces: Ints, step_mm: float) -> tuple[Floats, Ints]:
    """Return points inside all triangles, shape (n, 3), and which of the triangles each lies in, shape (n,)."""
    corners = points[faces]
    sides = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2)
    longest = np.argmax(sides, axis=1)
    row = np.arange(len(faces))
    # Along the longest side, and across it up to the third corner.
    start, end = corners[row, longest], corners[row, (longest + 1) % 3]
    apex = corners[row, (longest + 2) % 3]
    length = sides[row, longest]
    area = np.linalg.norm(np.cross(end - start, apex - start), axis=1)
    height = area / np.maximum(length, 1e-12)
    while True:
        along = np.maximum(1, np.ceil(length / step_mm)).astype(np.int64)
        across = np.maximum(1, np.ceil(height / step_mm)).astype(np.int64)
        if step_mm > 20.0 or np.sum(along * across) <= max(MOST, 2 * len(faces)):
            break
        step_mm *= 1.3
    count = along * across
    facet = np.repeat(row, count)
    place = np.arange(len(facet)) - np.repeat(np.cumsum(count) - count, count)
    up = (place // along[facet] + 0.5) / across[facet]
    side = (place % along[facet] + 0.5) / along[facet]
    foot = start[facet] + side[:, None] * (end - start)[facet]
    return np.asarray(foot + up[:, None] * (apex[facet] - foot)), facet


def border_samples(points: Floats, faces: Ints, step_mm: float = STEP_MM) -> Floats:
    """Return points along the border of an open mesh, shape (n, 3), where samples inside its triangles stop short.

    Of triangles that share no corners every side would be border: then there are none.
    """
    sides = np.sort(np.vstack([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1)
    key, first, count = np.unique(
        sides[:, 0] * len(points) + sides[:, 1], return_index=True, return_counts=True
    )
    border = sides[first[count == 1]]
    if len(border) == 0 or len(border) > MOST_BORDER * len(key):
        return points[:0]
    start, end = points[border[:, 0]], points[border[:, 1]]
    steps = np.maximum(1, np.ceil(np.linalg.norm(end - start, axis=1) / step_mm)).astype(np.int64)
    side = np.repeat(np.arange(len(border)), steps)
    share = (np.arange(len(side)) - np.repeat(np.cumsum(steps) - steps, steps)) / steps[side]
    return np.asarray(start[side] + share[:, None] * (end - start)[side])


def thinned(points: Floats, most: int = MOST_POSED) -> Floats:
    """Return no more than so many of the points, drawn with a fixed seed."""
    if len(points) <= most:
        return points
    chosen = np.random.default_rng(SEED).choice(len(points), most, replace=False)
    return np.asarray(points[np.sort(chosen)])
