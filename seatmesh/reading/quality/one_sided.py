"""Whether points scatter one way in the hollow and not on flat wood: dust, or a shiny face that is seen short."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.surface import Seat

EDGE_MM, DECK_LINE_MM = 6.0, 4.0
CARVED_MM, FLAT_MM = 1.0, 1e-9
FAR_MM = 3.0
FEWEST = 2000
QUANTILES = (0.1, 0.5, 0.9)
TO_MIDDLE = 2.2
"""Scatter that goes one way, half of a normal one, moves the middle by so much for what its tenths lie uneven: 1.6
where there is no other, more where even scatter lies over it; measured with a third of even scatter."""
CLEAR_MM = 0.05
"""A lesser figure is the fit's own: a spline cannot follow every edge."""


def one_sided_mm(laid: Floats, seat: Seat) -> float:
    """Return about how far one-sided scatter moves the depths of a seat; 0 where too few points tell.

    A fit follows the middle of its points. Where their upper and lower tenth lie uneven about it in the hollow, as they
    do not on uncut wood, the wood is not in the middle.
    """
    blank = seat.blank
    x, y, z = laid.T
    own = (z > -blank.thickness_mm + 2.0) & (z < FAR_MM)
    x, y, z = x[own], y[own], z[own]
    depth = seat.depth_mm(x, y)
    off = -z - depth
    clear = (blank.inside_mm(x, y) > EDGE_MM + blank.round_over_mm) & (np.abs(off) < FAR_MM)
    ahead = blank.ahead_of_deck_mm(x, y)
    hollow = (
        clear
        & (ahead > DECK_LINE_MM + blank.gutter_width_mm)
        & (depth > CARVED_MM)
        & (y < seat.roll_start_mm)
    )
    flat = clear & (ahead < -DECK_LINE_MM)
    if min(np.count_nonzero(hollow), np.count_nonzero(flat)) < FEWEST:
        return 0.0
    uneven = _uneven(off[hollow]) - _uneven(off[flat])
    moved = TO_MIDDLE * abs(uneven)
    return moved if moved > CLEAR_MM else 0.0


def _uneven(off: Floats) -> float:
    low, middle, high = np.quantile(off, QUANTILES)
    return float(high + low - 2.0 * middle)
