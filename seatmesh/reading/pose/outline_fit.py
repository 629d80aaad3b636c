"""Laying the edge of a scan on the outline of its blank, concave parts too, and how well the two agree."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage
from scipy.spatial import cKDTree
from scipy.special import ndtri

from seatmesh.arrays import Floats, Ints
from seatmesh.reading.pose.turns import Turn, rotation
from seatmesh.wood.blank import Blank

REACH_MM = 14.0
LEAST_REACH_MM = 4.0
NODE_MM = 1.0
CELL_MM = 4.0
FINE_MM = 0.25
FEWEST_BINS = 12
SCATTER_REACH = 3.0
"""Places within so many standard deviations of the outermost are taken for the same edge."""
ROUNDS = 30
STILL_MM = 1e-4
HUBER_MM = 0.5
MET_MM = 2.5
"""A bin whose edge lies farther inside than this has not been seen."""


@dataclass(frozen=True)
class OutlineFit:
    """How a scan lies on the outline of its blank.

    Attributes
    ----------
    turn
        The turn and shift that lay it there.
    off_mm
        Rms distance of the scan's edge from the outline where it was seen.
    seen
        Share of the outline where an edge was seen.
    wider_mm, longer_mm
        By how much the scan is wider across and longer from rear to front than the blank.
    """

    turn: Turn
    off_mm: float
    seen: float
    wider_mm: float
    longer_mm: float


def fit_outline(
    plan: Floats,
    start: Turn,
    blank: Blank,
    bin_mm: float,
    scatter_mm: float = 0.0,
    *,
    turns: bool = True,
    shifts: bool = True,
) -> OutlineFit:
    """Lay places near the edge of a scan, shape (n, 2), on the outline of the blank, from a turn that comes near.

    The outermost place of each bin of `bin_mm` along the outline is the scan's edge there, less what scatter alone
    carries the outermost of so many places beyond it.

    Without `turns` the turn stays as it is, without `shifts` the place too.
    """
    edge, here = _Edge(blank, bin_mm, scatter_mm), start
    free = np.array([float(turns), float(shifts), float(shifts)])
    reach = 2.0 * REACH_MM
    for _ in range(ROUNDS):
        _, off, along, side = edge.outermost(here.moved(plan), reach)
        if len(off) < FEWEST_BINS or not free.any():
            break
        reach = max(0.5 * reach, LEAST_REACH_MM)
        step = _step(edge, off, along, side, free)
        here = _after(here, step, edge.middle)
        if np.abs(step * [edge.arm, 1.0, 1.0]).max() < STILL_MM:
            break
    return _figures(edge, here, *edge.outermost(here.moved(plan), REACH_MM)[1:])


class _Edge:
    """The outline of a blank: sides, their lengths and outward directions, and a tree to find the nearest."""

    def __init__(self, blank: Blank, bin_mm: float, scatter_mm: float) -> None:
        self.scatter = scatter_mm
        self.start = blank.polygon_mm()
        self.side = np.roll(self.start, -1, axis=0) - self.start
        self.length = np.linalg.norm(self.side, axis=1)
        self.before = np.cumsum(self.length) - self.length
        # Counter-clockwise: outward is to the right of the way along.
        self.outward = np.column_stack([self.side[:, 1], -self.side[:, 0]]) / self.length[:, None]
        self.middle = 0.5 * (self.start.min(axis=0) + self.start.max(axis=0))
        self.half = 0.5 * (self.start.max(axis=0) - self.start.min(axis=0))
        self.arm = float(np.linalg.norm(self.half))
        self.count = max(24, int(self.length.sum() / bin_mm))
        steps = np.maximum(1, np.ceil(self.length / NODE_MM)).astype(np.int64)
        self.of_node = np.repeat(np.arange(len(steps)), steps)
        share = (np.arange(len(self.of_node)) - np.repeat(np.cumsum(steps) - steps, steps) + 0.5) / steps[
            self.of_node
        ]
        self.tree = cKDTree(self.start[self.of_node] + share[:, None] * self.side[self.of_node])

    def off(self, plan: Floats, reach: float) -> tuple[Floats, Floats, Ints]:
        """Return how far outside the outline places lie, and where along which of its sides; inf beyond reach."""
        found = self.tree.query(plan, distance_upper_bound=reach + NODE_MM)
        away, node = np.asarray(found[0]), np.asarray(found[1], dtype=np.int64)
        near = np.flatnonzero(np.isfinite(away))
        off, along = np.full(len(plan), -np.inf), np.zeros(len(plan))
        which = np.zeros(len(plan), dtype=np.int64)
        best = np.full(len(near), np.inf)
        for step in (0, 1, -1):
            side = (self.of_node[node[near]] + step) % len(self.length)
            arm = plan[near] - self.start[side]
            run = np.clip(np.einsum("ij,ij->i", arm, self.side[side]) / self.length[side] ** 2, 0.0, 1.0)
            gap = arm - run[:, None] * self.side[side]
            distance = np.linalg.norm(gap, axis=1)
            closer = distance < best - 1e-12
            best = np.where(closer, distance, best)
            outside = np.einsum("ij,ij->i", gap, self.outward[side]) > 0.0
            own = near[closer]
            off[own] = np.where(outside, distance, -distance)[closer]
            along[own] = (self.before[side] + run * self.length[side])[closer]
            which[own] = side[closer]
        return off, along, which

    def outermost(self, plan: Floats, reach: float) -> tuple[Ints, Floats, Floats, Ints]:
        """Return the outermost place of each bin along the outline: its number, how far out, where, on which side."""
        off, along, side = self.off(plan, reach)
        near = np.flatnonzero(np.abs(off) < reach)
        bins = np.minimum((along[near] / self.length.sum() * self.count).astype(np.int64), self.count - 1)
        order = np.lexsort((off[near], bins))
        last = near[order[np.flatnonzero(np.diff(bins[order], append=self.count + 1))]]
        number = np.unique(bins, return_inverse=True)[1]
        beside = np.bincount(number, weights=off[near] >= off[last][number] - SCATTER_REACH * self.scatter)
        edge = np.asarray(off[last] - self.scatter * greatest_of(beside.astype(np.int64)))
        return last, edge, along[last], side[last]

    def place(self, along: Floats, side: Ints) -> Floats:
        """Return places on sides at distances along the outline, shape (n, 2)."""
        run = (along - self.before[side]) / self.length[side]
        return np.asarray(self.start[side] + run[:, None] * self.side[side])


def greatest_of(count: Ints) -> Floats:
    """Return how many standard deviations the greatest of so many normal values lies above their mean.

    Blom's approximation (G. Blom 1958, *Statistical Estimates and Transformed Beta-Variables*; from memory).
    """
    return np.asarray(ndtri((count - 0.375) / (count + 0.25)))


def _rows(edge: _Edge, along: Floats, side: Ints) -> tuple[Floats, Floats]:
    """Return how far outside places on the outline move with a small turn and shift, and with a stretch each way."""
    outward, arm = edge.outward[side], edge.place(along, side) - edge.middle
    turn = outward[:, 1] * arm[:, 0] - outward[:, 0] * arm[:, 1]
    return np.column_stack([turn, outward]), outward * arm / edge.half


def _step(edge: _Edge, off: Floats, along: Floats, side: Ints, free: Floats) -> Floats:
    """Return the small turn and shift that lay the scan's edge best on the outline, far-off bins counting less."""
    rows = _rows(edge, along, side)[0] * free
    weight = np.sqrt(HUBER_MM / np.maximum(np.abs(off), HUBER_MM))
    return np.asarray(np.linalg.lstsq(rows * weight[:, None], -off * weight, rcond=None)[0])


