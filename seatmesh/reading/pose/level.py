"""Laying the rim's plane on uncut wood, to the hundredth: on the deck, and on the rim clear of the hollow's edge."""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from seatmesh.arrays import Bools, Floats
from seatmesh.reading.placing import Frame
from seatmesh.reading.pose.judged.evidence import Plan
from seatmesh.reading.pose.layers import layers

EDGE_MM = 4.0
START_MM = 0.6
"""The plane before is nearer than this, or this many mm and the scatter's share."""
LEAST_BAND_MM = 0.01
BAND_SIGMAS = 3.0
CLEAR_MM = 12.0
"""Rim whose neighbours so far round lie on the plane too is clear of the hollow's edge."""
ROUNDS = 10
FEWEST_CELLS = 40
SCATTER_REACH_MM = 8.0
MOST_TILT, MOST_LIFT_MM = 0.01, 1.5


def levelled(
    points: Floats, samples: Floats, frame: Frame, scatter_mm: float, plan: Plan
) -> tuple[Frame, float]:
    """Return a frame with its plane on the uncut wood near to it, and the scatter of a scan's own points there.

    Both are as they were where too little is near.
    """
    top = layers(frame.into(samples), plan.cell_mm).top
    top = top[plan.inside_mm(top) > plan.blank.round_over_mm + EDGE_MM]
    if len(top) < FEWEST_CELLS:
        return frame, scatter_mm
    raster = Raster(top, plan.cell_mm)
    deck = plan.on_deck(top)
    rows = np.column_stack([np.ones(len(top)), top[:, :2]])
    band, plane, own = START_MM + BAND_SIGMAS * scatter_mm, np.zeros(3), deck
    for _ in range(ROUNDS):
        near = np.abs(top[:, 2] - rows @ plane) < band
        own = near & (deck | ~raster.beside(~near))
        if np.count_nonzero(own) < FEWEST_CELLS:
            return frame, scatter_mm
        plane = np.linalg.lstsq(rows[own], top[own, 2], rcond=None)[0]
        spread = 1.4826 * float(np.median(np.abs(top[own, 2] - rows[own] @ plane)))
        band = max(LEAST_BAND_MM, min(band, BAND_SIGMAS * spread))
    if abs(plane[0]) > MOST_LIFT_MM or np.hypot(*plane[1:]) > MOST_TILT:
        return frame, scatter_mm
    level = _tilted(frame, plane)
    return level, _scatter(level.into(points), raster, own, scatter_mm)


class Raster:
    """The cells of a plan that points lie in, one to a cell."""

    def __init__(self, points: Floats, cell_mm: float) -> None:
        self.cell_mm = cell_mm
        cell = np.floor(points[:, :2] / cell_mm).astype(np.int64)
        self.low = cell.min(axis=0)
        self.cell = cell - self.low
        self.shape = tuple(self.cell.max(axis=0) + 1)

    def beside(self, which: Bools) -> Bools:
        """Tell which points have one of those, or are one, within `CLEAR_MM`."""
        marked = self.marked(which)
        wide = ndimage.binary_dilation(marked, iterations=max(1, round(CLEAR_MM / self.cell_mm)))
        return np.asarray(wide[self.cell[:, 0], self.cell[:, 1]])

    def marked(self, which: Bools) -> Bools:
        """Return the cells of some of the points."""
        marked = np.zeros(self.shape, dtype=bool)
        marked[self.cell[which, 0], self.cell[which, 1]] = True
        return marked

    def holds(self, plan: Floats, which: Bools) -> Bools:
        """Tell which places of a plan lie in cells of some of the points."""
        cell = np.floor(plan / self.cell_mm).astype(np.int64) - self.low
        inside = np.all((cell >= 0) & (cell < self.shape), axis=1)
        cell[~inside] = 0
        return np.asarray(inside & self.marked(which)[cell[:, 0], cell[:, 1]])


def _scatter(local: Floats, raster: Raster, own: Bools, before_mm: float) -> float:
    near = local[np.abs(local[:, 2]) < SCATTER_REACH_MM]
    height = near[raster.holds(near[:, :2], own), 2]
    return 1.4826 * float(np.median(np.abs(height))) if len(height) >= FEWEST_CELLS else before_mm


def _tilted(frame: Frame, plane: Floats) -> Frame:
    """Return the frame whose plane is z = a + b x + c y of another's."""
    normal = np.array([-plane[1], -plane[2], 1.0])
    normal /= np.linalg.norm(normal)
    y = np.array([0.0, 1.0, 0.0]) - normal[1] * normal
    y /= np.linalg.norm(y)
    local = np.stack([np.cross(y, normal), y, normal])
    return Frame(frame.origin + plane[0] * frame.axes[2], local @ frame.axes)
