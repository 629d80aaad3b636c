"""A seat that turned out well, adapted to another sitter: changed by what changes between two fitted seats."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from seatmesh.body.body import Body
from seatmesh.design.orders.order import Order, OrderedSitter
from seatmesh.design.shape import shape_seat
from seatmesh.errors import ValueRefusedError
from seatmesh.fit.bounded.bounds import bounds_over
from seatmesh.fit.hollow import deepest
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.spline import BicubicSpline
from seatmesh.surface import Seat


def adapted(seat: Seat, was: Body, now: Body) -> Seat:
    """Return a seat that fits one sitter, such as a copied one, changed to fit another.

    A seat as deep is fitted to either sitter on its blank; their difference is added, so that what the maker's hand
    gave the first seat stays. Floor, joints and deck line bound it.

    Raises
    ------
    ValueRefusedError
        The seat is flat, or its hollow is not a fitted or copied one of its blank.

    Examples
    --------
    >>> from seatmesh import Order, OrderedSitter, adapted, estimate_body, shape_seat
    >>> small, tall = estimate_body("female", 1560, 52), estimate_body("male", 1860, 88)
    >>> proven = shape_seat(Order("first chair", (OrderedSitter(small),)))
    >>> adapted(proven, small, tall) == proven
    False
    """
    if seat.hollow is None:
        raise ValueRefusedError(
            "seat", "a flat seat", "a carved one is allowed", "shape a seat for the sitter"
        )
    wishes = Wishes(depth_mm=deepest(seat.hollow)[2], front_roll_mm=seat.front_roll_mm)
    made = [
        shape_seat(Order("adapted", (OrderedSitter(body),), seat.units, seat.blank, seat.chair, wishes))
        for body in (was, now)
    ]
    first, second = (_hollow(one) for one in made)
    # It is as sure as the less sure of the two.
    endings = [one.ending for one in made if one.ending is not None]
    ending = next((one for one in endings if not one.converged), endings[-1] if endings else None)
    own = seat.hollow
    for mine, other in ((own.knots_x, first.knots_x), (own.knots_y, first.knots_y)):
        if mine.shape != other.shape or not np.allclose(mine, other, atol=1e-6):
            raise ValueRefusedError(
                "seat",
                f"'{seat.title}'",
                "a hollow fitted or copied on its own blank",
                "copy it from its readings",
            )
    wished = own.coefficients + second.coefficients - first.coefficients
    bounds = bounds_over(seat, own.knots_x, own.knots_y)
    # What holds for the deeper of two mirrored places holds for both: whatever lies below keeps every bound.
    held = np.minimum(wished, bounds.held(np.maximum(wished, wished[::-1])))
    return replace(
        seat,
        hollow=replace(own, coefficients=held),
        title=f"{seat.title}, adapted from {was.name} to {now.name}",
        ending=ending,
    )


def _hollow(seat: Seat) -> BicubicSpline:
    if seat.hollow is None:
        raise ValueRefusedError("seat", "too shallow", "a hollow of some depth", "copy a carved seat")
    return seat.hollow
