"""Places on the blank in words: how far to which side of the centre line, and from the rear edge."""

from __future__ import annotations

from typing import Literal

from seatmesh.units import format_length

Side = Literal["one", "both"]

ON_CENTRE_MM = 0.5
"""A place nearer to the centre line than a pencil line is wide lies on it."""


def aside(x_mm: float, units: str, side: Side = "one", decimals: int = 1) -> str:
    """Return on which side of the centre line a place lies; "both" has a mirror image on the other."""
    if abs(x_mm) < ON_CENTRE_MM:
        return "on the centre line"
    words = "to either side" if side == "both" else f"to the sitter's {'right' if x_mm > 0.0 else 'left'}"
    return f"{format_length(abs(x_mm), units, decimals=decimals)} {words} of the centre line"


def place(x_mm: float, y_mm: float, units: str, side: Side = "one", decimals: int = 1) -> str:
    """Return where a place lies: aside of the centre line, and from the rear edge."""
    return (
        f"{aside(x_mm, units, side, decimals)}, "
        f"{format_length(y_mm, units, decimals=decimals)} from the rear edge"
    )
