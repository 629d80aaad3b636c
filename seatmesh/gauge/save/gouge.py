"""A gouge: a round bowl cut deeper than the seat as drawn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.units import real_number, shown

GOUGE_STEP_MM = 1.5
MOST_GOUGE_MM = 100.0


@dataclass(frozen=True)
class Gouge:
    """A round bowl cut too deep: `depth_mm` below the drawn seat at its middle, nothing at its rim.

    Attributes
    ----------
    x_mm, y_mm, radius_mm
        Its middle and its rim.
    depth_mm
        How much more than expected the gauge reads at its bottom.

    Raises
    ------
    ValueRefusedError
        A length is out of range.

    Examples
    --------
    >>> from seatmesh import Gouge
    >>> float(Gouge(0.0, 200.0, 30.0, 1.5).below_drawn_mm(0.0, 200.0))
    1.5
    """

    x_mm: float
    y_mm: float
    radius_mm: float
    depth_mm: float

    def __post_init__(self) -> None:
        for name in ("x_mm", "y_mm"):
            real_number(f"gouge {name}", getattr(self, name))
        for name in ("radius_mm", "depth_mm"):
            if not 0.0 < real_number(f"gouge {name}", getattr(self, name)) <= MOST_GOUGE_MM:
                raise ValueRefusedError(
                    f"gouge {name}",
                    shown(getattr(self, name)),
                    f"allowed is above 0, at most {MOST_GOUGE_MM:g} mm",
                    "give what the gauge reads beyond expected at the bottom, and half of the bowl's width",
                )

    def below_drawn_mm(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return how far it goes below the drawn seat at places; 0 beyond its rim."""
        outward = ((x_mm - self.x_mm) ** 2 + (y_mm - self.y_mm) ** 2) / self.radius_mm**2
        return np.asarray(self.depth_mm * np.maximum(1.0 - outward, 0.0))

    @property
    def between_mm(self) -> float:
        """How far it bulges below what is met at its places, between them: a chord against its arc."""
        return 0.5 * self.depth_mm * (GOUGE_STEP_MM / self.radius_mm) ** 2

    def places(self) -> tuple[Floats, Floats]:
        """Return places all over it, its middle among them."""
        steps = np.arange(
            -np.ceil(self.radius_mm / GOUGE_STEP_MM), np.ceil(self.radius_mm / GOUGE_STEP_MM) + 1
        )
        u, v = (a.ravel() * GOUGE_STEP_MM for a in np.meshgrid(steps, steps))
        inside = np.hypot(u, v) < self.radius_mm
        return self.x_mm + u[inside], self.y_mm + v[inside]
