"""The edge of a blank: from the rim of its top face round over, down the wall and along the under-bevel."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from seatmesh.arrays import Floats, Ints
from seatmesh.solids.plan.inset_rings import inset, on_ring
from seatmesh.surface import Seat

CHORD_SHARE = 0.3
"""Of the tolerance, for the chords of the round along the top edge; the rest is for what runs out across it."""

SPLITS = 24
SAMPLE_MM = 0.6
"""A gutter is several times as wide."""

CORNER_SPLITS = 4
"""How often rings are halved around the one where a rounded corner of the outline becomes a sharp one."""


@dataclass(frozen=True)
class Edge:
    """Rings along the outline's right half, from rear to front end of the centre line.

    Attributes
    ----------
    at
        Where each column of points stands along the outline's right half, shape (c,): 2.25 is a quarter of
        the way from corner 2 to corner 3.
    rounded
        Rings of the round along the top edge, from the rim of the top face, left out itself, to the outline: x, y, z
        on the right, z on the left, each of shape (c, 4); none without a round.
    """

    at: Floats
    rounded: tuple[Floats, ...]


def round_over_drop(inside_mm: ArrayLike, radius_mm: float) -> Floats:
    """Return how far the round along the top edge has fallen at distances inside the outline, mm."""
    if radius_mm <= 0.0:
        return np.zeros(np.shape(inside_mm))
    left = np.clip(radius_mm - np.asarray(inside_mm), 0.0, radius_mm)
    return np.asarray(radius_mm - np.sqrt(radius_mm**2 - left**2))


def rim_ring_mm(seat: Seat) -> Floats:
    """Return the right half of the ring where the round along the top edge begins; without one the outline itself."""
    return _half(seat, seat.blank.round_over_mm, "round_over_mm")


def outline_half(seat: Seat) -> Floats:
    """Return the right half of the outline, shape (n, 2), from rear to front end of the centre line."""
    return _half(seat, 0.0, "")


def round_distances_mm(seat: Seat, tolerance_mm: float, angle_rad: float) -> Floats:
    """Return distances inside the outline, falling from the radius to 0, between which the round is a chord."""
    radius_mm = seat.blank.round_over_mm
    if radius_mm <= 0.0:
        return np.zeros(1)
    widest = min(angle_rad, 2.0 * math.acos(1.0 - min(CHORD_SHARE * tolerance_mm / radius_mm, 0.5)))
    if seat.blank.gutter_depth_mm > 0.0:
        # A gutter's steep lips run out slantwise: between rings they are drawn straight along the columns.
        widest *= 0.5
    turn = np.linspace(0.0, 0.5 * np.pi, max(2, math.ceil(0.5 * np.pi / widest)) + 1)
    distances = radius_mm * (1.0 - np.sin(turn))
    distances[-1] = 0.0
    for _ in range(CORNER_SPLITS):
        off = _off_across(seat, distances)
        split = np.flatnonzero(off > CHORD_SHARE * tolerance_mm)
        if len(split) == 0:
            break
        distances = np.insert(distances, split + 1, 0.5 * (distances[split] + distances[split + 1]))
    return _closer_at_corners(seat, distances, "round_over_mm")


def _off_across(seat: Seat, distances: Floats) -> Floats:
    """Return how far depths halfway between rings part from the mean of both, at the corners and between them."""
    at = np.arange(2.0 * len(_half(seat, 0.0, "")) - 1.0) / 2.0
    depths = [_depths(seat, on_ring(_half(seat, float(d), "round_over_mm"), at)) for d in distances]
    middles = 0.5 * (distances[1:] + distances[:-1])
    between = [_depths(seat, on_ring(_half(seat, float(d), "round_over_mm"), at)) for d in middles]
    means = 0.5 * (np.array(depths[1:]) + np.array(depths[:-1]))
    off = np.abs(np.array(between) - means)
    # A gutter that runs out between two columns is no matter of rings.
    return np.asarray(np.quantile(off.max(axis=2), 0.97, axis=1))


def _closer_at_corners(seat: Seat, distances: Floats, what: str) -> Floats:
    """Return more distances around each at which sides of the outline have shrunk to nothing."""

    def sides(distance: float) -> int:
        ring = _half(seat, distance, what)
        return int(np.any(ring[1:] != ring[:-1], axis=1).sum())

    counts = [sides(float(d)) for d in distances]
    for _ in range(CORNER_SPLITS):
        i = next((k for k in range(len(counts) - 1) if counts[k] != counts[k + 1]), None)
        if i is None:
            break
        middle = 0.5 * float(distances[i] + distances[i + 1])
        distances = np.insert(distances, i + 1, middle)
        counts.insert(i + 1, sides(middle))
    return distances


def round_columns(seat: Seat, tolerance_mm: float, angle_rad: float) -> Floats:
    """Return where columns of points across the round must stand for it to keep the tolerance, as in `Edge.at`.

    Between columns the round is straight; they are set closer until what runs out across it, such as a gutter or the
    front roll, is met within their share of the tolerance, or until they are as close as that themselves.
    """
    outline = _half(seat, 0.0, "")
    at = np.arange(float(len(outline)))
    if seat.blank.round_over_mm <= 0.0:
        return at
    distances = round_distances_mm(seat, tolerance_mm, angle_rad)
    rings = [_half(seat, float(d), "round_over_mm") for d in distances]
    limit = CHORD_SHARE * tolerance_mm
    for _ in range(SPLITS):
        length = np.linalg.norm(np.diff(on_ring(outline, at), axis=0), axis=1)
        worst = np.max([_off_between(seat, ring, at, length) for ring in rings], axis=0)
        split = np.flatnonzero((worst > limit) & (length > limit))
        if len(split) == 0:
            break
        at = np.sort(np.concatenate([at, 0.5 * (at[split] + at[split + 1])]))
    return at


def _off_between(seat: Seat, ring: Floats, at: Floats, length: Floats) -> Floats:
    """Return how far depths part from a straight line between columns, by samples `SAMPLE_MM` apart, shape (c - 1,)."""
    count = np.maximum(3, np.ceil(length / SAMPLE_MM).astype(int))
    span = np.repeat(np.arange(len(count)), count)
    share = (np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + 1.0) / (count + 1.0)[span]
    ends = _depths(seat, on_ring(ring, at))
    middle = _depths(seat, on_ring(ring, at[span] + share * np.diff(at)[span]))
    off = np.abs(middle - ends[span] - share[:, None] * np.diff(ends, axis=0)[span]).max(axis=1)
    worst = np.zeros(len(count))
    np.maximum.at(worst, span, off)
    return worst


def edge_below(seat: Seat, at: Floats, tolerance_mm: float, angle_rad: float) -> Edge:
    """Return the rings of the round below the rim of the top face, for columns that stand at `at`."""
    radius, rounded = seat.blank.round_over_mm, []
    for d in round_distances_mm(seat, tolerance_mm, angle_rad)[1:]:
        plan = on_ring(_half(seat, float(d), "round_over_mm"), at)
        rounded.append(np.column_stack([plan, -_depths(seat, plan) - round_over_drop(d, radius)]))
    return Edge(at, tuple(rounded))


def between(upper: Ints, upper_at: Floats, lower: Ints, lower_at: Floats) -> Ints:
    """Return the triangles between two chains of vertices, shape (m, 3), seen from outside.

    `upper_at` and `lower_at` say where the vertices stand, as in `Edge.at`; both begin and end alike. Equal numbers are
    one point. A quadrilateral is cut along the diagonal from the lower point behind to the upper one ahead.
    """
    facets = []
    i = j = 0
    while i + 1 < len(upper) or j + 1 < len(lower):
        down = i + 1 == len(upper) or (j + 1 < len(lower) and lower_at[j + 1] <= upper_at[i + 1])
        facets.append((upper[i], lower[j], lower[j + 1] if down else upper[i + 1]))
        i, j = (i, j + 1) if down else (i + 1, j)
    corners = np.array(facets, dtype=np.int64)
    whole = (corners != np.roll(corners, 1, axis=1)).all(axis=1)
    return np.asarray(corners[whole])


def columns_at(chain: Floats, ring: Floats) -> tuple[Floats, Ints]:
    """Return where columns stand for each vertex of a chain along a ring, and the number of the vertex of each.

    Parameters
    ----------
    chain
        Shape (n, 2): vertices along the rim, every corner of `ring` among them, to the bit.
    ring
        Shape (k, 2): a corner for each of the outline's, some in the same place.

    Returns
    -------
    at, vertex
        Shapes (c,): as in `Edge.at`; which of the chain's vertices stands there.
    """
    first: dict[tuple[float, ...], list[int]] = {}
    for i, corner in enumerate(map(tuple, ring.tolist())):
        first.setdefault(corner, []).append(i)
    at, vertex = [], []
    stops = [i for i, point in enumerate(map(tuple, chain.tolist())) if point in first]
    for start, end in pairwise(stops):
        here, there = first[tuple(chain[start].tolist())], first[tuple(chain[end].tolist())]
        at += [float(i) for i in here]
        vertex += [start] * len(here)
        run = np.linalg.norm(chain[start : end + 1] - chain[start], axis=1) / np.linalg.norm(
            chain[end] - chain[start]
        )
        for step in range(start + 1, end):
            at.append(here[-1] + float(run[step - start]) * (there[0] - here[-1]))
            vertex.append(step)
    last = first[tuple(chain[stops[-1]].tolist())]
    return np.array([*at, *(float(i) for i in last)]), np.array([*vertex, *[stops[-1]] * len(last)])


def _half(seat: Seat, distance_mm: float, what: str) -> Floats:
    polygon = seat.blank.polygon_mm()
    ring = polygon if distance_mm == 0.0 else inset(polygon, distance_mm, what)
    right = np.array(ring[: len(polygon) // 2 + 1])
    right[[0, -1], 0] = 0.0
    return right


def _depths(seat: Seat, plan: Floats) -> Floats:
    x, y = plan.T
    return np.stack([seat.depth_mm(x, y), seat.depth_mm(-x, y)], axis=-1)
