"""Notes on wishes that are legal but unlikely: a high or long pommel, a deepest line out of place."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seatmesh.design.report.wood_notes import pommel_mm
from seatmesh.fit.hollow import Guest, deepest_place
from seatmesh.fit.wished.form import TALLEST_SHARE
from seatmesh.fit.wished.rim import rim_of
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.seating.sitting import Sitting
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
RASTER_MM = 2.0
BEYOND_SHARE = 0.03
"""Share of the load that may bear beyond the rim before it is remarked on: less is the skin's edge."""
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
            f"{format_length(wishes.pommel_mm, seat.units)} was wished: {_why_lower(wishes, seat)}"
        )
    _, y, _ = deepest_place(seat)
    if wishes.deepest_y_mm is not None and abs(y - wishes.deepest_y_mm) > MISPLACED_MM:
        out.append(
            f"the deepest place lies {format_length(y, seat.units)} from the rear edge, "
            f"{format_length(wishes.deepest_y_mm, seat.units)} was wished: bounds of the wood there, or the pressure, "
            "moved it"
        )
    return out


def _why_lower(wishes: Wishes, seat: Seat) -> str:
    """Return what kept a pommel lower than wished, as far as it can be told."""
    if wishes.pommel_mm > TALLEST_SHARE * wishes.depth_mm:
        return "the leg hollows beside it would be as deep as the bowl; a lower pommel or a deeper bowl mends that"
    x = np.arange(0.0, 0.5 * seat.blank.width_mm, RASTER_MM)
    y = np.full_like(x, seat.roll_start_mm)
    depth = seat.depth_mm(x, y)
    deepest = int(np.argmax(depth))
    if float(seat.blank.allowed_depth_mm(x, y)[deepest]) - float(depth[deepest]) < wishes.pommel_mm:
        return (
            "wood, joints or front roll leave little room for deeper leg hollows beside it; a lower pommel, a smaller "
            "roll or a thicker blank mends that"
        )
    return "what presses less, or is fairer, kept it lower; raise the wish to meet it"


def rim_notes(wishes: Wishes, sittings: Sequence[Sitting]) -> list[str]:
    """Say so where a sitter bears on the wood beyond the rim: there it presses as an edge does."""
    out = []
    for one in sittings:
        seat = one.seat
        if seat.hollow is None or wishes.form != "fair" or wishes.rim == "print":
            continue
        rim = rim_of(seat.blank, wishes.rim_mm)
        beyond = np.abs(one.x_mm)[None, :] > rim.half_width_at(one.y_mm)[:, None]
        share = float(one.pressure_kpa[beyond].sum() / one.pressure_kpa.sum())
        if share > BEYOND_SHARE:
            out.append(
                f"{one.body.name}: {share:.0%} of the load bears on the wood beyond the rim, which presses as an edge "
                "does; a smaller rim_mm, an eased rim or a wider blank mends that"
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
