"""Sheets of a kept seat at full size, and the job sheet."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from seatmesh.design.job_sheet.job_pages import job_sheet
from seatmesh.design.shape import design
from seatmesh.sheets.all_sheets import sheets_of
from seatmesh.sheets.sheet_wishes import SheetWishes

from .kept import kept_order, kept_seat


def sheets(folder: Path, seat: str, suffix: str, wishes: SheetWishes) -> bytes:
    """Return plan, section cards and, as PDF, stages."""
    order = kept_order(folder, seat)
    own = replace(wishes, tools=order.tools or None, layup=order.layup)
    bodies = [one.body for one in order.sitters]
    return sheets_of(kept_seat(folder, seat), bodies, own, (suffix,)).files[f"sheets.{suffix}"]


def job(folder: Path, seat: str, wishes: SheetWishes) -> bytes:
    """Return the job sheet; the order is shaped again for it, as it tells more than is kept."""
    order = kept_order(folder, seat)
    data, _ = job_sheet(design(order), replace(wishes, tools=order.tools or None, layup=order.layup))
    return data
