"""The fitting log: what the client said of mock-up or roughed seat, as dated adjustments, and what each one did."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from seatmesh.adjustment import Adjustment
from seatmesh.arrays import Floats
from seatmesh.errors import NotSolvedError
from seatmesh.seating.figures import averaged
from seatmesh.seating.settle import settle
from seatmesh.seating.sitter import Sitter
from seatmesh.surface import Seat

Tag = Literal["comfort", "look"]
Where = Literal["left", "right", "middle", "both"]

ACTIONS: Mapping[str, float] = {"deepen": 1.0, "ease": 1.0, "raise": -1.0}
"""What may be done, and whether it takes wood (1) or leaves more (-1)."""
SIDES: tuple[Where, ...] = ("left", "right", "middle", "both")
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

    Examples
    --------
    >>> from seatmesh import Adjustment, Entry
    >>> Entry(Adjustment(60.0, 150.0, 40.0, 1.5), "deepen", why="hard there").where
    'right'
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


def peak_on(sitter: Sitter, seat: Seat) -> float:
    """Return a sitter's peak over 1 cm2 on a seat, kPa.

    Raises
    ------
    NotSolvedError
        The sitter finds no balance there.
    """
    return float(_felt_on(sitter, seat).max())


def effects(seat: Seat, log: Sequence[Entry], sitters: Sequence[Sitter]) -> list[dict[str, Any]]:
    """Return what each entry in turn does to every sitter's peak, on the whole seat and inside the entry's circle.

    `seat` is without them. All that is said of an adjustment, advised or made, is reckoned here; raises as `peak_on`.
    """
    rows = []
    before = [_felt_on(sitter, seat) for sitter in sitters]
    for number, entry in enumerate(log, start=1):
        after = [_felt_on(sitter, adjusted(seat, log[:number])) for sitter in sitters]
        rows.append(
            {
                "number": number,
                **asked_of(entry),
                "date": entry.date,
                "tag": entry.tag,
                "locked": entry.locked,
                "peaks": [
                    {
                        "body": sitter.body.name,
                        "before_kpa": float(was.max()),
                        "after_kpa": float(now.max()),
                        "here_before_kpa": _inside(entry.change, sitter, was),
                        "here_after_kpa": _inside(entry.change, sitter, now),
                    }
                    for sitter, was, now in zip(sitters, before, after, strict=True)
                ],
            }
        )
        before = after
    return rows


def asked_of(entry: Entry) -> dict[str, Any]:
    """Return what an entry asks for under the keys of `[[adjustment]]`; the side tells its sign of x."""
    return {
        "action": entry.action,
        "x_mm": entry.change.x_mm,
        "y_mm": entry.change.y_mm,
        "radius_mm": entry.change.radius_mm,
        "amount_mm": abs(entry.change.amount_mm),
        "side": entry.where,
        "why": entry.why,
    }


def _felt_on(sitter: Sitter, seat: Seat) -> Floats:
    """Return the mean over 1 cm2 round each cell of the grid, kPa, shape (ny, nx)."""
    settled = settle(sitter, seat)
    if not settled.solution.converged:
        raise NotSolvedError(f"{sitter.body.name} on '{seat.title}': {settled.solution.verdict}")
    return averaged(settled.pressure_kpa, settled.cell_mm)


def _inside(change: Adjustment, sitter: Sitter, felt: Floats) -> float:
    """Return the greatest value inside an adjustment's circle, or inside it and its mirror image."""
    x, y = sitter.grid.x_mm[None, :], sitter.grid.y_mm[:, None]
    sides = (change.x_mm, -change.x_mm) if change.side == "both" else (change.x_mm,)
    circle = np.logical_or.reduce([np.hypot(x - side, y - change.y_mm) <= change.radius_mm for side in sides])
    return float(np.max(felt, where=circle, initial=0.0))
