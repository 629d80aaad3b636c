"""How high the seat stands on its chair: the front edge, how far the rear edge drops, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import radians, sin

from seatmesh.body.body import Body
from seatmesh.body.figure.posture import Posture
from seatmesh.body.figure.seated import seat_body
from seatmesh.seating.load import USUAL_CLEARANCE_MM, front_edge_above_knee_back_mm, front_height_mm
from seatmesh.sheets.sheet_wishes import Speech
from seatmesh.surface import Seat


@dataclass(frozen=True)
class SeatHeight:
    """Heights from the ground, mm, of the line of the uncut top face.

    Attributes
    ----------
    front_mm
        At the front edge; None where neither order nor sitters say it.
    rear_drop_mm
        How much lower the rear edge lies; negative where it lies higher.
    ordered
        Whether the order states the front edge's height.
    asked_mm
        What each sitter's legs ask for: name and height.
    over_knee_backs_mm
        How far the front edge stands above the back of each shod sitter's knees: name and height, negative below.
    """

    front_mm: float | None
    rear_drop_mm: float
    ordered: bool
    asked_mm: tuple[tuple[str, float], ...]
    over_knee_backs_mm: tuple[tuple[str, float], ...]


def seat_height(seat: Seat, sitters: Sequence[Body]) -> SeatHeight:
    """Return the heights of a seat: as ordered, else as the sitter with the shortest lower legs asks.

    The blank is turned about its front edge, so that its rear edge drops by its depth times the sine of the rake.
    """
    chair = seat.chair
    bodies = [(body.name, seat_body(body, Posture())) for body in sitters]
    free = replace(chair, front_height_mm=None)
    asked = tuple((name, front_height_mm(seated, free)) for name, seated in bodies)
    least = min((height for _, height in asked), default=None)
    front = least if chair.front_height_mm is None else chair.front_height_mm
    stands = replace(chair, front_height_mm=front)
    over = tuple(
        (name, front_edge_above_knee_back_mm(seated, stands)) for name, seated in bodies if front is not None
    )
    drop = seat.blank.depth_mm * sin(radians(chair.rake_deg))
    return SeatHeight(front, drop, chair.front_height_mm is not None, asked, over)


def height_words(seat: Seat, height: SeatHeight, says: Speech) -> tuple[str, ...]:
    """Return what a maker has to know of the heights, one paragraph each."""
    out: list[str] = []
    if height.front_mm is None:
        out.append(
            "Front edge: no height was ordered and no sitter is known; ask for one before legs are cut."
        )
    else:
        why = "as ordered" if height.ordered else _why(seat, height, says)
        out.append(f"Front edge {says.length(height.front_mm)} from the ground, {why}.")
        out += _knees(height, says)
    out.append(_rear(seat, height, says))
    out.append(
        "Both are to the line of the uncut top face, along a straight edge on it"
        + (": the front roll takes wood below that line." if seat.front_roll_mm > 0.0 else ".")
    )
    return tuple(out)


def _rear(seat: Seat, height: SeatHeight, says: Speech) -> str:
    """Return how far the rear edge lies below the front edge, and why."""
    drop, rake = height.rear_drop_mm, seat.chair.rake_deg
    if drop == 0.0:
        return "Rear edge level with the front edge: no rake was ordered."
    lower = "lower" if drop > 0.0 else "higher"
    ground = "" if height.front_mm is None else f", {says.length(height.front_mm - drop)} from the ground"
    why = ", so that nobody slides forward" if drop > 0.0 else ""
    return (
        f"Rear edge {says.length(abs(drop))} {lower} than the front edge{ground}: a rake of {rake:g} degrees over "
        f"{says.length(seat.blank.depth_mm)}{why}."
    )


def _why(seat: Seat, height: SeatHeight, says: Speech) -> str:
    shoe, less = says.length(seat.chair.shoe_mm), says.length(USUAL_CLEARANCE_MM)
    rule = f"the back of the knee and shoes of {shoe}, less {less}, so that the edge does not press under the thighs"
    if len(height.asked_mm) == 1:
        return f"as none was ordered: {rule}"
    each = "; ".join(f"{name} {says.length(one)}" for name, one in height.asked_mm)
    return f"as none was ordered and the shortest lower legs decide ({each}): {rule}"


def _knees(height: SeatHeight, says: Speech) -> list[str]:
    """Return how the front edge stands to the knees of those sitters for whom it is no matter of course."""
    if not height.ordered:
        return []
    parts = [
        f"{name} {says.length(abs(one))} {'above' if one > 0.0 else 'below'}"
        for name, one in height.over_knee_backs_mm
    ]
    return [f"Against the back of the knees in shoes: {', '.join(parts)}."] if parts else []
