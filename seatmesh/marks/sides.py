"""A place given by its distance from the centre line and a side: its sign and its side must not contradict.

x is negative on the sitter's left. On the left a maker may write the bare distance or x with its minus; what says one
side by its sign and the other in words is refused with both readings, for nobody but the maker knows which is right.
"""

from __future__ import annotations

from typing import Literal

from seatmesh.errors import ValueRefusedError
from seatmesh.files.keys.across import GivenAcross
from seatmesh.refused import Piece, mm, said
from seatmesh.units import parse_length_mm

OTHER = {"left": "right", "right": "left"}
LINE_MM = 0.05
"""What is nearer to the centre line than this lies on it."""
WHOSE = "left and right are the sitter's, as seen from behind the seat"


def across_mm(given: object, side: Literal["left", "right", "middle", "both"], label: str) -> float:
    """Return x of a place on a side: negative on the left, 0 in the middle, a distance for both sides alike.

    Raises
    ------
    ValueRefusedError
        No length, or one whose sign says another side than `side` does. A plus that is typed counts as a sign.
    """
    return on_side(GivenAcross.of(given, parse_length_mm(given, label)), side, label)


def on_side(given: GivenAcross, side: Literal["left", "right", "middle", "both"], label: str) -> float:
    """Return x of a distance that was read already; see `across_mm`."""
    x = given.x_mm
    if side == "both":
        return abs(x)
    if side == "middle":
        if abs(x) > LINE_MM:
            raise ValueRefusedError(
                label,
                given.typed,
                said(
                    "{} lies on the centre line, and this is {} from it",
                    Piece(None, "the middle", text="side = 'middle'"),
                    mm(abs(x)),
                ),
                "give 0, or name the side on which it lies",
            )
        return 0.0
    if given.signed and by_sign(x) not in ("", side):
        raise contradiction(label, given.typed, x, side)
    return -abs(x) if side == "left" else x


def by_sign(x_mm: float) -> str:
    """Return the side that an x lies on by its sign; "" on the centre line."""
    if abs(x_mm) <= LINE_MM:
        return ""
    return "left" if x_mm < 0.0 else "right"


def contradiction(label: str, given: str, x_mm: float, side: str) -> ValueRefusedError:
    """Return the refusal of a place that lies on one side by its sign and on the other by its name."""
    other = OTHER[side]
    return ValueRefusedError(
        label,
        given,
        said(
            f"its sign puts it {{}} to the sitter's {other} of the centre line, and {{}} to the sitter's {side} "
            f"({WHOSE})",
            mm(abs(x_mm), ".4g"),
            Piece(None, "the side chosen", text=f"side = '{side}'"),
        ),
        said(
            "{} if the sign is right, or {} if the side is right",
            Piece(None, f"choose {other}", text=f"write side = '{other}'"),
            Piece(None, "leave the minus out", text=f"x_mm = {abs(x_mm):.4g}"),
        ),
    )


__all__ = ["across_mm", "by_sign", "contradiction", "on_side"]
