"""What the form of a seat costs and gains, against the other form in the same wood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from seatmesh.design.orders.order import Order
from seatmesh.design.shape import Design, best_seat
from seatmesh.errors import NotSolvedError
from seatmesh.fit.hollow import Guest
from seatmesh.fit.wished.wishes import FormKind
from seatmesh.seating.figures import area_figures
from seatmesh.seating.settle import Settled, settle
from seatmesh.seating.sitter import Sitter, lay_over
from seatmesh.surface import Seat
from seatmesh.units import MM_PER_INCH

SHIFTED_MM = {"mm": 20.0, "in": 0.75 * MM_PER_INCH}
"""How far a sitter shifts on the seat without thinking of it, by the order's unit; common practice, from memory."""
SHIFTS = ((1.0, 0.0), (0.0, 1.0), (0.0, -1.0))
"""To the side, forward and to the rear: the two sides are alike."""


@dataclass(frozen=True)
class FormFigures:
    """One sitter on one form of a seat.

    Attributes
    ----------
    peak_kpa, contact_area_cm2
        In place, as a sitting's figures of these names; None without a balance.
    shifted
        Greatest peak after a shift by `SHIFTED_MM` to a side, forward or to the rear, over the peak in place; None
        where one of these has no balance.
    """

    peak_kpa: float | None
    contact_area_cm2: float | None
    shifted: float | None


@dataclass(frozen=True)
class PriceOfForm:
    """Every sitter on the ordered seat before any adjustment, and on the other form in the same wood.

    Attributes
    ----------
    form, other_form
        The form of the order, and the other one.
    ordered, other
        One for each sitter of the order; `other` is empty where `why_not` says why there is no such seat.
    """

    form: FormKind
    other_form: FormKind
    ordered: tuple[FormFigures, ...]
    other: tuple[FormFigures, ...]
    why_not: str = ""


def price_of_form(design: Design) -> PriceOfForm | None:
    """Shape an order's seat in the other form too, and press every sitter on both; None for an uncarved seat.

    It takes about as long as the shaping of the seat. A form that no seat is found for is told, not raised.
    """
    if design.unadjusted.hollow is None:
        return None
    turned = in_other_form(design.order)
    forms = (design.order.wishes.form, turned.wishes.form)
    here = _figures(design.guests, design.unadjusted)
    try:
        there = _figures(design.guests, best_seat(design.guests, turned))
    except NotSolvedError as error:
        return PriceOfForm(*forms, here, (), str(error))
    return PriceOfForm(*forms, here, there)


def in_other_form(order: Order) -> Order:
    """Return the order with the other form wished for: fair, or least pressure."""
    other: FormKind = "fair" if order.wishes.form == "least pressure" else "least pressure"
    return replace(order, wishes=replace(order.wishes, form=other))


def _figures(guests: Sequence[Guest], seat: Seat) -> tuple[FormFigures, ...]:
    return tuple(_on(guest.sitter, seat) for guest in guests)


def _on(sitter: Sitter, seat: Seat) -> FormFigures:
    here = settle(sitter, seat)
    if not here.solution.converged:
        return FormFigures(None, None, None)
    far = SHIFTED_MM[seat.units]
    shifted = [
        settle(
            lay_over(sitter.body, seat, sitter.posture, (far * x, far * y)), seat, start=here.solution.value
        )
        for x, y in SHIFTS
    ]
    balanced = all(one.solution.converged for one in shifted)
    most = max(one.peak_kpa for one in shifted) / here.peak_kpa if balanced else None
    return FormFigures(here.peak_kpa, _contact_cm2(here, sitter), most)


def _contact_cm2(settled: Settled, sitter: Sitter) -> float:
    area = sitter.grid.cell_area_mm2 * sitter.grid.wood
    return float(area_figures(settled.pressure_kpa.ravel(), area.ravel()).contact_cm2)
