"""A proven seat made again on another blank: the same hollow, or a refusal where it has no room."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from seatmesh.arrays import Floats
from seatmesh.chair import Chair
from seatmesh.errors import ValueRefusedError
from seatmesh.place_words import roughly
from seatmesh.surface import Seat
from seatmesh.units import format_length
from seatmesh.wood.blank import Blank

GRID_MM = 2.0
SLACK_MM = 0.05
"""How much deeper than allowed a hollow may be by rounding alone; shop precision is ten times coarser."""
DECK = ("deck_mm", "deck_line", "deck_bow_mm", "deck_reach_mm", "gutter_width_mm", "gutter_depth_mm")
"""Fields of a blank that are part of the carved shape."""


def made_again(proven: Seat, blank: Blank, chair: Chair | None = None) -> Seat:
    """Return a proven seat on another blank; deck and gutter stay, the front roll goes with the front edge.

    Raises
    ------
    ValueRefusedError
        The seat is flat, the blank has another deck or gutter, or somewhere less wood would be left than its floor and
        joints ask for.

    Examples
    --------
    >>> from seatmesh import Adjustment, Blank, Seat
    >>> from seatmesh.design.repeat import made_again
    >>> proven = Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 10.0),))
    >>> float(made_again(proven, Blank(thickness_mm=40.0)).wood_left_mm(0.0, 200.0))
    30.0
    """
    if proven.hollow is None and not proven.adjustments:
        raise ValueRefusedError(
            "seat", f"'{proven.title}'", "a carved seat is made again", "name its seat file"
        )
    for name in DECK:
        was, now = getattr(proven.blank, name), getattr(blank, name)
        if was != now:
            raise ValueRefusedError(
                f"--blank {name}",
                _said(name, now, proven.units),
                f"a seat that is made again keeps its deck and gutter; its own is {_said(name, was, proven.units)}",
                "give the blank the same, or shape its order anew",
            )
    again = replace(proven, blank=blank, chair=proven.chair if chair is None else chair)
    _refuse_too_little_wood(proven, again)
    return again


def _said(name: str, value: object, units: str) -> str:
    return (
        format_length(value, units) if name.endswith("_mm") and isinstance(value, float | int) else str(value)
    )


def _refuse_too_little_wood(proven: Seat, seat: Seat) -> None:
    """Refuse less wood than the new blank asks for, unless the proven seat has borne as little at that place."""
    blank, units = seat.blank, seat.units
    x, y = (one.ravel() for one in np.broadcast_arrays(*blank.grid_mm(GRID_MM)))
    seen = shapely.intersects_xy(shapely.Polygon(blank.polygon_mm()), x, y) & (y < seat.roll_start_mm)
    seen &= blank.ahead_of_deck_mm(x, y) > 0.0
    x, y = x[seen], y[seen]
    over = _too_deep(seat, x, y)
    over = np.where(over > _too_deep(proven, x, y) + SLACK_MM, over, 0.0)
    most = int(np.argmax(over))
    if over[most] > SLACK_MM:
        raise ValueRefusedError(
            "--blank",
            f"a blank {format_length(blank.thickness_mm, units)} thick",
            f"at {roughly(float(x[most]), float(y[most]), units)} the proven hollow goes "
            f"{format_length(float(over[most]), units)} deeper than this blank's floor and joints allow",
            "take a thicker blank, move the joint, or shape its order anew",
        )


def _too_deep(seat: Seat, x: Floats, y: Floats) -> Floats:
    """Return how much deeper than floor and joints allow a seat is at places ahead of its deck."""
    return np.asarray(seat.depth_mm(x, y) - seat.blank.allowed_depth_mm(x, y))
