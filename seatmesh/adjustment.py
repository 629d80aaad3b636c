"""Adjustments: a little more wood taken, or left, over a circle of a seat that is already drawn or carved."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite, pi
from typing import Literal

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import NotAmongError, ValueRefusedError
from seatmesh.units import shown

Side = Literal["one", "both"]

LEAST_RADIUS_MM = 5.0
"""A smaller circle is a nick, not carving, and would slip through the meshes of a solid."""


@dataclass(frozen=True)
class Adjustment:
    """A round, smooth change of depth: greatest at its centre, gone at its edge, and level at both.

    Attributes
    ----------
    x_mm, y_mm
        Centre: to the sitter's right from the centre line, forward from the rear edge.
    radius_mm
        Of the circle; outside it nothing changes.
    amount_mm
        What is taken at the centre; negative leaves that much more wood.
    side
        "one" stays where it is, "both" is mirrored at the centre line.

    Raises
    ------
    ValueRefusedError
        A length is not finite, the circle is smaller than `LEAST_RADIUS_MM` or the side is none.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from seatmesh import Adjustment, flat_seat
    >>> deeper = Adjustment(60.0, 150.0, 40.0, 1.5, side="both")
    >>> seat = replace(flat_seat(), adjustments=(deeper,))
    >>> seat.depth_mm([-60.0, 0.0, 60.0], 150.0).tolist()
    [1.5, 0.0, 1.5]
    """

    x_mm: float
    y_mm: float
    radius_mm: float
    amount_mm: float
    side: Side = "one"

    def __post_init__(self) -> None:
        for name in ("x_mm", "y_mm", "radius_mm", "amount_mm"):
            if not isfinite(value := getattr(self, name)):
                raise ValueRefusedError(
                    f"adjustment {name}", shown(value), "allowed is a finite number", "give it in mm"
                )
        if self.radius_mm < LEAST_RADIUS_MM:
            raise ValueRefusedError(
                "adjustment radius_mm",
                shown(self.radius_mm),
                f"allowed is {LEAST_RADIUS_MM:g} mm or more",
                "give half of the circle's diameter in mm",
            )
        if self.side not in ("one", "both"):
            raise NotAmongError("adjustment side", shown(self.side), ("one", "both"))

    @property
    def wood_mm3(self) -> float:
        """Wood that it takes where nothing cuts it off and the two sides do not overlap; negative for wood left."""
        sides = 2.0 if self.side == "both" else 1.0
        return sides * self.amount_mm * pi * self.radius_mm**2 / 3.0

    def depth_mm(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return the change of depth at places, mm; `x_mm` and `y_mm` broadcast.

        amount (1 - (r / radius)^2)^2, whose slope has no jump anywhere. Where a circle and its mirror image overlap,
        the two run into one another and take no more than the amount.
        """
        here = self._share(x_mm - self.x_mm, y_mm)
        if self.side == "both":
            there = self._share(x_mm + self.x_mm, y_mm)
            here = here + there - here * there
        return self.amount_mm * here

    def _share(self, across: Floats, y: Floats) -> Floats:
        outward = (across**2 + (y - self.y_mm) ** 2) / self.radius_mm**2
        return np.asarray(np.maximum(1.0 - outward, 0.0) ** 2)


def total_depth_mm(adjustments: Iterable[Adjustment], x_mm: Floats, y_mm: Floats) -> Floats:
    """Return the change of depth of several adjustments together, mm; `x_mm` and `y_mm` broadcast."""
    total = np.zeros(np.broadcast_shapes(np.shape(x_mm), np.shape(y_mm)))
    for one in adjustments:
        total = total + one.depth_mm(x_mm, y_mm)
    return total
