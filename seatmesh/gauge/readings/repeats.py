"""Crossings that were read more than once: readings that confirm each other, and those that do not."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Bools, Floats, Ints

AGREE_SIGMAS, DIFFER_SIGMAS = 2.0, 3.0
"""Standard deviations within which two readings of one crossing confirm each other, and beyond which they contradict
each other; between the two they say nothing of each other."""
AGREE_MM, DIFFER_MM = 0.2, 0.3
"""The same whatever their scatter."""


@dataclass(frozen=True)
class Repeats:
    """What repeated readings say; arrays of shape (n,).

    Attributes
    ----------
    confirmed
        Readings that another one of the same crossing confirms.
    crossing
        The first reading of the same crossing.
    doubted
        Readings that others of the same crossing contradict, none of them confirmed.
    outvoted
        Readings that two others, which confirm each other, contradict.
    """

    confirmed: Bools
    crossing: Ints
    doubted: Bools
    outvoted: Bools


def repeats(point: Ints, values_mm: Floats, noise_mm: float, shared_mm2: Floats) -> Repeats:
    """Compare readings (n,) of the same crossings; `values_mm` is NaN where nothing was read.

    `shared_mm2` (n, n) is the covariance of what the bar adds to them; bars are taken to sit much alike here, since a
    setting that nothing else tells would agree with anything.
    """
    n = len(point)
    confirmed, doubted, outvoted = (np.zeros(n, dtype=bool) for _ in range(3))
    crossing = np.arange(n)
    order: dict[int, list[int]] = {}
    for k in np.flatnonzero(np.isfinite(values_mm)):
        order.setdefault(int(point[k]), []).append(int(k))
    for group in order.values():
        if len(group) < 2:
            continue
        at = np.array(group)
        crossing[at] = at[0]
        among = shared_mm2[np.ix_(at, at)]
        unsure = np.diag(among)[:, None] + np.diag(among) - 2.0 * among + 2.0 * noise_mm**2
        apart = np.abs(values_mm[at][:, None] - values_mm[at])
        agree = apart <= np.maximum(AGREE_SIGMAS * np.sqrt(unsure), AGREE_MM)
        differ = apart > np.maximum(DIFFER_SIGMAS * np.sqrt(unsure), DIFFER_MM)
        best = agree[int(np.argmax(agree.sum(axis=1)))]
        if best.sum() >= 2:
            confirmed[at[best]] = True
            outvoted[at[~best & differ[:, best].any(axis=1)]] = True
        elif differ.any():
            doubted[at] = True
    return Repeats(confirmed, crossing, doubted, outvoted)
