"""Whether a scan shows the face twice: passes that were laid together wrongly lie one over the other."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import FileRefusedError
from seatmesh.reading.pose.layers import cells
from seatmesh.surface import Seat

BLOCK_MM, FEWEST_IN_BLOCK, FEWEST_BLOCKS = 40.0, 200, 10
EDGE_MM, FAR_MM = 8.0, 3.0
TWO_PEAKS = 1.5
"""The middle 80 % over the middle 50 %: 1.90 of a normal scatter, 1.6 of an even one, near 1 of two surfaces."""
APART_MM = 0.2
MOST_SHARE = 0.03


def refuse_doubled(laid: Floats, seat: Seat, where: str) -> None:
    """Refuse a scan that shows two surfaces over more than a little of its face.

    Raises
    ------
    FileRefusedError
        With how far apart they lie.
    """
    share, apart = doubled(laid, seat)
    if share > MOST_SHARE:
        raise FileRefusedError(
            f"{where} shows two surfaces about {apart:.1f} mm apart over {share:.0%} of the face: two passes were laid "
            "together wrongly, and nobody can tell which is the wood; register them again, or read the seat from one "
            "pass."
        )


def doubled(laid: Floats, seat: Seat) -> tuple[float, float]:
    """Return the share of the face that shows two surfaces, and how far apart these lie, mm.

    `laid` are points in the frame of the blank, shape (n, 3).
    """
    x, y, z = laid.T
    off = -z - seat.depth_mm(x, y)
    own = (np.abs(off) < FAR_MM) & (seat.blank.inside_mm(x, y) > EDGE_MM + seat.blank.round_over_mm)
    own &= (np.abs(seat.blank.ahead_of_deck_mm(x, y)) > EDGE_MM + seat.blank.gutter_width_mm) & (
        y < seat.roll_start_mm
    )
    if np.count_nonzero(own) < FEWEST_IN_BLOCK:
        return 0.0, 0.0
    block = cells(laid[own, :2], BLOCK_MM)
    key = block[:, 0] * (block[:, 1].max() + 1) + block[:, 1]
    order = np.argsort(key, kind="stable")
    parts = np.split(off[own][order], np.flatnonzero(np.diff(key[order])) + 1)
    widths = np.array([_widths(part) for part in parts if len(part) >= FEWEST_IN_BLOCK]).reshape(-1, 2)
    if len(widths) < FEWEST_BLOCKS:
        return 0.0, 0.0
    two = (widths[:, 1] > APART_MM) & (widths[:, 0] < TWO_PEAKS * widths[:, 1])
    return float(np.mean(two)), float(np.median(widths[two, 1])) if two.any() else 0.0


def _widths(off: Floats) -> tuple[float, float]:
    """Return the widths that hold the middle 80 % and the middle 50 % of some values."""
    tenth, quarter, three, nine = np.quantile(off, (0.1, 0.25, 0.75, 0.9))
    return float(nine - tenth), float(three - quarter)
