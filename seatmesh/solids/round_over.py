"""The round along the top edge: rings inside the outline, side by side, with points no closer than they need be."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import partial
from itertools import pairwise

import numpy as np

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.solids.edge import half_ring_mm
from seatmesh.solids.gutter_rows import gutter_rows_mm
from seatmesh.solids.plan.hollows_edge import edge_levels
from seatmesh.solids.plan.inset_rings import on_ring
from seatmesh.solids.plan.level_line import Level
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.round_over import round_over_drop

CHORD_SHARE = 0.3
"""Of the tolerance, for the chords of the round along the top edge; the rest is for what runs out across it."""

CLOSEST, WIDEST = 0.5, 3.5
"""Least and greatest distance of points along a ring, in distances of neighbouring rings over the round."""

SPLITS = 8
SAMPLES = 5
TURN_RAD = math.radians(20.0)
"""A corner of the outline that turns by more has an edge down the round."""

LEAST_TURN_RAD = math.radians(2.0)
FAR_MM = 8.0
"""Farther apart no line crosses two rings side by side."""

STEPS_MM = 0.5
SAME_MM = 1e-3
BEYOND_MM = 1e-6
"""How far beyond the ring on which the first side has shrunk to nothing it is sure that all like it have."""


@dataclass(frozen=True)
class RoundRing:
    """One ring of the round.

    Attributes
    ----------
    at
        Where its points stand along the outline's right half, shape (c,): 2.25 is a quarter of the way from corner
        2 to corner 3.
    points
        Shape (c, 4): x, y, z on the right, z on the left, mm.
    crossings, lines
        Where lines of the top face cross the ring, as in `at`, and the number of each line.
    """

    at: Floats
    points: Floats
    crossings: Floats
    lines: Ints

    def beside(self, other: RoundRing) -> Floats:
        """Return where its points stand along another ring, shape (c,): lines that cross both run from ring to ring."""
        same = SequenceMatcher(None, self.lines.tolist(), other.lines.tolist(), autojunk=False)
        blocks = [(one.a, one.b, one.size) for one in same.get_matching_blocks()]
        own, there = (
            np.concatenate([self_or[start : start + n] for start, n in spans])
            for self_or, spans in (
                (self.crossings, [(a, n) for a, _, n in blocks]),
                (other.crossings, [(b, n) for _, b, n in blocks]),
            )
        )
        # A line that crosses one ring more often than the other may have been taken for another stretch of itself.
        apart = np.hypot(*(self._plan(own) - other._plan(there)).T)
        own, there = own[apart <= FAR_MM], there[apart <= FAR_MM]
        # Corners of the outline stand beside themselves, wherever no line crosses them between the two rings.
        corners = np.arange(float(self.at[-1]) + 1.0)
        free = np.searchsorted(own, corners) == np.searchsorted(there, corners)
        free &= ~np.isin(corners, own) & ~np.isin(corners, there)
        here, yonder = (np.sort(np.concatenate([one, corners[free]])) for one in (own, there))
        return np.asarray(np.interp(self.at, here, yonder))

    def _plan(self, at: Floats) -> Floats:
        return np.column_stack([np.interp(at, self.at, self.points[:, i]) for i in (0, 1)])


def rim_ring_mm(seat: Seat, tolerance_mm: float, angle_rad: float) -> Floats:
    """Return the right half of the rim of the top face, shape (n, 2): where the round begins, else the outline.

    Its points are no farther apart than those of the ring beside it are wished to be.
    """
    radius = seat.blank.round_over_mm
    ring = half_ring_mm(seat, radius)
    ring = np.asarray(ring[np.append(True, np.any(ring[1:] != ring[:-1], axis=1))])
    if radius <= 0.0:
        return ring
    widest = WIDEST * radius * float(np.diff(_turns(seat, tolerance_mm, angle_rad)).max())
    parts = np.ceil(np.linalg.norm(np.diff(ring, axis=0), axis=1) / widest).astype(int)
    return on_ring(
        ring, np.concatenate([*(i + np.arange(n) / n for i, n in enumerate(parts)), [len(ring) - 1.0]])
    )


def _turns(seat: Seat, tolerance_mm: float, angle_rad: float) -> Floats:
    """Return the angles of the quarter circle at which rings lie: evenly before and after that of sharp corners."""
    radius = seat.blank.round_over_mm
    widest = min(angle_rad, 2.0 * math.acos(1.0 - min(CHORD_SHARE * tolerance_mm / radius, 0.5)))
    stops = [0.0, *_turn_of_corners(seat), 0.5 * np.pi]
    parts = [
        np.linspace(a, b, max(1, math.ceil((b - a) / widest)), endpoint=False) for a, b in pairwise(stops)
    ]
    return np.append(np.concatenate(parts), 0.5 * np.pi)


def _turn_of_corners(seat: Seat) -> tuple[float, ...]:
    """Return the angle of the quarter circle at which rounded corners of the outline first become sharp, if they do."""
    radius = seat.blank.round_over_mm

    def sides(distance: float) -> int:
        ring = half_ring_mm(seat, distance)
        return int(np.any(ring[1:] != ring[:-1], axis=1).sum())

    high, low = radius, 0.0
    if sides(high) == sides(low):
        return ()
    for _ in range(50):
        middle = 0.5 * (high + low)
        high, low = (middle, low) if sides(middle) < sides(0.0) else (high, middle)
    turn = math.asin(1.0 - min((high + BEYOND_MM) / radius, 1.0))
    return (turn,) if turn > LEAST_TURN_RAD else ()


def round_rings(seat: Seat, tolerance_mm: float, angle_rad: float) -> tuple[RoundRing, ...]:
    """Return the rings of the round from the rim of the top face to the outline; none without a round."""
    radius = seat.blank.round_over_mm
    if radius <= 0.0:
        return ()
    turn = _turns(seat, tolerance_mm, angle_rad)
    distances = radius * (1.0 - np.sin(turn))
    distances[-1] = 0.0
    spacing, limit = radius * float(np.diff(turn).max()), CHORD_SHARE * tolerance_mm
    lines = _lines(seat, tolerance_mm, angle_rad)
    return tuple(_ring(seat, float(d), spacing, limit, lines) for d in distances)


def _ring(seat: Seat, distance: float, spacing: float, limit: float, lines: Sequence[Level]) -> RoundRing:
    ring = half_ring_mm(seat, distance)
    crossings, numbers = _crossings(ring, lines)
    kept = np.zeros(len(ring), dtype=bool)
    kept[[0, -1]] = True
    kept |= _sharp(ring) if distance > 0.0 else np.ones(len(ring), dtype=bool)
    along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(ring, axis=0), axis=1)))
    corner = np.arange(float(len(ring)))
    at = _thinned(along, kept, crossings, spacing)
    for _ in range(SPLITS):
        points = _points(seat, ring, at, distance)
        length = np.linalg.norm(np.diff(points[:, :3], axis=0), axis=1)
        off = _off_between(seat, ring, at, points, distance)
        split = (length > WIDEST * spacing) | ((off > limit) & (length > 2.0 * CLOSEST * spacing))
        if not split.any():
            break
        # Halfway along the ring: of a rounded corner that has become one point many places are the same.
        places = np.interp(at, corner, along)
        at = np.sort(np.concatenate([at, np.interp(0.5 * (places[:-1] + places[1:])[split], along, corner)]))
    return RoundRing(at, _points(seat, ring, at, distance), crossings, numbers)


def _thinned(along: Floats, kept: Bools, crossings: Floats, spacing: float) -> Floats:
    """Return where the points of a ring stand to begin with: crossings, kept corners, others as far as there is room.

    `along` is how far along the ring each of its corners lies.
    """
    least = CLOSEST * spacing
    corner = np.arange(float(len(along)))
    fixed = np.unique(np.concatenate([crossings, corner[kept]]))
    places = np.interp(fixed, corner, along)
    chosen = [fixed[0]]
    for (a, b), (start, end) in zip(pairwise(fixed), pairwise(places), strict=True):
        last = start
        for i in range(math.floor(a) + 1, math.ceil(b)):
            if along[i] - last > least and end - along[i] > least:
                chosen.append(corner[i])
                last = float(along[i])
        if end - start > SAME_MM:
            chosen.append(b)
    return np.array(chosen)


def _sharp(ring: Floats) -> Bools:
    """Tell at which points of a ring it turns sharply, at the first of those that lie in one place."""
    new = np.append(True, np.any(ring[1:] != ring[:-1], axis=1))
    along = np.diff(ring[new], axis=0)
    way = np.arctan2(along[:, 1], along[:, 0])
    turn = np.abs((np.diff(way) + np.pi) % (2.0 * np.pi) - np.pi)
    sharp = np.zeros(len(ring), dtype=bool)
    sharp[np.flatnonzero(new)[1:-1]] = turn > TURN_RAD
    return sharp


def _lines(seat: Seat, tolerance_mm: float, angle_rad: float) -> tuple[Level, ...]:
    """Return functions that are zero where lines run out across the round: rows of a gutter, edges of the hollow."""
    blank = seat.blank
    rows = gutter_rows_mm(blank, tolerance_mm, angle_rad)
    rows = rows if len(rows) else np.zeros(1)
    return (*(partial(_ahead_of, blank, float(row)) for row in rows), *edge_levels(seat))


def _ahead_of(blank: Blank, row: float, x: Floats, y: Floats) -> Floats:
    return blank.ahead_of_deck_mm(x, y) - row


def _crossings(ring: Floats, lines: Sequence[Level]) -> tuple[Floats, Ints]:
    """Return where lines cross a ring, in order, and their numbers."""
    length = np.linalg.norm(np.diff(ring, axis=0), axis=1)
    parts = np.maximum(1, np.ceil(length / STEPS_MM).astype(int))
    at = np.concatenate([*(i + np.arange(n) / n for i, n in enumerate(parts)), [len(ring) - 1.0]])
    plan = on_ring(ring, at)
    found, numbers = [np.zeros(0)], [np.zeros(0, dtype=np.int64)]
    for number, line in enumerate(lines):
        side = line(*plan.T) > 0.0
        crossed = np.flatnonzero((side[1:] != side[:-1]) & np.any(plan[1:] != plan[:-1], axis=1))
        low, high = at[crossed], at[crossed + 1]
        for _ in range(40):
            middle = 0.5 * (low + high)
            before = (line(*on_ring(ring, middle).T) > 0.0) == side[crossed]
            low, high = np.where(before, middle, low), np.where(before, high, middle)
        found.append(0.5 * (low + high))
        numbers.append(np.full(len(crossed), number))
    places, lines_at = np.concatenate(found), np.concatenate(numbers)
    order = np.lexsort((lines_at, places))
    return places[order], lines_at[order]


def _points(seat: Seat, ring: Floats, at: Floats, distance: float) -> Floats:
    plan = on_ring(ring, at)
    x, y = plan.T
    depths = np.stack([seat.depth_mm(x, y), seat.depth_mm(-x, y)], axis=-1)
    return np.column_stack([plan, -depths - round_over_drop(distance, seat.blank.round_over_mm)])


def _off_between(seat: Seat, ring: Floats, at: Floats, points: Floats, distance: float) -> Floats:
    """Return how far the ring parts from a straight line between its points, square to that line, shape (c - 1,)."""
    worst = np.zeros(len(at) - 1)
    for share in np.arange(1, SAMPLES + 1) / (SAMPLES + 1.0):
        true = _points(seat, ring, at[:-1] + share * np.diff(at), distance)
        for side in (2, 3):
            columns = [0, 1, side]
            start, way = points[:-1, columns], np.diff(points[:, columns], axis=0)
            away = true[:, columns] - start
            size = np.maximum(np.einsum("ij,ij->i", way, way), 1e-300)
            along = np.einsum("ij,ij->i", away, way) / size
            worst = np.maximum(worst, np.linalg.norm(away - along[:, None] * way, axis=1))
    return worst
