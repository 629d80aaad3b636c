"""Bowls and lumps a few crossings wide: no fair surface, and yet no slip of one reading.

A matched filter like that for ripples: bowls of two radii, at the crossings and midway between them, compared with the
readings by the inverse covariance of fair surface and errors.
"""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Bools
from seatmesh.gauge.check.fair.fair_surface import FairSurface, bare_surface

RADII = (1.2, 1.8)
"""Of the bowls tried, in spacings of the grid: narrower ones are seen by one crossing alone."""
STANDS_OUT = 4.2
"""Standard deviations; of about 300 independent places one passes by chance in less than 1 % of carvings."""
WORTH = 1.2
"""Depth of a bowl that matters, in tolerances."""
SHARE = 0.25
"""A reading belongs to a bowl where that is deeper than this share of its depth."""
LEAST_SEEN = 0.3


def dented(surface: FairSurface, spacing_mm: float, tolerance_mm: float) -> Bools:
    """Tell which of the values of a surface lie in a bowl or on a lump, shape (n,)."""
    places, values = surface.places, surface.values_mm
    bare = bare_surface(places, values, surface.noise_mm, max(surface.fair_ratio, 1.0), surface.shared)
    weighted = bare.precision @ values
    found = np.zeros(len(values), dtype=bool)
    middles = np.column_stack([places.x_mm, places.y_mm])
    step = 0.5 * spacing_mm
    tried = np.unique(
        np.round(np.vstack([middles, *(middles + s for s in ((step, 0.0), (0.0, step), (step, step)))]), 1),
        axis=0,
    )
    apart = np.hypot(tried[:, :1] - places.x_mm, tried[:, 1:] - places.y_mm)
    for radius in RADII:
        bowl = np.maximum(0.0, 1.0 - (apart / (radius * spacing_mm)) ** 2)
        told = np.einsum("mi,ij,mj->m", bowl, bare.precision, bowl, optimize=True)
        seen = told > LEAST_SEEN
        depth = np.where(seen, bowl @ weighted / np.maximum(told, LEAST_SEEN), 0.0)
        ratio = np.abs(depth) * np.sqrt(told) / surface.noise_mm
        for k in np.flatnonzero((ratio > STANDS_OUT) & (np.abs(depth) > WORTH * tolerance_mm)):
            found |= (bowl[k] >= SHARE) & (np.sign(values) == np.sign(depth[k]))
    return found
