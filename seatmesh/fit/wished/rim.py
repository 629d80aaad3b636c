"""The rim: the line in plan where a hollow ends, a chosen distance inside the outline, open at the front."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import clarabel
import contourpy
import numpy as np
import scipy.sparse as sp
from scipy.interpolate import CubicSpline

from seatmesh.arrays import Floats
from seatmesh.wood.blank import Blank
from seatmesh.wood.deck import WELL_AHEAD_MM
from seatmesh.wood.outline.chords import unbroken_half_mm

STEP_MM = 4.0
"""Between the places along the blank at which the rim's distance from the centre line is chosen."""
FAIR_MM = 60.0
"""Length below which the rim in plan prefers a fair curve to the outline's."""
CORNER_MM = 85.0
"""Radius at which the rim along the side turns into the one along the deck; common practice, from memory."""
STEEPEST = 1.4
"""A distance from the outline counts at most so much more across, or rounded front corners would close the front."""
FRONT_MM = 90.0
"""So far behind the front edge the outline may turn in, round its corners or as an arc. The rim runs on as it did over
as much before, and out over the edge: turned in with the outline it would dam the leg hollows up."""
OPEN_SHARE = 0.5
"""The rim leaves at least this share of the greatest width open over `FRONT_MM`, whatever the outline does there."""
LEAST_HALF_MM = 5.0
"""Elsewhere it may come as near to the centre line as this: a narrow waist, or the rear of a round outline."""
POINT_MM = 6.0
"""Between points of the rim line."""
TRACE_MM = 2.0
"""Of the raster on which the rim line is traced."""


@dataclass(frozen=True)
class SeatRim:
    """The rim of a hollow: along both sides, round the rear corners and along the deck line; the front is open.

    Attributes
    ----------
    blank, rim_mm
        The wood, and how far inside its outline the rim lies.
    y_mm, half_width_mm
        The side: how far from the centre line it lies at places along the blank, shapes (n,).
    """

    blank: Blank
    rim_mm: float
    y_mm: Floats
    half_width_mm: Floats

    def half_width_at(self, y_mm: Floats) -> Floats:
        """Return how far from the centre line the side of the rim lies; the shape of `y_mm`."""
        held = np.clip(y_mm, self.y_mm[0], self.y_mm[-1])
        return np.asarray(self._curve(held))

    @cached_property
    def _curve(self) -> CubicSpline[np.float64]:
        return CubicSpline(self.y_mm, self.half_width_mm)

    def inside_mm(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return how far places lie inside the rim, mm, negative beyond it; arguments broadcast."""
        x, y = np.broadcast_arrays(x_mm, y_mm)
        aside = self.half_width_at(y) - np.abs(x)
        ahead = np.minimum(self.blank.ahead_of_deck_mm(x, y), y - self.rim_mm)
        if self.blank.deck_line == "offset":
            # It follows the outline round the corners itself, and tells no more than its reach.
            return np.asarray(np.where(ahead < WELL_AHEAD_MM, np.minimum(aside, ahead), aside))
        cornered = (aside < CORNER_MM) & (ahead < CORNER_MM)
        round_corner = CORNER_MM - np.hypot(CORNER_MM - aside, CORNER_MM - ahead)
        return np.asarray(np.where(cornered, round_corner, np.minimum(aside, ahead)))

    def start_mm(self) -> float:
        """Return the y at which the hollow begins on the centre line."""
        return max(self.blank.deck_mm, self.rim_mm)

    def line_mm(self) -> tuple[Floats, Floats]:
        """Return points of the right half, from the centre line round to the front edge: x and y, shapes (n,)."""
        blank = self.blank
        x = np.arange(0.0, 0.5 * blank.width_mm + TRACE_MM, TRACE_MM)
        y = np.arange(blank.hollow_start_mm - TRACE_MM, blank.depth_mm + TRACE_MM, TRACE_MM)
        traced = contourpy.contour_generator(x, y, self.inside_mm(x[None, :], y[:, None])).lines(0.0)
        line = max((np.asarray(one) for one in traced), key=len)
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
        at = np.linspace(0.0, along[-1], int(along[-1] / POINT_MM) + 1)
        return np.interp(at, along, line[:, 0]), np.interp(at, along, line[:, 1])


@lru_cache(maxsize=16)
def rim_of(blank: Blank, rim_mm: float) -> SeatRim:
    """Return the rim of a blank: as near to `rim_mm` inside the outline as a fair curve is, and no nearer to it."""
    count = int(np.ceil(blank.depth_mm / STEP_MM)) + 1
    y = np.linspace(0.0, blank.depth_mm, count)
    wide = unbroken_half_mm(blank.polygon_mm(), y)
    steep = np.minimum(np.hypot(1.0, np.gradient(wide, y)), STEEPEST)
    most = _run_on(wide - rim_mm * steep, y)
    most = np.maximum(most, np.where(y > y[-1] - FRONT_MM, OPEN_SHARE * wide.max(), LEAST_HALF_MM))
    behind = y < blank.hollow_start_mm
    most[behind] = most[~behind][0]
    half = _fairest_below(most, y[1] - y[0])
    for one in (y, half):
        one.setflags(write=False)
    return SeatRim(blank, rim_mm, y, half)


def _run_on(most: Floats, y: Floats) -> Floats:
    """Return bounds (n,) that run on straight over the last `FRONT_MM` before the front edge."""
    last, before = (y[-1] - FRONT_MM * share for share in (1.0, 2.0))
    ends = np.interp([before, last], y, most)
    straight = ends[1] + (y - last) / FRONT_MM * min(ends[1] - ends[0], 0.0)
    return np.where(y > last, np.maximum(most, straight), most)


def _fairest_below(most: Floats, step: float) -> Floats:
    """Return the curve near `most` (n,), nowhere above it, whose curvature varies least."""
    count = len(most)
    third = sp.csr_array(
        sp.diags_array([-1.0, 3.0, -3.0, 1.0], offsets=[0, 1, 2, 3], shape=(count - 3, count))
    )
    hessian = 2.0 * (sp.eye_array(count) + (FAIR_MM / step) ** 6 * sp.csr_array(third.T @ third))
    settings = clarabel.DefaultSettings()
    settings.verbose = False
    answer = clarabel.DefaultSolver(
        sp.csc_matrix(sp.triu(hessian)),
        -2.0 * most,
        sp.csc_matrix(sp.eye_array(count)),
        most,
        [clarabel.NonnegativeConeT(count)],
        settings,
    ).solve()
    return np.asarray(np.minimum(np.asarray(answer.x), most))


__all__ = ["SeatRim", "rim_of"]
