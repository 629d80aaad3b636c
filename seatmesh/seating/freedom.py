"""Sitting is not one posture: a seat in every way it is sat on, the worst of them, and what that costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from seatmesh.body.body import Body
from seatmesh.body.figure.posture import POSTURES
from seatmesh.seating.figures import FELT_SHARE
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over
from seatmesh.seating.sitting import Sitting
from seatmesh.surface import Seat


@dataclass(frozen=True)
class Freedom:
    """A sitter's freedom to shift on a seat.

    Attributes
    ----------
    sittings
        One for each posture, in the order of `POSTURES`, upright first.
    """

    sittings: tuple[Sitting, ...]

    @property
    def worst(self) -> Sitting:
        """The posture that presses hardest; one that finds no balance comes before all others."""
        return max(self.sittings, key=lambda one: one.figures.peak_kpa if one.converged else float("inf"))

    @property
    def cost(self) -> float | None:
        """How much harder than upright the worst posture presses, as a share; None where one finds no balance."""
        upright = self.sittings[0]
        if not (upright.converged and self.worst.converged):
            return None
        return float(self.worst.figures.peak_kpa / upright.figures.peak_kpa - 1.0)


def freedom_of(body: Body, seat: Seat, *, load_n: float | None = None) -> Freedom:
    """Sit a body on a seat in every posture."""
    return Freedom(tuple(press(lay_over(body, seat, posture), seat, load_n) for posture in POSTURES))


def freedom_report(freedom: Freedom) -> dict[str, Any]:
    """Return the postures and their cost under the keys that the command `sit` prints."""
    return {
        "postures": [_posture(one) for one in freedom.sittings],
        "freedom_to_shift": {
            "worst_posture": freedom.worst.posture,
            "cost": freedom.cost,
            "felt": freedom.cost is None or freedom.cost > FELT_SHARE,
        },
    }


def _posture(sitting: Sitting) -> dict[str, Any]:
    keys = ("peak_kpa", "contact_area_cm2", "load_n", "load_point_mm", "tailbone_clearance_mm")
    figures = {key: sitting.figures[key] for key in keys if key in sitting.figures}
    return {"posture": sitting.posture, **figures, "verdict": sitting.verdict}
