"""A gutter rolled out flat: a sheet on which its arc across is as long as on the wood.

On the plan the steep sides of a gutter are a fraction of a millimetre wide, and triangles of a good shape there would
be as small all along it. On the sheet they may be as long as the arc's chords allow.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.spatial import cKDTree

from seatmesh.arrays import Bools, Floats
from seatmesh.wood.blank import Blank
from seatmesh.wood.deck_line import line_ahead

STEP_MM = 1.0
"""From one line across the gutter to the next."""

PROFILE = 256
EVEN_SHARE = 0.2
"""Where the deck line turns a corner many lines across would start in one place: so much they are spread evenly."""

SHARP_RAD = 1.0
"""A gutter that turns by more over a length of its own width is left in the plan: the lip on its inside
may turn as sharply as it likes."""

BELOW_MM = 50.0
"""The sheet lies this far below the plan, where y is negative."""

HALVINGS = 45


@dataclass(frozen=True)
class GutterSheet:
    """The map between the plan, (x, y), and the sheet: along the gutter and across, mm.

    Attributes
    ----------
    along
        Shape (m,): where lines straight across the gutter stand on the sheet.
    rear, front
        Shapes (m, 2): their ends in the plan, on the deck line and on the front lip.
    ahead, across
        Shapes (p,): distances ahead of the deck line, and where they lie across the sheet.
    """

    along: Floats
    rear: Floats
    front: Floats
    ahead: Floats
    across: Floats

    def holds(self, at: Floats) -> Bools:
        """Tell which places of plan and sheet, shape (n, 2), lie on the sheet."""
        return np.asarray(at[:, 1] < -0.5 * BELOW_MM)

    def ahead_mm(self, at: Floats) -> Floats:
        """Return how far ahead of the deck line places of the sheet lie, shape (n,)."""
        return np.asarray(np.interp(at[:, 1], self.across, self.ahead))

    def plan(self, at: Floats) -> Floats:
        """Return places of the sheet, shape (n, 2), in the plan."""
        rear, front = self._ends(at[:, 0])
        share = (self.ahead_mm(at) / self.ahead[-1])[:, None]
        return np.asarray(rear + share * (front - rear))

    def rolled_out(self, plan: Floats) -> Floats:
        """Return places in the gutter, shape (n, 2), on the sheet."""
        middle = 0.5 * (self.rear + self.front)
        nearest = cKDTree(middle).query(plan)[1]
        reach = self.ahead[-1] + 2.0 * STEP_MM
        low, high = (np.clip(self.along[nearest] + k, 0.0, self.along[-1]) for k in (-reach, reach))
        way, across = np.diff(middle, axis=0), (self.front - self.rear)[:-1]
        sign = np.sign(np.median(across[:, 0] * way[:, 1] - across[:, 1] * way[:, 0]))
        for _ in range(HALVINGS):
            half = 0.5 * (low + high)
            rear, front = self._ends(half)
            (ax, ay), (bx, by) = (front - rear).T, (plan - rear).T
            beyond = sign * (ax * by - ay * bx) > 0.0
            low, high = np.where(beyond, half, low), np.where(beyond, high, half)
        rear, front = self._ends(0.5 * (low + high))
        wide = front - rear
        share = np.einsum("ij,ij->i", plan - rear, wide) / np.einsum("ij,ij->i", wide, wide)
        ahead = np.clip(share, 0.0, 1.0) * self.ahead[-1]
        return np.column_stack([0.5 * (low + high), np.interp(ahead, self.ahead, self.across)])

    def _ends(self, along: Floats) -> tuple[Floats, Floats]:
        rear, front = (
            np.column_stack([np.interp(along, self.along, line[:, i]) for i in (0, 1)])
            for line in (self.rear, self.front)
        )
        return rear, front


def gutter_sheet(blank: Blank) -> GutterSheet | None:
    """Return the sheet of a blank's gutter; None where there is none, or it turns a corner and will not lie flat."""
    depth, width = blank.gutter_depth_mm, blank.gutter_width_mm
    lines = [line_ahead(blank, ahead) for ahead in (0.0, width)] if depth > 0.0 else []
    if not lines or min(map(len, lines)) < 2:
        return None
    if min(_sharpest_turn(line, width) for line in lines) > SHARP_RAD:
        return None
    along, over = _beside(*lines)
    rear, front = (
        shapely.get_coordinates(shapely.line_interpolate_point(shapely.LineString(line), places))
        for line, places in zip(lines, (along, over), strict=True)
    )
    return GutterSheet(along, rear, front, *_profile(width, depth))


def _sharpest_turn(line: Floats, within_mm: float) -> float:
    """Return the greatest angle through which a line turns on a stretch of a length, rad."""
    way = np.diff(line, axis=0)
    heading = np.unwrap(np.arctan2(way[:, 1], way[:, 0]))
    length = np.linalg.norm(way, axis=1)
    middle = np.cumsum(length) - 0.5 * length
    last = np.searchsorted(middle, middle + within_mm + 0.5 * length, side="right")
    return float(max(np.ptp(heading[i : max(end, i + 2)]) for i, end in enumerate(last)))


def _beside(rear: Floats, front: Floats) -> tuple[Floats, Floats]:
    """Return places along the deck line, and those along the front lip beside them; every corner of both among them."""
    behind, ahead = shapely.LineString(rear), shapely.LineString(front)
    stand, front_stand = (
        np.append(0.0, np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))) for line in (rear, front)
    )
    steps = np.linspace(0.0, stand[-1], math.ceil(stand[-1] / STEP_MM) + 1)
    along = np.union1d(steps, stand)
    points = shapely.line_interpolate_point(behind, along)
    met = np.maximum.accumulate(shapely.line_locate_point(ahead, points))
    met[[0, -1]] = 0.0, front_stand[-1]
    even = along * (front_stand[-1] / stand[-1])
    over = (1.0 - EVEN_SHARE) * np.minimum(met, front_stand[-1]) + EVEN_SHARE * even
    more = np.interp(front_stand, over, along)
    places, first = np.unique(np.concatenate([along, more]), return_index=True)
    return places, np.concatenate([over, front_stand])[first]


def visible_half_turn(width_mm: float, depth_mm: float) -> tuple[float, float]:
    """Return the radius of a gutter's arc and half of the angle that it turns through between upright sides, if any."""
    radius = (0.25 * width_mm**2 + depth_mm**2) / (2.0 * depth_mm)
    return radius, math.asin(min(1.0, 0.5 * width_mm / radius))


def upright_lip_mm(blank: Blank) -> float:
    """Return how deep a gutter goes straight down at its lips: one deeper than half its width has upright sides."""
    depth, width = blank.gutter_depth_mm, blank.gutter_width_mm
    return 2.0 * max(0.0, depth - visible_half_turn(width, depth)[0]) if depth > 0.0 else 0.0


def _profile(width: float, depth: float) -> tuple[Floats, Floats]:
    radius, half = visible_half_turn(width, depth)
    turn = np.linspace(-half, half, PROFILE + 1)
    ahead = 0.5 * width * (1.0 + np.sin(turn) / math.sin(half))
    ahead[[0, -1]] = 0.0, width
    across = radius * (turn + half)
    return ahead, across - across[-1] - BELOW_MM
