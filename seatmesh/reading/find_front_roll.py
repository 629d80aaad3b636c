"""The radius of the front roll of a carved seat, told from its points near the front edge."""

from __future__ import annotations

import numpy as np
from scipy.optimize import minimize_scalar

from seatmesh.fit.bounded.robust_spline import lay_out, robust_fit
from seatmesh.front_roll import front_roll_depth, roll_length_mm
from seatmesh.reading.surface_points import Face
from seatmesh.wood.blank import Blank

LARGEST_MM = 60.0
COARSE_MM = 5.0
BEHIND_MM = 40.0
"""How much of the seat behind the longest roll is looked at."""
FAIRNESS_MM = 3.0
ROUNDS = 7
OUTLIER_MM = 1.0
FEWEST = 200
LEAST_MM = 1.0
SEEN_MM, SEEN_POINTS = 4.0, 10
"""That there is none is told where so many points lie so near to the front edge: a short roll is not seen without."""
GAIN = 0.98
"""A roll is believed where it leaves less than this share of what none leaves."""


def front_roll_mm(face: Face, blank: Blank) -> float | None:
    """Return the radius with which a spline and a roll explain the front of a seat best; 0 for none, None if not seen.

    What is compared is the mean distance from the points, cut off at a millimetre.
    """
    behind = roll_length_mm(LARGEST_MM) + BEHIND_MM
    start = max(blank.hollow_start_mm, blank.depth_mm - behind)
    near = face.y_mm > start
    x, y, depth = face.x_mm[near], face.y_mm[near], face.depth_mm[near]
    if len(x) < FEWEST:
        return None
    layout = lay_out(x, y, 0.5 * blank.width_mm, start, blank.depth_mm)
    from_edge = blank.depth_mm - y

    def left(radius: float) -> float:
        below = depth - front_roll_depth(from_edge, radius)
        values = robust_fit(layout, below, FAIRNESS_MM, ROUNDS).spline_at(layout)
        return float(np.mean(np.minimum(np.abs(np.maximum(values, 0.0) - below), OUTLIER_MM)))

    most = min(LARGEST_MM, 2.0 * blank.thickness_mm * 0.8, blank.depth_mm - start)
    tries = np.arange(0.0, most + 1e-9, COARSE_MM)
    losses = [left(radius) for radius in tries]
    best = int(np.argmin(losses))
    low, high = max(0.0, tries[best] - COARSE_MM), min(most, tries[best] + COARSE_MM)
    found = minimize_scalar(left, bounds=(low, high), method="bounded", options={"xatol": 0.05})
    radius = float(found.x) if found.fun < losses[best] else float(tries[best])
    if radius >= LEAST_MM and min(found.fun, losses[best]) < GAIN * losses[0]:
        return radius
    return 0.0 if np.count_nonzero(y > blank.depth_mm - SEEN_MM) >= SEEN_POINTS else None
