"""A place on a seat that was read back, in words."""

from __future__ import annotations

ON_CENTRE_MM = 1.0


def spot(x_mm: float, y_mm: float) -> str:
    """Return where a place lies: on which side of the centre line, and how far from the rear edge."""
    if abs(x_mm) < ON_CENTRE_MM:
        return f"on the centre line, {y_mm:.0f} mm from the rear edge"
    side = "right" if x_mm > 0.0 else "left"
    return f"{abs(x_mm):.0f} mm to the sitter's {side} of the centre line, {y_mm:.0f} mm from the rear edge"
