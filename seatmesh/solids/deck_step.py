"""Steps of the top face: an upright strip where what is carved begins lower than the wood beside it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.solids.plan.triangulate import border, has_edges

STEP_WIDTH_MM = 0.002
"""How far the foot of a step lies beside its head: a wall all but upright."""

Below = Callable[[Ints, Floats], Floats]
"""Heights below a step, shape (k, 2), at vertices and at places beside them, shapes (k,) and (k, 2)."""


def with_step(
    vertices: Floats, faces: Ints, head: Bools, below: Below, least_mm: float
) -> tuple[Floats, Ints, Ints, Ints]:
    """Close the step between some faces and those beside them, wherever it is higher than `least_mm`.

    The foot of the step lies `STEP_WIDTH_MM` off its head, so that the solid's plan covers each place once.

    Parameters
    ----------
    vertices, faces
        Shapes (n, 4): x, y, z on the right and on the left; (m, 3), with heights as they are above the step.
    head
        Shape (m,): which faces lie above it.

    Returns
    -------
    vertices, faces, strip
        With the strip's faces behind; their shape (s, 3) also alone.
    same
        Shape (n, 2): which vertex each is on the right and on the left. A step that only one side has is closed on the
        other: there its foot is its head.
    """
    number = np.arange(len(vertices))
    if not head.any() or head.all():
        return vertices, faces, faces[:0], np.column_stack([number, number])
    foot = np.intersect1d(faces[head], faces[~head])
    drops = vertices[foot, 2:] - below(foot, vertices[foot, :2]) > least_mm
    stepped, drops = foot[drops.any(axis=1)], drops[drops.any(axis=1)]
    number[stepped] = len(vertices) + np.arange(len(stepped))
    moved = vertices[stepped].copy()
    moved[:, :2] += STEP_WIDTH_MM * _off_head(vertices, faces, head, stepped)
    moved[:, 2:] = below(stepped, moved[:, :2])
    edges = border(faces[head])
    a, b = edges[has_edges(faces[~head], edges)].T
    strip = np.vstack([np.column_stack([b, a, number[a]]), np.column_stack([b, number[a], number[b]])])
    strip = strip[(strip[:, 0] != strip[:, 2]) & (strip[:, 1] != strip[:, 2])]
    out = faces.copy()
    out[~head] = number[faces[~head]]
    feet = np.where(drops, number[stepped][:, None], stepped[:, None])
    every = np.arange(len(vertices))
    same = np.vstack([np.column_stack([every, every]), feet])
    return np.vstack([vertices, moved]), np.vstack([out, strip]), strip, same


def _off_head(vertices: Floats, faces: Ints, head: Bools, at: Ints) -> Floats:
    """Return unit vectors off the faces above a step at its vertices: along the border where they lie on it."""
    ends = border(faces)
    inner = border(faces[~head])
    beside = has_edges(faces[head], inner)
    rim = {tuple(edge) for edge in ends.tolist()}
    # Along the border of what lies below, whose triangles lie on its left: one edge in, one out.
    follows, leads = {}, {}
    for a, b in [*inner[~beside].tolist(), *inner[beside].tolist()]:
        follows[a], leads[b] = b, a
    out = np.zeros((len(at), 2))
    for row, i in enumerate(at.tolist()):
        before, after = leads[i], follows[i]
        arms = vertices[[before, after], :2] - vertices[i, :2]
        arms /= np.linalg.norm(arms, axis=1)[:, None]
        if (before, i) in rim:
            out[row] = arms[0]
        elif (i, after) in rim:
            out[row] = arms[1]
        else:
            across = np.array([-(arms[1] - arms[0])[1], (arms[1] - arms[0])[0]])
            out[row] = across / np.linalg.norm(across)
    return out
