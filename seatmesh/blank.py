"""The blank: the piece of wood before anything is carved."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seatmesh.outline import OUTLINES, outline_polygon

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Blank:
    """A plank glued up for one seat; the defaults are a usual side-chair blank (common practice).

    Attributes
    ----------
    width_mm, depth_mm, thickness_mm
        Across, from the rear edge to the front edge, and from top face to underside.
    floor_mm
        Least wood left under the hollow.
    deck_mm
        The flat kept for joinery at the back, from the rear edge to the deck line.
    outline
        Name of the plan outline, one of `seatmesh.outline.OUTLINES`.
    corner_radius_mm
        Corner radius of a rounded outline.
    """

    width_mm: float = 480.0
    depth_mm: float = 430.0
    thickness_mm: float = 45.0
    floor_mm: float = 20.0
    deck_mm: float = 50.0
    outline: str = "rounded"
    corner_radius_mm: float = 60.0

    @property
    def greatest_depth_mm(self) -> float:
        """How deep the hollow may go before it meets the floor."""
        return self.thickness_mm - self.floor_mm

    def polygon_mm(self) -> Floats:
        """Return the plan outline, shape (n, 2), counter-clockwise seen from above, not repeated at the end."""
        return outline_polygon(self.outline, self.width_mm, self.depth_mm, self.corner_radius_mm)


__all__ = ["OUTLINES", "Blank"]
