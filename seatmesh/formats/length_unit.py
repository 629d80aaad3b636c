"""Units of a scan: asked for, and looked at for whether they can be meant."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from seatmesh.errors import NotAmongError, ValueRefusedError
from seatmesh.formats.scan_contents import Raw
from seatmesh.units import MM_PER_FOOT, MM_PER_INCH, shown
from seatmesh.wood.blank import Blank

Floats = NDArray[np.float64]

MM_PER = {"mm": 1.0, "in": MM_PER_INCH, "m": 1000.0, "cm": 10.0, "ft": MM_PER_FOOT, "um": 0.001}
GIVEN = ("mm", "in", "m", "cm")
"""What a user may say; the others only a file says."""
LEAST_SHARE, MOST_SHARE = 0.6, 1.9
"""Greatest extent over the blank's greater side. A seat that lies askew spans up to 1.4 times as much."""


def unit_of(raw: Raw, given: str | None, where: str) -> str:
    """Return the unit of a file: what it says itself, or else what was given.

    Raises
    ------
    ValueRefusedError
        None was given for a file that does not say, one was given that is none, or the two disagree.
    """
    if given is not None and given not in GIVEN:
        raise NotAmongError("unit", shown(given), GIVEN)
    if raw.unit is None:
        if given is None:
            raise ValueRefusedError(
                "unit",
                given,
                f"{where} does not say its unit; allowed are {', '.join(GIVEN)}",
                "say which it is in",
            )
        return given
    if given is not None and given != raw.unit:
        raise ValueRefusedError(
            "unit",
            shown(given),
            f"{where} says that it is in {raw.unit}",
            "leave the unit out, or correct the file",
        )
    return raw.unit


def refuse_implausible(spans: Floats, unit: str, blank: Blank, where: str) -> None:
    """Refuse a scan whose size fits the blank in another unit, or in none.

    `spans` are its extents along x, y and z in the unit of the file, strays left out.
    """
    side = max(blank.width_mm, blank.depth_mm)
    greatest = float(np.max(spans))
    if LEAST_SHARE <= greatest * MM_PER[unit] / side <= MOST_SHARE:
        return
    size = " x ".join(f"{span:.4g}" for span in spans)
    fitting = [u for u in GIVEN if LEAST_SHARE <= greatest * MM_PER[u] / side <= MOST_SHARE]
    todo = (
        f"that fits in {fitting[0]}: say so, if it is" if fitting else "check that it is this seat, and alone"
    )
    raise ValueRefusedError(
        "unit",
        shown(unit),
        f"{where} spans {size} {unit}, and the blank is {blank.width_mm:g} x {blank.depth_mm:g} mm",
        todo,
    )
