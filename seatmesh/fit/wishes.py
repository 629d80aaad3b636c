"""What the maker wishes of the hollow, in the words of the trade."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Wishes:
    """Wishes for a hollow; the defaults are common practice.

    Attributes
    ----------
    depth_mm
        Depth of the hollow at its deepest.
    deepest_y_mm
        Distance of the deepest line from the rear edge; None leaves it where the body puts it.
    pommel_mm
        Greatest height of the ridge between the thighs above the hollows beside it, at the front edge.
    pommel_length_mm
        From the front edge back to where the ridge has gone.
    front_roll_mm
        Radius of the roll along the front edge, 0 for none.
    closeness
        0 is a gentle common dish, 1 follows the body.
    tailbone_relief_mm
        Further depth under the tip of the tailbone.
    """

    depth_mm: float = 18.0
    deepest_y_mm: float | None = None
    pommel_mm: float = 8.0
    pommel_length_mm: float = 130.0
    front_roll_mm: float = 20.0
    closeness: float = 0.8
    tailbone_relief_mm: float = 2.0
