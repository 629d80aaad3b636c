"""A region in triangles by Delaunay refinement: chains kept as edges, no small angle, as fine as is asked.

Points are set where triangles are too large or too flat, edges of chains are split where a point would come too near
(Ruppert 1995, J. Algorithms 18:548, from memory), many at a time; after each round Qhull makes the triangles anew.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import shapely
from scipy.spatial import Delaunay, cKDTree

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.errors import NotSolvedError
from seatmesh.solids.plan.chains import Chains
from seatmesh.solids.plan.triangulate import edges_of, plan_area

Asked = Callable[[Floats, Ints], Floats]
"""How many times over each triangle of points, shape (n, 2), misses what is asked of it."""

LEAST_ANGLE_DEG = 22.0
"""In the plan; above 20.7 degrees no proof says that refinement ends, but it does up to some 30."""

SHORTEST_MM = 0.02
"""Edges of chains are not split below, triangles not made better whose shortest edge is shorter."""

ROUNDS = 120
LEAST_AREA_MM2 = 1e-9
APART = 0.7
"""Least distance of two points set in one round, in the greater radius of the circles round their triangles."""

NEIGHBOURS = 8


@dataclass(frozen=True)
class Filled:
    """A region in triangles.

    Attributes
    ----------
    points, faces
        Shapes (n, 2) and (m, 3), counter-clockwise; points of chains that were given come first.
    edges
        Shape (k, 2): the chains' edges, all of them edges of faces.
    at, twin
        Shapes (k, 2) and (k,): where along their courses both ends stand, and twins, as in `Chains`.
    """

    points: Floats
    faces: Ints
    edges: Ints
    at: Floats
    twin: Ints


def refined(
    chains: Chains,
    region: shapely.Geometry,
    inner: Floats,
    asked: Asked | None = None,
    *,
    least_angle_deg: float = LEAST_ANGLE_DEG,
    most_facets: int = 1_000_000,
) -> tuple[Filled, float]:
    """Fill a region; return its triangles and how many times over the worst of them misses what is asked, at most 1.

    `inner` are points to begin with, shape (j, 2), clear of the chains.

    Raises
    ------
    NotSolvedError
        Chains run so close together that no triangles have them as edges.
    """
    points = np.vstack([chains.points, inner])
    shapely.prepare(region)
    known = _Known(asked)
    excess = np.zeros(0)
    for _ in range(ROUNDS):
        faces = _inside(points, region)
        missing, close = _encroached(points, faces, chains)
        excess = known.excess(points, faces)
        length = np.linalg.norm(points[chains.edges[:, 0]] - points[chains.edges[:, 1]], axis=1)
        split = missing | (close & (length > 2.0 * SHORTEST_MM))
        if len(faces) > most_facets or np.any(missing & (length < 1e-3 * SHORTEST_MM)):
            break
        new, wanted = _new_points(points, faces, excess, chains, region, least_angle_deg)
        split = chains.with_twins(split | (wanted & (length > 2.0 * SHORTEST_MM)))
        if not split.any() and len(new) == 0:
            break
        points = np.vstack([points, new])
        if split.any():
            chains, points = chains.split(split, points)
    if missing.any():
        raise NotSolvedError(
            f"no triangles along the outline and the lines of its top face after {ROUNDS} rounds of splitting: two run "
            "too close together; move the deck line or the front roll, or give a simpler outline."
        )
    return _without_unused(Filled(points, faces, chains.edges, chains.at, chains.twin)), float(
        excess.max(initial=0.0)
    )


class _Known:
    """What was asked of triangles once is not asked again: most are left as they are in a round."""

    def __init__(self, asked: Asked | None) -> None:
        self._asked = asked
        self._keys, self._excess = np.zeros(0, dtype=np.int64), np.zeros(0)

    def excess(self, points: Floats, faces: Ints) -> Floats:
        if self._asked is None:
            return np.zeros(len(faces))
        a, b, c = np.sort(faces, axis=1).T
        keys = (a << 42) + (b << 21) + c
        at = np.minimum(np.searchsorted(self._keys, keys), max(len(self._keys) - 1, 0))
        old = self._keys[at] == keys if len(self._keys) else np.zeros(len(keys), dtype=bool)
        out = np.empty(len(keys))
        out[old] = self._excess[at[old]]
        if not old.all():
            out[~old] = self._asked(points, faces[~old])
        order = np.argsort(keys)
        self._keys, self._excess = keys[order], out[order]
        return out


def _inside(points: Floats, region: shapely.Geometry) -> Ints:
    faces = Delaunay(points).simplices.astype(np.int64)
    area = plan_area(points, faces)
    faces[area < 0.0] = faces[area < 0.0, ::-1]
    faces = faces[np.abs(area) > LEAST_AREA_MM2]
    middle = points[faces].mean(axis=1)
    return np.asarray(faces[shapely.contains_xy(region, middle[:, 0], middle[:, 1])])


def _encroached(points: Floats, faces: Ints, chains: Chains) -> tuple[Bools, Bools]:
    """Tell which edges of chains are no edges of faces, and which see the corner across at more than 90 degrees."""
    n = len(points)
    ends = np.sort(edges_of(faces).reshape(-1, 2), axis=1)
    keys = ends[:, 0] * n + ends[:, 1]
    order = np.argsort(keys)
    keys, apex = keys[order], faces.ravel()[order]
    own = np.sort(chains.edges, axis=1)
    wanted = own[:, 0] * n + own[:, 1]
    first, last = np.searchsorted(keys, wanted, side="left"), np.searchsorted(keys, wanted, side="right")
    missing, close = first == last, np.zeros(len(wanted), dtype=bool)
    for at in (first, last - 1):
        corner = points[apex[np.clip(at, 0, len(apex) - 1)]]
        a, b = points[own[:, 0]] - corner, points[own[:, 1]] - corner
        close |= ~missing & (np.einsum("ij,ij->i", a, b) < 0.0)
    return missing, close


def _new_points(
    points: Floats, faces: Ints, excess: Floats, chains: Chains, region: shapely.Geometry, least_deg: float
) -> tuple[Floats, Bools]:
    """Return points to set, and which edges of chains are to be split because one would come too near."""
    none = np.zeros(len(chains.edges), dtype=bool)
    sides = points[edges_of(faces)]
    length = np.linalg.norm(sides[:, :, 0] - sides[:, :, 1], axis=-1)
    shortest = length.min(axis=1)
    radius = length.prod(axis=1) / (4.0 * plan_area(points, faces))
    # Sine rule: the shortest side lies opposite the smallest angle.
    flat = shortest < 2.0 * radius * math.sin(math.radians(least_deg))
    flat &= (shortest > SHORTEST_MM) & ~_in_corners(faces, length, chains)
    chosen = np.flatnonzero(flat | ((excess > 1.0) & (length.max(axis=1) > SHORTEST_MM)))
    if len(chosen) == 0:
        return np.zeros((0, 2)), none
    at, reach = _centres(points[faces[chosen]], shortest[chosen], radius[chosen], flat[chosen], least_deg)
    near, wanted = _too_near(at, points, chains)
    inside = shapely.contains_xy(region, at[:, 0], at[:, 1])
    at, reach = at[~near & inside], reach[~near & inside]
    return at[_apart(at, reach)], wanted


def _in_corners(faces: Ints, length: Floats, chains: Chains) -> Bools:
    """Tell which faces lie in an acute corner of chains, shape (m,): nothing makes their angle there any larger."""
    n = int(max(faces.max(), chains.edges.max())) + 1
    own = np.sort(chains.edges, axis=1)
    keys = np.sort(own[:, 0] * n + own[:, 1])
    ends = np.sort(edges_of(faces), axis=2)
    of = ends[..., 0] * n + ends[..., 1]
    kept = keys[np.minimum(np.searchsorted(keys, of), len(keys) - 1)] == of
    smallest = np.argmin(length, axis=1)[:, None]
    other = np.arange(3)[None, :] != smallest
    return np.asarray((kept | ~other).all(axis=1))


def _centres(
    corners: Floats, shortest: Floats, radius: Floats, flat: Bools, least_deg: float
) -> tuple[Floats, Floats]:
    """Return where to set a point for each triangle, and how far from its corners that is.

    The middle of the circle round it, or of flat ones, if that is nearer, the place from which their shortest side is
    seen at a good angle (off-centres: Uengoer 2004, LATIN, LNCS 2976:152, from memory).
    """
    a, b, c = (corners[:, i] for i in range(3))
    u, v = b - a, c - a
    twice = 2.0 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
    uu, vv = np.einsum("ij,ij->i", u, u), np.einsum("ij,ij->i", v, v)
    offset = np.column_stack([v[:, 1] * uu - u[:, 1] * vv, u[:, 0] * vv - v[:, 0] * uu]) / twice[:, None]
    centre = a + offset
    rows = np.arange(len(corners))
    ends = edges_of(np.array([[0, 1, 2]]))[0]
    sides = corners[:, ends]
    least = np.argmin(((sides[:, :, 0] - sides[:, :, 1]) ** 2).sum(axis=-1), axis=1)
    middle = sides[rows, least].mean(axis=1)
    away = centre - middle
    far = np.maximum(np.linalg.norm(away, axis=1), 1e-300)
    # A little more than the least angle, so that the new triangle passes.
    height = 0.5 * shortest / math.tan(0.5 * math.radians(1.05 * least_deg))
    nearer = flat & (far > height)
    at = np.where(nearer[:, None], middle + away * np.minimum(1.0, height / far)[:, None], centre)
    return at, np.where(nearer, np.hypot(height, 0.5 * shortest), radius)


def _too_near(at: Floats, points: Floats, chains: Chains) -> tuple[Bools, Bools]:
    """Tell which places lie in the circle over an edge of a chain, and over which edges some do."""
    ends = points[chains.edges]
    middle, half = ends.mean(axis=1), 0.5 * np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1)
    near, wanted = np.zeros(len(at), dtype=bool), np.zeros(len(half), dtype=bool)
    size = np.floor(np.log2(half)).astype(int)
    for one in np.unique(size):
        own = np.flatnonzero(size == one)
        k = min(3, len(own))
        away, which = cKDTree(middle[own]).query(at, k=k, distance_upper_bound=2.0 ** (one + 1))
        away, which = np.reshape(away, (len(at), k)), np.reshape(which, (len(at), k))
        found = which < len(own)
        hit = found & (away < half[own][np.where(found, which, 0)])
        near |= hit.any(axis=1)
        wanted[own[which[hit]]] = True
    return near, wanted


def _apart(at: Floats, reach: Floats) -> Bools:
    """Tell which of the places to set in one round: none too near to one with a greater reach."""
    if len(at) < 2:
        return np.ones(len(at), dtype=bool)
    rank = np.empty(len(at))
    rank[np.lexsort((at[:, 1], at[:, 0], -reach))] = np.arange(len(at))
    away, other = cKDTree(at).query(at, k=min(NEIGHBOURS + 1, len(at)))
    away, other = np.asarray(away)[:, 1:], np.asarray(other)[:, 1:]
    clash = away < APART * np.maximum(reach[:, None], reach[other])
    state = np.zeros(len(at), dtype=int)
    while np.any(open_ := state == 0):
        first = open_ & ~np.any(clash & (state[other] == 0) & (rank[other] < rank[:, None]), axis=1)
        state[first] = 1
        # A clash may be noted on one of its two sides only.
        hit = other[first][clash[first]]
        state[hit[state[hit] == 0]] = -1
        state[(state == 0) & np.any(clash & (state[other] == 1), axis=1)] = -1
    return np.asarray(state == 1)


def _without_unused(filled: Filled) -> Filled:
    used, renumbered = np.unique(filled.faces, return_inverse=True)
    place = np.full(len(filled.points), -1, dtype=np.int64)
    place[used] = np.arange(len(used))
    faces = renumbered.reshape(filled.faces.shape)
    return replace(filled, points=filled.points[used], faces=faces, edges=place[filled.edges])
