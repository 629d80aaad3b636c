"""Sheets of a kept seat at full size, and the job sheet."""

from __future__ import annotations

from seatmesh.design.job_sheet.job_pages import job_sheet
from seatmesh.design.orders.order import Order
from seatmesh.design.shape import design
from seatmesh.design.steps import part, step
from seatmesh.sheets.all_sheets import sheets_of
from seatmesh.sheets.sheet_wishes import SheetWishes

from ...keeping.kept import KeptSeat
from .kept import kept_order, kept_seat


def sheets(kept: KeptSeat, suffix: str, paper: str, units: str | None, wood: str) -> bytes:
    """Return plan, section cards and, as PDF, stages."""
    order = kept_order(kept)
    own = _wishes(order, paper, units, wood)
    bodies = [one.body for one in order.sitters]
    return sheets_of(kept_seat(kept), bodies, own, (suffix,)).files[f"sheets.{suffix}"]


def job(kept: KeptSeat, paper: str, units: str | None, wood: str) -> bytes:
    """Return the job sheet; the order is shaped again for it, as it tells more than is kept."""
    order = kept_order(kept)
    with part(0.0, 0.6):
        made = design(order)
    step("drawing the pages", 0.6)
    data, _ = job_sheet(made, _wishes(order, paper, units, wood))
    return data


def _wishes(order: Order, paper: str, units: str | None, wood: str) -> SheetWishes:
    return SheetWishes(paper=paper, units=units, wood=wood, tools=order.tools or None, layup=order.layup)
