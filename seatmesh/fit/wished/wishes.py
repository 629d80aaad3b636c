"""What the maker wishes of the hollow, in the words of the trade."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

RimKind = Literal["crisp", "eased", "print"]
RIM_KINDS: tuple[RimKind, ...] = ("crisp", "eased", "print")
FormKind = Literal["fair", "least pressure"]
FORMS: tuple[FormKind, ...] = ("fair", "least pressure")


@dataclass(frozen=True)
class Wishes:
    """Wishes for a hollow; the defaults are common practice.

    Attributes
    ----------
    depth_mm
        Depth of the hollow at its deepest.
    deepest_y_mm
        Distance of the deepest line from the rear edge; None leaves it where the body puts it.
    pommel_mm
        Greatest height of the ridge between the thighs above the hollows beside it, at the front edge.
    pommel_width_mm
        Greatest width of the ridge at its foot; None lets it run out in the hollows beside it.
    pommel_length_mm
        From the front edge back to where the ridge has gone.
    pommel_fade_mm
        Rear part of that length over which the ridge runs out; None is all of it.
    front_roll_mm
        Radius of the roll along the front edge, 0 for none.
    front_roll_length_mm
        From the front edge back to where the seat begins to ease down toward it; None is the roll's arc alone.
    thigh_splay_deg
        How far the leg hollows point outward; None takes each sitter's own habit.
    closeness
        0 is a gentle common dish, 1 follows the body.
    tailbone_relief_mm
        Further depth under the tip of the tailbone; fairness leaves about half of it.
    rear_rise_mm
        How much more than the body asks for the seat rises from the deepest line back to the deck line.
    form
        "fair" is a bowl that is round down to its lowest place and runs out to its rim; "least pressure" gives up form
        for the least peak: a hollow that ends with the body, with as flat a bottom as that asks for.
    rim
        How the hollow ends: "crisp" in a line, "eased" into sides and deck, or as the body's "print" does.
    rim_mm, rim_ease_mm
        How far inside the outline the rim lies, and the width over which an eased one runs out.
    roundness
        How round the bowl is across its lowest place, in shares of an even dish's curvature; 0 lets it be flat.

    Examples
    --------
    >>> from seatmesh import Wishes
    >>> Wishes(depth_mm=14.0).pommel_mm
    8.0
    """

    depth_mm: float = 18.0
    deepest_y_mm: float | None = None
    pommel_mm: float = 8.0
    pommel_width_mm: float | None = None
    pommel_length_mm: float = 130.0
    pommel_fade_mm: float | None = None
    front_roll_mm: float = 20.0
    front_roll_length_mm: float | None = None
    thigh_splay_deg: float | None = None
    closeness: float = 0.8
    tailbone_relief_mm: float = 2.0
    rear_rise_mm: float = 0.0
    form: FormKind = "fair"
    rim: RimKind = "crisp"
    rim_mm: float = 25.0
    rim_ease_mm: float = 40.0
    roundness: float = 0.4
