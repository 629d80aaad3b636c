"""Lines that a triangulation keeps as chains of edges, and where along them edges are split; arrays only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Bools, Floats, Ints

GAP_MM = 1.0
"""Between two lines in the length that runs through all of them."""


@dataclass(frozen=True)
class Chains:
    """Edges along lines of the plan, and the lines themselves, onto which the middles of edges are laid.

    Attributes
    ----------
    points
        Shape (n, 2): those at ends of edges.
    edges
        Shape (k, 2).
    at
        Shape (k, 2): how far along the course both ends of each edge stand.
    sharp
        Shape (k, 2): at which ends another edge leaves at an acute angle.
    course_at, course
        Shapes (c,) and (c, 2): all lines one after the other, `GAP_MM` between them, as finely as they are known.
    twin
        Shape (k,): the edge that is the same line on another sheet, -1 for none. Twins are split alike.
    """

    points: Floats
    edges: Ints
    at: Floats
    sharp: Bools
    course_at: Floats
    course: Floats
    twin: Ints

    def with_twins(self, which: Bools) -> Bools:
        """Return the flags of edges, shape (k,), set for twins of flagged ones too."""
        both = which.copy()
        both[self.twin[which & (self.twin >= 0)]] = True
        return both

    def split(self, which: Bools, points: Floats) -> tuple[Chains, Floats]:
        """Split edges and their twins in two; return the chains and `points` with the new ones behind.

        Near a corner with an acute angle the split falls at a power of two from it, so that edges on both of its sides
        come to be of equal length (concentric shells: Ruppert 1995, J. Algorithms 18:548, from memory).
        """
        which = self.with_twins(which)
        (start, end), (low, high) = self.edges[which].T, self.at[which].T
        middle = 0.5 * (low + high)
        length = high - low
        shell = 2.0 ** np.round(np.log2(0.5 * np.maximum(length, 1e-9)))
        first, last = self.sharp[which].T
        middle = np.where(first & ~last, low + shell, np.where(last & ~first, high - shell, middle))
        rank = np.cumsum(which) - 1
        other = self.twin[which]
        later = (other >= 0) & (other < np.flatnonzero(which))
        # To the bit as the twin is, whatever rounding says.
        first_of = rank[other[later]]
        middle[later] = low[later] + (middle - low)[first_of]
        new = len(points) + np.arange(len(middle))
        laid = np.column_stack([np.interp(middle, self.course_at, self.course[:, i]) for i in (0, 1)])
        none = np.zeros(len(middle), dtype=bool)
        halves = [
            (np.column_stack([start, new]), np.column_stack([low, middle]), np.column_stack([first, none])),
            (np.column_stack([new, end]), np.column_stack([middle, high]), np.column_stack([none, last])),
        ]
        edges, at, sharp = (
            np.vstack([kept[~which], *(half[i] for half in halves)])
            for i, kept in enumerate((self.edges, self.at, self.sharp))
        )
        points = np.vstack([points, laid])
        twin = self._twins_after(which, rank)
        return Chains(points, edges, at, sharp, self.course_at, self.course, twin), points

    def _twins_after(self, which: Bools, rank: Ints) -> Ints:
        """Return the twins of the edges after a split: those left whole first, then all first halves, all second."""
        whole = np.cumsum(~which) - 1
        count, halves = int(whole[-1]) + 1, int(np.count_nonzero(which))
        kept, parted = self.twin[~which], self.twin[which]
        first = np.where(parted >= 0, count + rank[parted], -1)
        return np.concatenate([
            np.where(kept >= 0, whole[kept], -1), first, np.where(parted >= 0, first + halves, -1)
        ])  # fmt: skip


def chains_of(
    lines: Sequence[tuple[Floats, Ints]],
    spacing_mm: float,
    acute_deg: float = 60.0,
    *,
    twins: Mapping[int, int] | None = None,
    lengths: Mapping[int, Floats] | None = None,
) -> Chains:
    """Return chains along lines, no edge longer than `spacing_mm`.

    Parameters
    ----------
    lines
        Each a chain of points, shape (c, 2), and the numbers of those that become vertices, in order, first and last
        among them. Lines meet only in points that both keep, equal to the bit.
    twins
        The number of a line, by that of a later line that is the same one on another sheet.
    lengths
        How far along a line its points stand, shape (c,), where that is not as long as it is: by the line's number.
    """
    twins, lengths = twins or {}, lengths or {}
    number: dict[tuple[float, ...], int] = {}
    points: list[Floats] = []
    edges, at, courses, stands = [], [], [], []
    begun, firsts = 0.0, [0]
    for n, (line, kept) in enumerate(lines):
        own = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1)))
        along = begun + lengths.get(n, own)
        passed = []
        for i in kept.tolist():
            key = tuple(line[i].tolist())
            if key not in number:
                number[key] = len(points)
                points.append(line[i])
            passed.append(number[key])
        edges.append(np.column_stack([passed[:-1], passed[1:]]))
        at.append(np.column_stack([along[kept][:-1], along[kept][1:]]))
        courses.append(line)
        stands.append(along)
        begun = along[-1] + GAP_MM
        firsts.append(firsts[-1] + len(kept) - 1)
    ends, stand = np.vstack(edges).astype(np.int64), np.vstack(at)
    table = np.array(points)
    twin = np.full(len(ends), -1)
    for later, first in twins.items():
        here, there = np.arange(firsts[later], firsts[later + 1]), np.arange(firsts[first], firsts[first + 1])
        twin[here], twin[there] = there, here
    sharp = _sharp(table, ends, acute_deg)
    sharp[twin >= 0] |= sharp[twin[twin >= 0]]
    chains = Chains(table, ends, stand, sharp, np.concatenate(stands), np.vstack(courses), twin)
    laid = table
    while np.any(long := chains.at[:, 1] - chains.at[:, 0] > spacing_mm):
        chains, laid = chains.split(long, laid)
    return chains


def _sharp(points: Floats, edges: Ints, acute_deg: float) -> Bools:
    """Tell at which ends of edges another edge leaves at less than an angle, shape (k, 2)."""
    count = len(edges)
    corner = edges.T.ravel()
    along = points[edges[:, 1]] - points[edges[:, 0]]
    along /= np.linalg.norm(along, axis=1)[:, None]
    ways = np.vstack([along, -along])
    order = np.argsort(corner, kind="stable")
    sharp = np.zeros(2 * count, dtype=bool)
    least = np.cos(np.radians(acute_deg))
    starts = np.flatnonzero(np.append(True, np.diff(corner[order]) != 0))
    for own in np.split(order, starts[1:]):
        if len(own) > 1:
            cosine = ways[own] @ ways[own].T - 2.0 * np.eye(len(own))
            sharp[own] = cosine.max(axis=1) > least
    return sharp.reshape(2, count).T
