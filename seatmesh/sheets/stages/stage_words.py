"""What a stage's sheet says: what to take off and with what, what to measure from, and how to sit on it."""

from __future__ import annotations

from seatmesh.sheets.holes.depth_hole import DepthHoles
from seatmesh.sheets.holes.hole_words import short_rule
from seatmesh.sheets.sheet_wishes import Speech
from seatmesh.sheets.stages.stage import Stage
from seatmesh.wood.species import SOURCE, Timber

HEADINGS = {
    "terraces": "Stage 1: terraces",
    "half": "Stage 2: half of the depth",
    "four-fifths": "Stage 3: four-fifths of the depth",
    "last": "Stage 4: all but the allowance",
    "finish": "Stage 5: finish",
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


def work(stage: Stage, allowance_mm: float, speech: Speech) -> str:
    """Return what to do, in words."""
    depths = ", ".join(speech.length(depth) for depth in stage.lines_mm)
    lines = (
        f"Contour lines on this sheet: {depths}."
        if depths
        else "This stage is shallower than one contour step."
    )
    if stage.name == "terraces":
        return (
            f"Cut flat steps, the shallowest first, each to its own depth and no deeper, up to its line: {depths}. "
            "Every step ends above the half-deep surface."
            if depths
            else "Half of the depth is shallower than one contour step: there are no steps to cut."
        )
    if stage.name == "half":
        return f"Take the steps off to a fair surface. Hold the stage's section cards into it. {lines}"
    if stage.name == "four-fifths":
        return f"Carve on with smooth, crossing strokes; check with this stage's section cards. {lines}"
    if stage.name == "last":
        return f"Stop {speech.length(allowance_mm)} above the finished surface: that is for scraper and sander. {lines}"
    return (
        "Scrape and sand the hollow to the finished section cards. Then, in this order: gutter, outline, "
        "round-over, front roll. They take the datum points away, so check the hollow for the last time before them."
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
