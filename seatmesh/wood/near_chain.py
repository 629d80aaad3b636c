"""Distances from many places to a chain of segments, by a raster of those that may be nearest; arrays only."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats, Ints

COARSE_MM, HALVINGS = 20.0, 3
"""Size of the first raster's cells, and how often they are halved."""

ROUNDING_MM = 1e-9
MOST_PAIRS = 2_000_000
"""Pairs of a place and a segment looked at in one go."""


@dataclass(frozen=True)
class NearChain:
    """A chain of segments and a raster over it.

    Attributes
    ----------
    starts, ways
        Shapes (s, 2): where segments begin, and from there to their ends.
    low_mm, cell_mm, count
        First corner of the raster, shape (2,), size of its cells, and how many it has along x and y, shape (2,).
    first, segments
        The segments that may be nearest to places in cell i are ``segments[first[i] : first[i + 1]]``.
    """

    starts: Floats
    ways: Floats
    low_mm: Floats
    cell_mm: float
    count: Ints
    first: Ints
    segments: Ints

    def distance_mm(self, x: Floats, y: Floats) -> Floats:
        """Return the distance of places in the raster, shapes (n,), to the chain."""
        cell = [
            np.clip((at - low) // self.cell_mm, 0, n - 1).astype(np.int64)
            for at, low, n in zip((x, y), self.low_mm, self.count, strict=True)
        ]
        number = cell[0] * self.count[1] + cell[1]
        size = self.first[number + 1] - self.first[number]
        out = np.empty(len(x))
        ends = np.cumsum(size)
        begun = 0
        while begun < len(x):
            before = int(ends[begun - 1]) if begun else 0
            stop = max(begun + 1, int(np.searchsorted(ends, before + MOST_PAIRS, side="right")))
            own = slice(begun, stop)
            place, which = _pairs(self.first[number[own]], size[own], self.segments)
            found = _squares(x[own][place], y[own][place], self.starts[which], self.ways[which])
            out[own] = np.minimum.reduceat(found, np.cumsum(size[own]) - size[own])
            begun = stop
        return np.sqrt(out)


def near_chain(chain_mm: Floats, low_mm: Floats, high_mm: Floats) -> NearChain:
    """Return a chain, shape (n, 2), with a raster over the rectangle from `low_mm` to `high_mm`."""
    apart = np.append(True, np.any(np.diff(chain_mm, axis=0) != 0.0, axis=1))
    chain = chain_mm[apart]
    starts, ways = chain[:-1], np.diff(chain, axis=0)
    size, count = COARSE_MM, np.maximum(1, np.ceil((high_mm - low_mm) / COARSE_MM).astype(np.int64))
    parent = np.zeros(int(count.prod()), dtype=np.int64)
    first, kept = np.array([0, len(starts)]), np.arange(len(starts))
    for halved in range(HALVINGS + 1):
        if halved:
            size, count = 0.5 * size, 2 * count
            i, j = np.divmod(np.arange(int(count.prod())), count[1])
            parent = (i // 2) * (count[1] // 2) + j // 2
        first, kept = _may_be_nearest(_middles(low_mm, count, size), size, parent, first, kept, starts, ways)
    return NearChain(starts, ways, low_mm, size, count, first, kept)


def _middles(low: Floats, count: Ints, size: float) -> Floats:
    x, y = (low[i] + size * (np.arange(count[i]) + 0.5) for i in (0, 1))
    return np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1).reshape(-1, 2)


def _may_be_nearest(
    middles: Floats, size: float, parent: Ints, first: Ints, segments: Ints, starts: Floats, ways: Floats
) -> tuple[Ints, Ints]:
    """Return for each cell which of its parent's segments may be nearest to a place in it.

    A segment is nearest nowhere in a cell if from the middle it is farther than another by more than the diagonal.
    """
    diagonal = size * np.sqrt(2.0) + ROUNDING_MM
    count = first[parent + 1] - first[parent]
    place, which = _pairs(first[parent], count, segments)
    away = np.sqrt(_squares(middles[place, 0], middles[place, 1], starts[which], ways[which]))
    least = np.minimum.reduceat(away, np.cumsum(count) - count)
    near = away <= least[place] + diagonal
    kept = np.bincount(place[near], minlength=len(middles))
    return np.append(0, np.cumsum(kept)), which[near]


def _pairs(first: Ints, count: Ints, segments: Ints) -> tuple[Ints, Ints]:
    """Return places and segments side by side: for place i `count[i]` segments from `first[i]` on."""
    place = np.repeat(np.arange(len(count)), count)
    start = np.repeat(first - (np.cumsum(count) - count), count)
    return place, segments[start + np.arange(len(place))]


def _squares(x: Floats, y: Floats, starts: Floats, ways: Floats) -> Floats:
    """Return the squared distance of each place to its segment."""
    dx, dy = x - starts[:, 0], y - starts[:, 1]
    wx, wy = ways[:, 0], ways[:, 1]
    share = np.clip((dx * wx + dy * wy) / (wx * wx + wy * wy), 0.0, 1.0)
    return np.asarray((dx - share * wx) ** 2 + (dy - share * wy) ** 2)
