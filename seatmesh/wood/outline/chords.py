"""Where straight lines in plan enter and leave an outline."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats

ACROSS, ALONG = 0, 1
"""Which coordinate runs on such a line: x on one across the seat, y on one along it."""
INSIDE_MM = 1e-3
"""A line on the very edge of an outline, or beyond it, is taken this far inside."""


def chords_mm(polygon: Floats, at_mm: Floats, runs: int) -> tuple[Floats, Floats]:
    """Return where lines enter and leave an outline, two arrays of shape (n,).

    Parameters
    ----------
    polygon
        Corners of the outline, shape (m, 2).
    at_mm
        Where the lines lie, shape (n,): y of lines that run `ACROSS`, x of those that run `ALONG`.

    Examples
    --------
    >>> import numpy as np
    >>> square = np.array([[-10.0, 0.0], [10.0, 0.0], [10.0, 30.0], [-10.0, 30.0]])
    >>> first, last = chords_mm(square, np.array([15.0]), ACROSS)
    >>> float(first[0]), float(last[0])
    (-10.0, 10.0)
    """
    met = _met(polygon, at_mm, runs)
    return np.asarray(np.nanmin(met, axis=1)), np.asarray(np.nanmax(met, axis=1))


def unbroken_half_mm(polygon: Floats, y_mm: Floats) -> Floats:
    """Return how far the wood reaches from the centre line to the right, without a break, at rows y (n,).

    It is 0 where there is no wood beside the centre line.
    """
    met = _met(polygon, y_mm, ACROSS)
    wide = np.where(met > 0.0, met, np.inf).min(axis=1)
    return np.asarray(np.where(np.isfinite(wide), wide, 0.0))


def _met(polygon: Floats, at_mm: Floats, runs: int) -> Floats:
    """Return where each line meets each side, shape (n, m); not a number where it does not."""
    fixed = 1 - runs
    low, high = polygon[:, fixed].min() + INSIDE_MM, polygon[:, fixed].max() - INSIDE_MM
    held = np.clip(at_mm, low, high)[:, None]
    start, end = polygon, np.roll(polygon, -1, axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (held - start[:, fixed]) / (end[:, fixed] - start[:, fixed])
        met = start[:, runs] + share * (end[:, runs] - start[:, runs])
    return np.asarray(np.where((share >= 0.0) & (share <= 1.0), met, np.nan))
