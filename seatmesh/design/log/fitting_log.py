"""The fitting log: what the client said of mock-up or roughed seat, as dated adjustments, and what each one did."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from seatmesh.adjustment import Adjustment
from seatmesh.seating.settle import settle
from seatmesh.seating.sitter import Sitter
from seatmesh.surface import Seat

Tag = Literal["comfort", "look"]

ACTIONS: Mapping[str, float] = {"deepen": 1.0, "ease": 1.0, "raise": -1.0}
"""What may be done, and whether it takes wood (1) or leaves more (-1)."""
SIDES = ("both", "left", "right", "middle")
TAGS: tuple[Tag, ...] = ("comfort", "look")


@dataclass(frozen=True)
class Entry:
    """One adjustment with its day and reason.

    Attributes
    ----------
    change
        What it does to the seat.
    tag
        "comfort" or "look": a look may cost pressure, and the report says how much.
    locked
        Kept by `undo`.
    """

    change: Adjustment
    action: str
    date: str = ""
    why: str = ""
    tag: Tag = "comfort"
    locked: bool = False

    @property
    def where(self) -> str:
        """Its side: "left", "right", "middle" or "both"."""
        if self.change.side == "both":
            return "both"
        return "middle" if self.change.x_mm == 0.0 else "left" if self.change.x_mm < 0.0 else "right"


def undo(log: tuple[Entry, ...]) -> tuple[Entry, ...]:
    """Return the log without its last entry that is not locked; unchanged where all are."""
    for number in range(len(log) - 1, -1, -1):
        if not log[number].locked:
            return log[:number] + log[number + 1 :]
    return log


def adjusted(seat: Seat, log: Sequence[Entry]) -> Seat:
    """Return the seat with the log's adjustments, inside its bounds."""
    return replace(seat, adjustments=(*seat.adjustments, *(entry.change for entry in log)))


def effects(seat: Seat, log: Sequence[Entry], sitters: Sequence[Sitter]) -> list[dict[str, Any]]:
    """Return what each entry in turn does to every sitter's peak; `seat` is without them."""
    rows = []
    before = [settle(sitter, seat).peak_kpa for sitter in sitters]
    for number, entry in enumerate(log, start=1):
        after = [settle(sitter, adjusted(seat, log[:number])).peak_kpa for sitter in sitters]
        rows.append(
            {
                "number": number,
                "date": entry.date,
                "action": entry.action,
                "x_mm": entry.change.x_mm,
                "y_mm": entry.change.y_mm,
                "radius_mm": entry.change.radius_mm,
                "amount_mm": abs(entry.change.amount_mm),
                "side": entry.where,
                "tag": entry.tag,
                "why": entry.why,
                "locked": entry.locked,
                "peaks": [
                    {"body": sitter.body.name, "before_kpa": was, "after_kpa": now}
                    for sitter, was, now in zip(sitters, before, after, strict=True)
                ],
            }
        )
        before = after
    return rows
