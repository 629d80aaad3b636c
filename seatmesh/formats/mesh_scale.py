"""Scales of a mesh as makers write them."""

from __future__ import annotations

import re
from fractions import Fraction

from seatmesh.errors import ValueRefusedError
from seatmesh.units import shown

SMALLEST, GREATEST = 0.01, 10

USUAL_TOLERANCE_MM = 0.1
"""Between mesh and surface of what is made, at its scale; never finer than that at full size."""
COARSEST_USUAL_MM = 1.0
"""At full size, however small the scale."""

_NUMBER = r"[0-9]{1,6}(?:\.[0-9]{1,6})?|\.[0-9]{1,6}"
_SCALE = re.compile(rf"(?P<top>{_NUMBER})\s*(?:(?P<percent>%)|[:/]\s*(?P<bottom>{_NUMBER}))?")


def parse_scale(text: str) -> float:
    """Return the factor that a scale stands for: ``1:4``, ``1/4``, ``25%`` and ``0.25`` are all 0.25.

    Raises
    ------
    ValueRefusedError
        For other text, and for a scale below 1:100 or above 10:1.
    """
    match = _SCALE.fullmatch(text.strip())
    bottom = Fraction((match["bottom"] or "1") if match else 0)
    if match is None or bottom == 0:
        raise _refusal(text)
    factor = Fraction(match["top"]) / bottom / (100 if match["percent"] else 1)
    if not Fraction(str(SMALLEST)) <= factor <= GREATEST:
        raise _refusal(text)
    return float(factor)


def usual_tolerance_mm(scale: float) -> float:
    """Return how far mesh and surface may part at full size where nobody says: a small model needs fewer facets.

    Examples
    --------
    >>> from seatmesh.formats.mesh_scale import usual_tolerance_mm
    >>> usual_tolerance_mm(0.125), usual_tolerance_mm(1.0), usual_tolerance_mm(2.0)
    (0.8, 0.1, 0.1)
    """
    return min(max(USUAL_TOLERANCE_MM, USUAL_TOLERANCE_MM / scale), COARSEST_USUAL_MM)


def _refusal(text: str) -> ValueRefusedError:
    return ValueRefusedError(
        "scale",
        shown(text),
        f"allowed is {SMALLEST} to {GREATEST}, written 1:4, 1/4, 25% or 0.25",
        "give 1:1 for full size",
    )
