"""How wavy a scan shows wood that is flat: its hollow is as wavy, and nothing else in it tells."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.errors import FileRefusedError
from seatmesh.reading.pose.judged.evidence import Plan
from seatmesh.reading.pose.layers import cells

BLOCKS_MM = (12.0, 20.0, 32.0)
"""A span of the spline, which smooths shorter waves away and follows longer ones; more where points lie far apart."""
FEWEST_IN_BLOCK, FEWEST_BLOCKS = 4, 12
HIGH_MM = 6.0
MOST_OFF_MM = 0.1
"""A depth read back is right within this, rms, or the scan is refused."""


def waviness_mm(laid: Floats, plan: Plan) -> float | None:
    """Return the rms waves of the deck as a scan shows it, its scatter taken off; None where too little was seen.

    Parameters
    ----------
    laid
        The scan's own points in the frame of the blank, shape (n, 3), mm: between the corners of wide facets nothing
        was seen.
    """
    near = laid[np.abs(laid[:, 2]) < HIGH_MM]
    deck = near[plan.on_deck(near)]
    if len(deck) < FEWEST_IN_BLOCK * FEWEST_BLOCKS:
        return None
    rows = np.column_stack([np.ones(len(deck)), deck[:, :2]])
    off = deck[:, 2] - rows @ np.linalg.lstsq(rows, deck[:, 2], rcond=None)[0]
    # One step of a robust fit: a crumb on the deck is no wave.
    sound = np.abs(off) < max(0.5, 5.0 * 1.4826 * float(np.median(np.abs(off))))
    off = off - rows @ np.linalg.lstsq(rows[sound], off[sound], rcond=None)[0]
    found = (_of_blocks(off[sound], _blocks(deck[sound], width)) for width in BLOCKS_MM)
    return next((waves for waves in found if waves is not None), None)


def _blocks(deck: Floats, width_mm: float) -> Ints:
    block = cells(deck[:, :2], width_mm)
    return np.asarray(block[:, 0] * (block[:, 1].max() + 1) + block[:, 1])


def _of_blocks(off: Floats, block: Ints) -> float | None:
    """Return the rms of the means of blocks, less what the scatter within them makes of it."""
    number = np.unique(block, return_inverse=True)[1]
    count = np.bincount(number)
    mean = np.bincount(number, weights=off) / count
    spread = np.bincount(number, weights=(off - mean[number]) ** 2) / np.maximum(count - 1, 1)
    own = count >= FEWEST_IN_BLOCK
    if np.count_nonzero(own) < FEWEST_BLOCKS:
        return None
    squared = float(np.mean(mean[own] ** 2)) - float(np.mean(spread[own] / count[own]))
    return float(np.sqrt(max(0.0, squared)))


def refuse_unsure(waves_mm: float | None, error_mm: float, where: str) -> None:
    """Refuse a scan whose waves and scatter together leave its depths less sure than is allowed.

    Raises
    ------
    FileRefusedError
        With how wavy the deck comes out, or how much its points scatter.
    """
    waves = waves_mm or 0.0
    if np.hypot(waves, error_mm) <= MOST_OFF_MM:
        return
    if waves > error_mm:
        raise FileRefusedError(
            f"{where} shows the flat wood of the deck wavy by {waves:.2f} mm rms, and its hollow is no better; allowed "
            f"is {MOST_OFF_MM:g} mm; scan again from nearer and in fewer pieces, or read the seat with a gauge."
        )
    raise FileRefusedError(
        f"{where}: its points scatter so much, and are so few, that its depths are sure within {error_mm:.2f} mm rms; "
        f"allowed is {MOST_OFF_MM:g} mm; scan again from nearer and closer together, or read the seat with a gauge."
    )
