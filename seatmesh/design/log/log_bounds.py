"""Adjustments against the wood: which lie beside it, and what floor, deck and top face keep of the others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from seatmesh.adjustment import Adjustment
from seatmesh.arrays import Floats
from seatmesh.design.log.fitting_log import Entry, adjusted
from seatmesh.errors import ValueRefusedError
from seatmesh.refused import Advice, Piece, Place, Setting, exactly, mm, more, named_mm, of, said
from seatmesh.surface import Seat
from seatmesh.units import format_length
from seatmesh.wood.blank import Blank

STEP_MM = 1.0
TOLD_MM = 0.2
"""What is kept of an adjustment, where it keeps most, before it is worth a note."""


@dataclass(frozen=True)
class Kept:
    """What the bounds keep of an adjustment.

    Attributes
    ----------
    done_mm
        The greatest change that is made: wood taken, or with a minus left.
    kept_mm
        The most that is kept at any place.
    by
        "floor", "deck" and "top face", as far as they keep more than `TOLD_MM`.
    """

    done_mm: float
    kept_mm: float
    by: tuple[str, ...]


def check_places(log: Sequence[Entry], blank: Blank, where: str) -> None:
    """Refuse adjustments that no part of is on wood that may be carved.

    Raises
    ------
    ValueRefusedError
        With the nearest place that is.
    """
    polygon = shapely.Polygon(blank.polygon_mm())
    for number, entry in enumerate(log, start=1):
        change = entry.change
        centre = shapely.Point(change.x_mm, change.y_mm)
        place = Place("adjustment", number=number, where=where)
        given = said(
            "({}, {}) mm, {}",
            Piece(None, change.x_mm, "mm", text=f"{change.x_mm:g}"),
            Piece(None, change.y_mm, "mm", text=f"{change.y_mm:g}"),
            of("adjustment.radius_mm", change.radius_mm, number),
        )
        if polygon.distance(centre) >= change.radius_mm:
            x, y = shapely.shortest_line(polygon, centre).coords[0]
            raise ValueRefusedError(
                place,
                given,
                said(
                    "it lies outside the blank, by {}", mm(polygon.distance(centre) - change.radius_mm, ".0f")
                ),
                Advice(
                    (_moved_to(x, y, number),),
                    text=f"the nearest place on the blank is ({x:.0f}, {y:.0f}) mm",
                ),
            )
        x_mm, y_mm = _circle(change)
        ahead = np.where(change.depth_mm(x_mm, y_mm) != 0.0, blank.ahead_of_deck_mm(x_mm, y_mm), -np.inf)
        if ahead.max() <= 0.0:
            raise ValueRefusedError(
                place,
                given,
                said(
                    "all of it lies on the deck of {}, which stays flat", named_mm("deck_mm", blank.deck_mm)
                ),
                Advice(
                    (more("adjustment.y_mm", float(np.ceil(change.y_mm - ahead.max())) + 1.0, number),),
                    text=f"give a y_mm above {change.y_mm - ahead.max():.0f}",
                ),
            )


def _moved_to(x: float, y: float, number: int) -> tuple[Setting, ...]:
    """Return the way to a circle elsewhere; its side stays what it is, so that x is a distance."""
    return (
        *exactly("adjustment.x_mm", float(round(abs(x))), number),
        *exactly("adjustment.y_mm", float(round(y)), number),
    )


def kept_of(before: Seat, entry: Entry) -> Kept:
    """Return what the bounds keep of an entry; `before` is the seat without it."""
    # One side tells of both; what the overlap of the two changes is in the difference.
    x, y = _circle(entry.change)
    after = adjusted(before, [entry])
    asked = entry.change.depth_mm(x, y)
    done = after.depth_mm(x, y) - before.depth_mm(x, y)
    wood = before.blank.inside_mm(x, y) >= 0.0
    lost = np.where(wood, np.abs(asked - done), 0.0)
    on_deck = before.blank.ahead_of_deck_mm(x, y) <= 0.0
    by = []
    if np.any(lost[on_deck] > TOLD_MM):
        by.append("deck")
    if np.any(lost[~on_deck] > TOLD_MM):
        by.append("floor" if entry.change.amount_mm > 0.0 else "top face")
    greatest = np.where(wood, done, 0.0).ravel()
    return Kept(float(greatest[np.argmax(np.abs(greatest))]), float(lost.max()), tuple(by))


def bound_notes(seat: Seat, log: Sequence[Entry]) -> list[str]:
    """Return a note for each adjustment that the bounds keep something of; `seat` is without them."""
    out = []
    for number, entry in enumerate(log, start=1):
        kept = kept_of(adjusted(seat, log[: number - 1]), entry)
        if kept.by:
            did = format_length(abs(kept.done_mm), seat.units, decimals=2)
            asked = format_length(abs(entry.change.amount_mm), seat.units, decimals=2)
            keeps = f"{' and the '.join(kept.by)} {'keep' if len(kept.by) > 1 else 'keeps'}"
            if did == asked:
                rest = format_length(kept.kept_mm, seat.units, decimals=2)
                words = f"the {asked} asked for are not made everywhere; the {keeps} up to {rest} back"
            else:
                words = f"of the {asked} asked for {did} at most are made; the {keeps} the rest"
            out.append(f"adjustment {number} ({entry.action}): {words}")
    return out


def _circle(change: Adjustment) -> tuple[Floats, Floats]:
    """Return the points of a grid over an adjustment's circle, shapes (1, n) and (n, 1)."""
    along = np.arange(-change.radius_mm, change.radius_mm + STEP_MM, STEP_MM)
    along = along - 0.5 * (along[0] + along[-1])
    return (change.x_mm + along)[None, :], (change.y_mm + along)[:, None]


__all__ = ["Kept", "bound_notes", "check_places", "kept_of"]
