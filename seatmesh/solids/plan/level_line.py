"""A line where a function of the plan is zero, laid into a triangulation as a chain of edges; arrays only."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.solids.plan.triangulate import edges_of, plan_area, shortest_edges

Level = Callable[[Floats, Floats], Floats]

SNAP_SHARE = 0.3
"""A free vertex this near the line, in edge lengths, is moved onto it: a cut there would leave a sliver."""

TOUCH_SHARE = 0.02
"""A vertex that may not move and is this near the line, in edge lengths, counts as lying on it."""

STEPS = 40
ZERO_MM = 1e-10
LEAST_AREA_SHARE = 0.15
"""A move is taken back where it would leave less than this share of the area of a facet round the vertex."""


def lay_in(
    points: Floats,
    faces: Ints,
    level: Level,
    fixed: Bools,
    active: Bools,
    *,
    touch_share: float = TOUCH_SHARE,
) -> tuple[Floats, Ints, Bools]:
    """Return points and faces of which no active one has the line running through it, and which points lie on it.

    Vertices near the line move onto it, edges that cross it are cut there. Points on `fixed` lines stay: their edges
    are cut only. Old points keep their numbers, new ones follow.

    Parameters
    ----------
    points, faces
        Shapes (n, 2) and (m, 3), counter-clockwise.
    level
        Function of x and y, zero on the line.
    fixed, active
        Shapes (n,): points that may not move; (m,): faces where the line counts.
    touch_share
        A vertex this near the line, in edge lengths, counts as lying on it.
    """
    points, on = _snap(points, faces, level, fixed, active)
    edges = np.unique(np.sort(edges_of(faces[active]).reshape(-1, 2), axis=1), axis=0)
    value = np.where(on, 0.0, level(*points.T))
    a, b = edges.T
    crossed = value[a] * value[b] < 0.0
    share = np.zeros(len(edges))
    share[crossed] = _crossing(level, points[a[crossed]], points[b[crossed]])
    for near, end in ((share < touch_share, a), (share > 1.0 - touch_share, b)):
        on[end[crossed & near]] = True
    crossed &= ~on[a] & ~on[b]
    cut = points[a] + share[:, None] * (points[b] - points[a])
    middle = np.full(len(edges), -1, dtype=np.int64)
    middle[crossed] = len(points) + np.arange(np.count_nonzero(crossed))
    points = np.vstack([points, cut[crossed]])
    on = np.concatenate([on, np.ones(np.count_nonzero(crossed), dtype=bool)])
    return points, _cut_faces(points, faces, edges, middle), on


def onto_line(at: Floats, level: Level, reach: Floats) -> tuple[Floats, Bools]:
    """Move points, shape (n, 2), along the slope of the level onto the line, by `reach` each at most.

    Returns the points, and which of them arrived; the others stay where they were.
    """
    step, moved = 1e-4, at.copy()
    for _ in range(4):
        x, y = moved.T
        slope = np.column_stack([
            level(x + step, y) - level(x - step, y), level(x, y + step) - level(x, y - step)
        ]) / (2.0 * step)  # fmt: skip
        steep = np.maximum(np.einsum("ij,ij->i", slope, slope), 1e-12)
        moved -= (level(x, y) / steep)[:, None] * slope
        away = moved - at
        length = np.maximum(np.linalg.norm(away, axis=1), 1e-300)
        moved = at + away * np.minimum(1.0, 2.0 * reach / length)[:, None]
    arrived = (np.linalg.norm(moved - at, axis=1) <= reach) & (np.abs(level(*moved.T)) < 1e-6)
    return np.where(arrived[:, None], moved, at), arrived


def without_flips(old: Floats, new: Floats, faces: Ints) -> Bools:
    """Tell which points, shape (n,), may move from old to new: no facet round them loses most of its area."""
    kept = np.ones(len(old), dtype=bool)
    before = plan_area(old, faces)
    while True:
        bad = plan_area(np.where(kept[:, None], new, old), faces) < LEAST_AREA_SHARE * before
        # A facet of which no vertex moves cannot be bad.
        back = np.unique(faces[bad])
        back = back[kept[back]]
        if len(back) == 0:
            return kept
        kept[back] = False


def _snap(points: Floats, faces: Ints, level: Level, fixed: Bools, active: Bools) -> tuple[Floats, Bools]:
    """Move free vertices near the line onto it; return the points and which lie on the line."""
    shortest = shortest_edges(points, faces)
    free = np.flatnonzero(~fixed & np.isin(np.arange(len(points)), faces[active]))
    new, near = points.copy(), np.zeros(len(points), dtype=bool)
    new[free], near[free] = onto_line(points[free], level, SNAP_SHARE * shortest[free])
    on = near & without_flips(points, new, faces)
    return np.where(on[:, None], new, points), on | (fixed & (level(*points.T) == 0.0))


def _crossing(level: Level, a: Floats, b: Floats) -> Floats:
    """Return where along each edge from a to b, that the line crosses, the level is zero, as a share.

    False position with halving of the end that stays (Illinois; Dowell and Jarratt 1971, from memory).
    """
    low, high = np.zeros(len(a)), np.ones(len(a))
    at_low, at_high = level(*a.T), level(*b.T)
    share = low
    for _ in range(STEPS):
        share = low - at_low * (high - low) / np.where(at_high == at_low, 1.0, at_high - at_low)
        here = level(*(a + share[:, None] * (b - a)).T)
        if np.abs(here).max(initial=0.0) < ZERO_MM:
            break
        past = np.sign(here) == np.sign(at_high)
        # The end that stays twice counts half, so that both close in.
        at_low, at_high = (
            np.where(past, 0.5 * at_low, here),
            np.where(past, here, 0.5 * at_high),
        )
        low, high = np.where(past, low, share), np.where(past, share, high)
    return np.asarray(share)


def _cut_faces(points: Floats, faces: Ints, edges: Ints, middle: Ints) -> Ints:
    """Cut faces at the new points in the middle of their edges; `middle` is -1 where there is none."""
    n = len(points)
    keys = edges[:, 0] * n + edges[:, 1]
    ends = np.sort(edges_of(faces), axis=2)
    own = ends[..., 0] * n + ends[..., 1]
    at = np.minimum(np.searchsorted(keys, own), len(keys) - 1)
    new = np.where(keys[at] == own, middle[at], -1)
    count = (new >= 0).sum(axis=1)
    parts = [faces[count == 0]]
    # Turn each face so that its cut edge, or its edge left whole, is edge 0.
    for number, target in ((1, new >= 0), (2, new < 0)):
        chosen = count == number
        turn = (np.argmax(target[chosen], axis=1)[:, None] + np.arange(3)) % 3
        corner, left, right = np.take_along_axis(faces[chosen], turn, axis=1).T
        foot, on_right, on_left = np.take_along_axis(new[chosen], turn, axis=1).T
        if number == 1:
            parts += [np.column_stack([corner, left, foot]), np.column_stack([corner, foot, right])]
        else:
            parts += [np.column_stack([corner, on_left, on_right])]
            parts += _quad(points, np.column_stack([on_left, left, right, on_right]))
    return np.vstack(parts)


def _quad(points: Floats, corners: Ints) -> list[Ints]:
    """Cut quadrilaterals along their shorter diagonal."""
    a, b, c, d = corners.T
    across = [np.linalg.norm(points[p] - points[q], axis=1) for p, q in ((a, c), (b, d))]
    first = across[0] <= across[1]
    one = np.where(first[:, None], np.column_stack([a, b, c]), np.column_stack([a, b, d]))
    other = np.where(first[:, None], np.column_stack([a, c, d]), np.column_stack([b, c, d]))
    return [one, other]
