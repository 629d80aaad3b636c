"""Notes on wishes that are legal but unlikely: a high or long pommel, a deepest line out of place."""

from __future__ import annotations

from seatmesh.design.report.wood_notes import pommel_mm
from seatmesh.fit.hollow import Guest, deepest_place
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.surface import Seat
from seatmesh.units import format_length

HIGH_POMMEL_MM = 12.0
"""A ridge higher than this presses the inside of the thighs; common practice, from memory."""
LONG_POMMEL_MM = 170.0
"""One longer than this, front edge to where it has gone, reaches under the perineum; common practice, from memory."""
MUCH_FAIRER_MM = 28.0
"""From this length of fairness on the leg hollows and the pommel are half gone; from seats of the tests."""
MISSED_MM = 0.5
"""A wished height is met within this; less is not seen."""
MISPLACED_MM = 15.0
"""How far the deepest line may stray before it is remarked on: no finer than a sitter places himself."""


def wish_notes(wishes: Wishes, seat: Seat) -> list[str]:
    """Return notes on a pommel that is high or long."""
    out: list[str] = []
    if seat.hollow is None:
        return out
    if wishes.pommel_mm > HIGH_POMMEL_MM:
        out.append(
            f"a pommel of {format_length(wishes.pommel_mm, seat.units)} is high: it presses the inside of the thighs "
            f"and hinders shifting and crossing the legs; {format_length(HIGH_POMMEL_MM, seat.units)} or less is usual"
        )
    if wishes.pommel_length_mm > LONG_POMMEL_MM and wishes.pommel_mm > 0.0:
        out.append(
            f"a pommel {format_length(wishes.pommel_length_mm, seat.units)} long reaches back between the thighs to "
            f"where nothing should press; {format_length(LONG_POMMEL_MM, seat.units)} or less is usual"
        )
    return out


def shortfall_notes(wishes: Wishes, seat: Seat) -> list[str]:
    """Say which wishes of the form are missed by more than a hand sees, and why that may be."""
    if seat.hollow is None or wishes.form != "fair":
        return []
    out = []
    height = pommel_mm(seat)
    if height < wishes.pommel_mm - MISSED_MM:
        out.append(
            f"the pommel stands {format_length(height, seat.units)} high, "
            f"{format_length(wishes.pommel_mm, seat.units)} was wished: the leg hollows beside it "
            "would have to be nearly as deep as the bowl, or deeper than wood and front roll leave room for; a lower "
            "pommel, a deeper bowl, a smaller roll or a thicker blank mends that"
        )
    _, y, _ = deepest_place(seat)
    if wishes.deepest_y_mm is not None and abs(y - wishes.deepest_y_mm) > MISPLACED_MM:
        out.append(
            f"the deepest place lies {format_length(y, seat.units)} from the rear edge, "
            f"{format_length(wishes.deepest_y_mm, seat.units)} was wished: bounds of the wood there, or the pressure, "
            "moved it"
        )
    return out


def fairness_notes(fairness_mm: float) -> list[str]:
    """Say so when leaving no undulation took much of the body's shape, and the pommel with it."""
    if fairness_mm < MUCH_FAIRER_MM:
        return []
    return [
        "to leave no undulation the hollow is made much fairer than usual: it follows the body less, and the pommel is "
        "lower; a joint, bevel or deck that cuts into the hollow is the usual cause: give it more room, or the hollow "
        "less depth"
    ]


def place_notes(guest: Guest, seat: Seat) -> list[str]:
    """Say so when the deepest line lies ahead of the sit bones or behind the tip of the tailbone (common practice)."""
    _, y, depth = deepest_place(seat)
    if depth <= 0.0:
        return []
    sit_bones_y, tailbone = guest.sitter.at_mm[1], guest.sitter.seated.tailbone_tip[1]
    name = guest.sitter.body.name
    if y > sit_bones_y + MISPLACED_MM:
        return [
            f"{name}: the deepest line lies {format_length(y - sit_bones_y, seat.units, decimals=0)} ahead of the sit "
            "bones; the rise behind it can press the tailbone"
        ]
    if y < sit_bones_y + tailbone - MISPLACED_MM:
        return [f"{name}: the deepest line lies behind the tip of the tailbone; move it forward"]
    return []