def _after(turn: Turn, step: Floats, middle: Floats) -> Turn:
    extra = rotation(float(step[0]))
    return Turn(turn.turn + float(step[0]), extra @ (turn.shift - middle) + middle + step[1:], turn.off_mm)


def _figures(edge: _Edge, turn: Turn, off: Floats, along: Floats, side: Ints) -> OutlineFit:
    if len(off) < FEWEST_BINS:
        return OutlineFit(turn, np.inf, 0.0, 0.0, 0.0)
    met = off > -MET_MM
    # How much wider and longer: the edge's offset as a stretch about the middle, shift and turn left free.
    rows = np.hstack(_rows(edge, along, side))
    weight = np.sqrt(HUBER_MM / np.maximum(np.abs(off), HUBER_MM))
    wider, longer = np.linalg.lstsq(rows * weight[:, None], off * weight, rcond=None)[0][3:]
    return OutlineFit(
        turn,
        float(np.sqrt(np.mean(off[met] ** 2))) if met.any() else np.inf,
        float(np.count_nonzero(met) / edge.count),
        2.0 * float(wider),
        2.0 * float(longer),
    )


def near_the_edge(plan: Floats) -> Floats:
    """Return of places in a plan, shape (n, 2), those near the edge of all of them, one to a quarter of a millimetre.

    Where they lie as far apart as the cells are wide, that is all of them.
    """
    cell = np.floor((plan - plan.min(axis=0)) / CELL_MM).astype(np.int64) + 2
    filled = np.zeros(cell.max(axis=0) + 3, dtype=bool)
    filled[cell[:, 0], cell[:, 1]] = True
    # Small gaps between points are no edge; large holes are, and do no harm.
    inner = ndimage.binary_erosion(ndimage.binary_closing(filled), iterations=2)
    outer = plan[~inner[cell[:, 0], cell[:, 1]]]
    fine = np.floor(outer / FINE_MM).astype(np.int64)
    fine -= fine.min(axis=0)
    return np.asarray(
        outer[np.unique(fine[:, 0] * (fine[:, 1].max() + 1) + fine[:, 1], return_index=True)[1]]
    )
