"""What the sheets say of depth holes: which bit, what the stop is set to, what stays, and which figure is which."""

from __future__ import annotations

from seatmesh.sheets.holes.bit import EDGES, STOP_SET_TO, as_typed, bit_words, size_words, tip_words
from seatmesh.sheets.holes.depth_hole import DepthHole, DepthHoles
from seatmesh.sheets.holes.hole_room import LEAN_DEG, STOP_OFF_MM
from seatmesh.sheets.sheet_wishes import Speech

NAME = "Depth holes"
"""Name of their page."""


def stop_words(one: DepthHole, speech: Speech) -> str:
    """Return a hole's number with its stop."""
    return f"{one.number}: stop {speech.length(one.stop_mm)}"


def seat_words(one: DepthHole, speech: Speech) -> str:
    """Return the finished depth at a hole."""
    return f"seat {speech.depth(one.finished_depth_mm)}"


def short_rule(made: DepthHoles, speech: Speech) -> str:
    """Return in one line what has to be known at every drawing of the holes."""
    return (
        f"{NAME}: {bit_words(made.bit, speech.units)}. STOP: set to the {STOP_SET_TO}. SEAT: finished depth, never a "
        f"setting. {speech.length(made.allowance_mm)} of wood stay over it."
    )


def rules(made: DepthHoles, speech: Speech) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return headings with paragraphs: the bit, the stop, what stays, and how to go about it."""
    return (("The bit", _bit(made, speech)), ("The stop", _stop(made, speech)), ("What stays", _stays(made, speech)),
            ("How to drill", HOW))  # fmt: skip


def hole_notes(made: DepthHoles, speech: Speech) -> tuple[str, ...]:
    """Return what is worth a remark about the holes."""
    out = list(made.notes)
    if made.bit.tip_is_short:
        out.append(
            f"a point of {tip_words(made.bit, speech.units)} is short for a {made.bit.kind} bit of "
            f"{size_words(made.bit, speech.units)}; "
            "measure it again, from the cutting edges to the very tip: a longer one cuts deeper"
        )
    if not made.holes:
        return (*out, "no place of this hollow is deep enough for a depth hole with this bit and allowance")
    return (
        *out,
        "depth holes are for repeating a seat that has proved itself: once drilled, the depth is settled",
    )


HOW = (
    "Only for repeating a seat that has proved itself: once drilled, the depth is settled.",
    "Prick the marks through the plan, then drill each hole square to the top face, with a square beside the drill or "
    "in a drill press whose table is square.",
    "Set the stop anew for every figure, try it in scrap, and measure that hole to where the cutting edges were.",
)


def _bit(made: DepthHoles, speech: Speech) -> tuple[str, ...]:
    bit = made.bit
    tip = tip_words(bit, speech.units)
    origin = (
        "as you measured it"
        if bit.tip_is_measured
        else "a usual length (common practice), as none was stated"
    )
    return (
        f"A {bit.kind} bit of {size_words(bit, speech.units)}. Its point reaches {tip} below its {EDGES[bit.kind]}: "
        f"{origin}.",
        f"Measure the point of your bit. If it is longer than {tip}, or the bit is another, do not drill to this list: "
        f'make it anew with --bit "{as_typed(bit)}, tip ..." and the length that you measured.',
    )


def _stop(made: DepthHoles, speech: Speech) -> tuple[str, ...]:
    tip = tip_words(made.bit, speech.units)
    return (
        f"Set the stop to the {EDGES[made.bit.kind]}: a figure under STOP is how far they go below the uncut top face. "
        f"The point then goes {tip} deeper, which is counted.",
        "A figure under SEAT is how deep the finished seat is at the hole's middle. It is there to check by. Never set "
        "the stop to it.",
    )


def _stays(made: DepthHoles, speech: Speech) -> tuple[str, ...]:
    kept = speech.length(made.allowance_mm)
    # In inches 1/64 is the most that 0.5 mm can be called.
    off = speech.length(STOP_OFF_MM) if speech.units == "mm" else '1/64"'
    under = speech.no_more(min((one.under_mm for one in made.holes), default=0.0))
    return (
        f"Though the drill leans {LEAN_DEG:g} degrees from upright, to any side, and the stop is set {off} too deep, "
        f"at least {kept} of wood stay between every part of the bit and the finished surface.",
        f"At least {under} of wood then stay under the lowest hole, the bevel of the underside counted: none comes out "
        "below.",
    )
