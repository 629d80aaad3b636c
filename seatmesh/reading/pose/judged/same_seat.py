"""Whether two ways to lay a scan make the same seat: then nobody needs to know which of them is the true one."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import LinearNDInterpolator

from seatmesh.arrays import Floats
from seatmesh.reading.placing import Frame
from seatmesh.reading.pose.judged.evidence import Plan
from seatmesh.reading.pose.layers import layers

CELL_MM = 8.0
EDGE_MM = 6.0
DECK_LINE_MM = 3.0
SAME_RMS_MM, SAME_MOST_MM = 0.05, 0.3
SCATTER_RMS, SCATTER_MOST = 0.6, 3.0
"""Of the scatter of single points: the middle ones of cells scatter less, and the difference of two a little more."""
FEWEST = 50


def same_seat(samples: Floats, one: Frame, other: Frame, scatter_mm: float, plan: Plan) -> bool:
    """Tell whether a scan's top face is the same in two frames, within its own scatter."""
    a, b = (_top(samples, frame, plan) for frame in (one, other))
    if min(len(a), len(b)) < FEWEST:
        return False
    off = LinearNDInterpolator(a[:, :2], a[:, 2])(b[:, :2]) - b[:, 2]
    off = off[np.isfinite(off)]
    return is_nothing(off, scatter_mm)


def is_nothing(off: Floats, scatter_mm: float) -> bool:
    """Tell whether differences are no more than scatter makes them."""
    if len(off) < FEWEST:
        return False
    rms, most = float(np.sqrt(np.mean(off**2))), float(np.quantile(np.abs(off), 0.98))
    return rms <= SAME_RMS_MM + SCATTER_RMS * scatter_mm and most <= SAME_MOST_MM + SCATTER_MOST * scatter_mm


def _top(samples: Floats, frame: Frame, plan: Plan) -> Floats:
    top = layers(frame.into(samples), CELL_MM).top
    inside = plan.inside_mm(top) > plan.blank.round_over_mm + EDGE_MM
    # Beside the deck line a crisp step would count for more than the hollow.
    away = np.abs(plan.ahead_mm(top)) > DECK_LINE_MM
    return np.asarray(top[inside & away])
