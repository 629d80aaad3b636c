"""Where a sitter meets the blank, as marks that a maker can check by sitting before any cut."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Side = Literal["left", "right", "middle"]


@dataclass(frozen=True)
class MarkedPlace:
    """A mark or a line on the blank, with how surely it is known.

    Attributes
    ----------
    name
        "hip end", "inner thigh line", "outer thigh line", "sit bone", "end of the spine" or "knee-back line".
    side
        The sitter's.
    points_mm
        One (x, y) for a mark, two or more for a line, in the frame of the blank.
    band_x_mm, band_y_mm
        Half-widths of the 90 % interval across and along.
    """

    name: str
    side: Side
    points_mm: tuple[tuple[float, float], ...]
    band_x_mm: float
    band_y_mm: float
