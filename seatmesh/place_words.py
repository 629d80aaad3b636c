"""Places on the blank in words: how far to which side of the centre line, and from the rear edge."""

from __future__ import annotations

from typing import Literal

from seatmesh.units import format_length

Side = Literal["one", "both"]

ON_CENTRE_MM = 0.5
"""A place nearer to the centre line than a pencil line is wide lies on it."""


def aside(x_mm: float, units: str, side: Side = "one", decimals: int = 1, step: int = 32) -> str:
    """Return on which side of the centre line a place lies; "both" has a mirror image on the other."""
    if abs(x_mm) < ON_CENTRE_MM:
        return "on the centre line"
    words = "to either side" if side == "both" else f"to the sitter's {'right' if x_mm > 0.0 else 'left'}"
    return f"{format_length(abs(x_mm), units, step=step, decimals=decimals)} {words} of the centre line"


def ahead(y_mm: float, units: str, decimals: int = 1, step: int = 32) -> str:
    """Return how far a place lies from the rear edge."""
    return f"{format_length(y_mm, units, step=step, decimals=decimals)} from the rear edge"


def place(x_mm: float, y_mm: float, units: str, side: Side = "one", decimals: int = 1, step: int = 32) -> str:
    """Return where a place lies: aside of the centre line, and from the rear edge."""
    return f"{aside(x_mm, units, side, decimals, step)}, {ahead(y_mm, units, decimals, step)}"


def roughly(x_mm: float, y_mm: float, units: str = "mm") -> str:
    """Return where a place lies to a millimetre or a sixteenth of an inch, as a hand finds it."""
    return place(x_mm, y_mm, units, decimals=0, step=16)


def line(at_mm: float, across: bool, units: str) -> str:
    """Return which row or column of crossings lies so far from the rear edge or the centre line."""
    if across:
        return f"row {ahead(at_mm, units, decimals=0, step=16)}"
    return f"column {aside(at_mm, units, decimals=0, step=16)}"
