"""What the form of a seat costs and gains, against the other form in the same wood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from seatmesh.fit.hollow import Guest
from seatmesh.seating.figures import IN_CONTACT_KPA
from seatmesh.seating.settle import settle
from seatmesh.seating.sitter import lay_over
from seatmesh.surface import Seat

SHIFTED_MM = 20.0
"""How far a sitter shifts on the seat without thinking of it; common practice, from memory."""
SHIFTS = ((SHIFTED_MM, 0.0), (0.0, SHIFTED_MM), (0.0, -SHIFTED_MM))
"""To the side, forward and to the rear: the two sides are alike."""


@dataclass(frozen=True)
class FormFigures:
    """One sitter on one form of a seat.

    Attributes
    ----------
    peak_kpa, contact_area_cm2
        In place, the area above 0.67 kPa; infinite and 0 without a balance.
    shifted
        Greatest peak after a shift by `SHIFTED_MM` to a side, forward or to the rear, over the peak in place.
    """

    peak_kpa: float
    contact_area_cm2: float
    shifted: float


@dataclass(frozen=True)
class PriceOfForm:
    """The same order with the other form: its seat, and every sitter on the ordered seat and on that one."""

    seat: Seat
    ordered: tuple[FormFigures, ...]
    other: tuple[FormFigures, ...]


def price_of_form(ordered: Seat, other: Seat, guests: Sequence[Guest]) -> PriceOfForm:
    """Press every guest, in place and shifted, on both forms of a seat before any adjustment."""
    figures: tuple[list[FormFigures], list[FormFigures]] = ([], [])
    for guest in guests:
        body = guest.sitter.body
        shifted = [lay_over(body, ordered, guest.sitter.posture, at) for at in SHIFTS]
        for seat, out in zip((ordered, other), figures, strict=True):
            here = settle(guest.sitter, seat)
            start = here.solution.value if here.solution.converged else None
            most = max(settle(one, seat, start=start).peak_kpa for one in shifted)
            touched = (
                float((here.pressure_kpa > IN_CONTACT_KPA).sum()) * here.cell_mm[0] * here.cell_mm[1] / 100.0
            )
            out.append(FormFigures(here.peak_kpa, touched, most / here.peak_kpa))
    return PriceOfForm(other, tuple(figures[0]), tuple(figures[1]))
