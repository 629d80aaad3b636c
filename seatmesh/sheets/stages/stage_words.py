"""What a stage's sheet says: what to take off and with what, what to measure from, and how to sit on it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seatmesh.sheets.cards.card import Card
from seatmesh.sheets.holes.depth_hole import DepthHoles
from seatmesh.sheets.holes.hole_words import short_rule
from seatmesh.sheets.sheet_wishes import Speech
from seatmesh.sheets.stages.stage import Stage
from seatmesh.surface import Seat
from seatmesh.wood.species import SOURCE, Timber

HEADINGS = {
    "terraces": "terraces",
    "half": "half of the depth",
    "four-fifths": "four-fifths of the depth",
    "last": "all but the allowance",
    "finish": "finish",
}

FLAT_SHARE = 0.995
SIT = {
    "terraces": "Not yet: the steps are sharp. Brush them off and go on.",
    "half": "Sit for five minutes in the clothes and shoes that will be worn. Sit bones on their marks? Both sides "
    "alike? If the place is wrong, move it now: wood enough is left.",
    "four-fifths": "Sit for fifteen minutes, play or work as usual. Is the end of the spine free, does anything press "
    "under the thighs? Note it on the job sheet before you go on.",
    "last": "Sit for half an hour. What still presses is now a matter of a scraper's shavings; note where, and "
    "how much you would take.",
    "finish": "Sit for as long as the chair will be used, and write down what you find.",
}


def heading(stage: Stage) -> str:
    """Return the heading of a stage's sheet."""
    return f"Stage {stage.number}: {HEADINGS[stage.name]}"


def work(stage: Stage, allowance_mm: float, speech: Speech) -> str:
    """Return what to do, in words."""
    depths = ", ".join(speech.depth(depth) for depth in stage.lines_mm)
    lines = (
        f"Contour lines on this sheet: {depths}."
        if depths
        else "This stage is shallower than one contour step."
    )
    if stage.name == "terraces":
        return (
            f"Cut flat steps, the shallowest first, each to its own depth and no deeper, up to its line: {depths}. "
            "Every step ends above the half-deep surface."
        )
    if stage.name == "half":
        steps = "Take the steps off" if stage.number > 1 else "Carve"
        return f"{steps} to a fair surface, half as deep as the finished one less the allowance. {lines}"
    if stage.name == "four-fifths":
        return f"Carve on with smooth, crossing strokes, to four-fifths of that depth. {lines}"
    if stage.name == "last":
        return f"Stop {speech.keep(allowance_mm)} above the finished surface: that is for scraper and sander. {lines}"
    last = last_works(stage.seat)
    return (
        f"Scrape and sand the hollow to the finished section cards. Then, in this order: {', '.join(last)}. They take "
        "datum points away, so check the hollow for the last time before them."
    )


def last_works(seat: Seat) -> tuple[str, ...]:
    """Return what is worked after the hollow, in order, as far as the seat has it."""
    blank = seat.blank
    there = (
        (blank.gutter_depth_mm > 0.0, "gutter"),
        (True, "outline"),
        (blank.round_over_mm > 0.0, "round-over"),
        (seat.front_roll_mm > 0.0, "front roll"),
        (blank.has_bevel, "bevel of the underside"),
    )
    return tuple(name for has, name in there if has)


def cards_stand(stage: Stage, cards: Sequence[Card], speech: Speech) -> tuple[str, ...]:
    """Return how high the finished seat's cards across stand over the wood when a rough stage is done; else nothing.

    Held level, a card touches where most wood is still to be taken. Cards along the seat and cards over the front
    roll touch the roll's wood first, which comes last, and tell nothing yet.
    """
    if stage.name in ("terraces", "finish"):
        return ()
    out = []
    for card in cards:
        if card.station.runs == "across" and not card.is_over_roll:
            u, height = card.edge_mm.T
            left = -height - stage.depth(u, np.full(u.shape, card.station.at_mm))
            out.append(f"{card.station.name} {speech.keep(float(left.max()))}")
    if not out:
        return ()
    return (
        f"Hold each level over its line. When the stage is done its heavy lines stand this high over the uncut wood: "
        f"{', '.join(out)}. If one stands lower, the hollow is too deep there: stop.",
    )


def drilling(
    stage: Stage, holes: DepthHoles | None, speech: Speech
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return what a stage has to do with depth holes: drilled before the first one, gone by the last rough one."""
    if holes is None or not holes.holes:
        return ()
    if stage.name == "terraces":
        return (
            ("First the depth holes", (f"Drill to the list on their page. {short_rule(holes, speech)}",)),
        )
    if stage.name == "last":
        gone = (
            "None should still show at the end of this stage. Where one does, the stage is not down to its depth, or "
            "the hole was drilled deeper than its stop says: measure there before you go on."
        )
        return (("Depth holes", (gone,)),)
    return ()


def takes(stage: Stage, wood: Timber, speech: Speech) -> str:
    """Return volume and mass that a stage takes off."""
    return (
        f"{speech.volume(stage.removed_mm3)} of wood, about {speech.mass(wood.mass_kg(stage.removed_mm3))} of "
        f"{wood.name} (density by {SOURCE})."
    )


def tools(stage: Stage, speech: Speech) -> tuple[str, ...]:
    """Return how far each tool goes, one line each."""
    if not stage.reaches:
        return ("Router with a flat cutter, or a wide gouge across the grain, each against a depth stop.",)
    tightest = stage.reaches[0].tightest_mm[0]
    own = (
        f"Tightest hollow radius {speech.length(tightest)}; no sole or blade may be flatter than that."
        if tightest < 1000.0
        else "No hollow here is tighter than 1 m in radius."
    )
    return (own, *(_tool(one.tool.name, one.tool.radius_mm, one.share, speech) for one in stage.reaches))


def _tool(name: str, radius: float, share: float, speech: Speech) -> str:
    # Rounded down: a tool that reaches all but a little does not reach all.
    reach = "goes everywhere" if share >= FLAT_SHARE else f"goes over {int(100.0 * share)} % of the hollow"
    return f"{name}, radius {speech.length(radius)}: {reach}"


def uncut(stage: Stage) -> str:
    """Return which datum points are left, in words."""
    if not stage.uncut:
        return "None of the datum points is left uncut: measure from the underside."
    return "Still uncut, to rest bar and cards on: " + ", ".join(name for name, _, _ in stage.uncut) + "."
