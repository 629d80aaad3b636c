"""Whether a scan is as large as its blank: in the unit given, in another, or at another scale."""

from __future__ import annotations

import numpy as np
from scipy.spatial import ConvexHull, QhullError
from scipy.spatial.distance import pdist

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.formats.length_unit import GIVEN, MM_PER
from seatmesh.units import shown
from seatmesh.wood.blank import Blank

LEAST, MOST = 0.6, 1.9
"""Greatest length in a scan over that in the blank: what is left out here the outline tells, with figures."""
SCALES = range(2, 21)
NEAR_SCALE = 0.06
SOME = 50_000


def refuse_implausible_size(points: Floats, unit: str, scale: float, blank: Blank, where: str) -> None:
    """Refuse a scan whose size fits the blank in another unit or at another scale, or in none.

    `points` are in the unit of the file, strays left out, shape (n, 3).

    Raises
    ------
    ValueRefusedError
        Naming the unit or the scale that would fit.
    """
    length = greatest_length(points)
    plan = blank.polygon_mm()
    whole = greatest_length(
        np.vstack([np.column_stack([plan, np.full(len(plan), z)]) for z in (0.0, -blank.thickness_mm)])
    )
    ratio = length * MM_PER[unit] / (scale * whole)
    if LEAST <= ratio <= MOST:
        return
    raise ValueRefusedError(
        "unit and scale",
        shown(unit) if scale == 1.0 else f"{unit} at {_named(scale)}",
        f"{where} is {length:.4g} {unit} from end to end, and the blank {whole:.0f} mm at full size",
        _todo(ratio, unit, scale),
    )


def _todo(ratio: float, unit: str, scale: float) -> str:
    fitting = [one for one in GIVEN if LEAST <= ratio * MM_PER[one] / MM_PER[unit] <= MOST]
    if fitting:
        return f"that fits in {fitting[0]}: say so, if it is"
    for n in SCALES:
        for factor, words in ((1.0 / n, f"1:{n}"), (float(n), f"{n}:1")):
            if abs(ratio * scale / factor - 1.0) < NEAR_SCALE:
                alone = "; if not, see that the seat is alone in the file"
                return f"it looks like a model at {words}: say --scale {words}, if it is{alone}"
    return "check that it is this seat, and alone"


def _named(scale: float) -> str:
    return f"1:{1.0 / scale:g}" if scale < 1.0 else f"{scale:g}:1"


def greatest_length(points: Floats) -> float:
    """Return the greatest distance between any two of some points, whichever way they lie."""
    low, high = (
        np.quantile(points, [0.0005, 0.9995], axis=0)
        if len(points) > SOME
        else (points.min(0), points.max(0))
    )
    some = points[np.all((points >= low) & (points <= high), axis=1)]
    some = some if len(some) else points
    try:
        corners = some[ConvexHull(some).vertices]
    except (QhullError, ValueError):
        corners = some
    corners = corners[:: max(1, len(corners) // 1500)]
    return float(pdist(corners).max()) if len(corners) > 1 else 0.0
