"""Points all over the surface of a scan, close enough together that nothing of a seat slips between them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

STEP_MM = 3.0
MOST = 600_000
MOST_POSED = 500_000
SEED = 11


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


def thinned(points: Floats, most: int = MOST_POSED) -> Floats:
    """Return no more than so many of the points, drawn with a fixed seed."""
    if len(points) <= most:
        return points
    chosen = np.random.default_rng(SEED).choice(len(points), most, replace=False)
    return np.asarray(points[np.sort(chosen)])
