"""Places on the seat in a maker's words."""

from __future__ import annotations

from seatmesh.units import format_length

ON_CENTRE_MM = 5.0


def place_words(x_mm: float, y_mm: float, units: str) -> str:
    """Return a place by the sitter's side and its distances from the centre line and the rear edge."""
    from_rear = f"{format_length(y_mm, units, step=16, decimals=0)} from the rear edge"
    if abs(x_mm) <= ON_CENTRE_MM:
        return f"on the centre line, {from_rear}"
    side = "right" if x_mm > 0 else "left"
    from_centre = format_length(abs(x_mm), units, step=16, decimals=0)
    return f"sitter's {side}, {from_centre} from the centre line, {from_rear}"
