"""What a seat stands on and what presses it when its floor is held against a standard's static load."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.deepest import deepest_places
from seatmesh.surface import Seat

PAD_MM = 100.0
"""Radius of the loading pad: a small seat pad is about 200 mm across (EN 1728, from memory)."""
FRONT_MM = 80.0
"""How far behind the front edge the pad's middle is in the second case (EN 1728, from memory)."""
LEG_GPA = 10.0
LEG_LONG_MM = 400.0
USUAL_LEG_MM = 28.0
USUAL_INSET_MM = (75.0, 70.0)
"""Legs that an order does not have: their bore, and how far in from the sides and from rear and front edge."""
SIDEWAYS_SHARE = 0.02
"""How stiffly a leg holds the seat sideways, over upright: enough to keep it in its place."""


@dataclass(frozen=True)
class LegPlace:
    """Where a leg carries the seat."""

    x_mm: float
    y_mm: float
    diameter_mm: float

    @property
    def stiffness_n_mm(self) -> Floats:
        """Along each axis: upright that of a straight leg pressed on its end."""
        upright = 1000.0 * LEG_GPA * 0.25 * np.pi * self.diameter_mm**2 / LEG_LONG_MM
        return np.array([SIDEWAYS_SHARE, SIDEWAYS_SHARE, 1.0]) * upright

    def weight(self, points_mm: Floats) -> Floats:
        """Return how a leg's force is spread over places, shape (n, 3): smoothly, most on its axis."""
        away = np.hypot(points_mm[:, 0] - self.x_mm, points_mm[:, 1] - self.y_mm)
        return np.asarray(np.exp(-((away / (0.5 * self.diameter_mm)) ** 2)))


@dataclass(frozen=True)
class PadPlace:
    """Where the load presses, and what the case is called."""

    name: str
    x_mm: float
    y_mm: float

    def weight(self, points_mm: Floats) -> Floats:
        """Return how the load is spread over places, shape (n, 3): evenly under the pad, falling off at its rim."""
        away = np.hypot(points_mm[:, 0] - self.x_mm, points_mm[:, 1] - self.y_mm)
        return np.asarray(np.exp(-((away / PAD_MM) ** 8)))


def legs_of(seat: Seat) -> tuple[tuple[LegPlace, ...], bool]:
    """Return where legs carry a seat, and whether they are the order's own: usual ones stand in for none."""
    blank = seat.blank
    own = [one for one in blank.joints if one.kind == "leg mortise"]
    places = [
        LegPlace(sign * one.x_mm, one.y_mm, one.diameter_mm)
        for one in own
        for sign in ((1.0, -1.0) if one.side == "both" and abs(one.x_mm) > 1e-9 else (1.0,))
    ]
    if len(places) >= 3:
        return tuple(places), True
    across, along = 0.5 * blank.width_mm - USUAL_INSET_MM[0], USUAL_INSET_MM[1]
    usual = [
        _inward(seat, x, y, USUAL_LEG_MM) for y in (along, blank.depth_mm - along) for x in (-across, across)
    ]
    return tuple(usual), False


def pads_of(seat: Seat) -> tuple[PadPlace, ...]:
    """Return where the load presses: between the deepest places, and near the front edge."""
    places = deepest_places(seat)
    y = float(np.mean([one[1] for one in places])) if places else 0.5 * seat.blank.depth_mm
    front = seat.blank.depth_mm - FRONT_MM
    return PadPlace("the sitting place", 0.0, y), PadPlace("the front edge", 0.0, front)


def _inward(seat: Seat, x: float, y: float, diameter: float) -> LegPlace:
    """Return a leg's place, moved toward the middle of the seat until it lies well inside the outline."""
    middle = 0.5 * seat.blank.depth_mm
    share = next(
        (s for s in np.linspace(1.0, 0.2, 33) if seat.blank.inside_mm(s * x, middle + s * (y - middle)) > 1.5 *
        diameter), 0.2,
    )  # fmt: skip
    return LegPlace(float(share * x), float(middle + share * (y - middle)), diameter)
