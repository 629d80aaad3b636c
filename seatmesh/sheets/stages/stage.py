"""The stages of a rough-out: each a surface above the next one's, what it takes off, and what is still uncut."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import shapely

from seatmesh.arrays import Floats
from seatmesh.fit.reach import Reach, Tool, reach_of
from seatmesh.fit.stages import stage as share_of
from seatmesh.sheets.plan.contours import step_depths
from seatmesh.sheets.sheet_wishes import SheetWishes, contour_step_mm
from seatmesh.surface import Seat

Depth = Callable[[Floats, Floats], Floats]

CELL_MM = 1.0
UNCUT_MM = 0.02
PATCH_MM = 4.0
"""Half the side of the square that has to be uncut round a datum point: what a straight bar's foot needs."""

# Radii of tools as they are sold; common practice, from memory. A maker's own differ: measure them.
TOOLS = (
    Tool("dished cutter on a grinder", 60.0),
    Tool("scorp or inshave", 65.0),
    Tool("travisher", 115.0),
    Tool("compass plane", 150.0),
    Tool("scraper with a curved edge", 60.0),
    Tool("soft sanding pad", 80.0),
)


@dataclass(frozen=True)
class Stage:
    """One stage of the rough-out.

    Attributes
    ----------
    number, name
        From 1; the name goes into file names too.
    seat
        The fair surface that this stage ends at; of the terraces, the one that they are cut above.
    depth
        Depth of the surface that this stage leaves, a function of x and y.
    lines_mm
        Depths of the contour lines to work to.
    removed_mm3
        What it takes off beyond the stage before.
    uncut
        Datum points that it leaves: name, x, y.
    reaches
        How far each tool goes.
    """

    number: int
    name: str
    seat: Seat
    depth: Depth
    lines_mm: tuple[float, ...]
    removed_mm3: float
    uncut: tuple[tuple[str, float, float], ...]
    reaches: tuple[Reach, ...]


NAMES = ("terraces", "half", "four-fifths", "last", "finish")


def stages_of(seat: Seat, wishes: SheetWishes) -> tuple[Stage, ...]:
    """Return the stages of a seat, see `NAMES`; none of one without a hollow, no terraces of one without a step.

    Half and four-fifths are shares of the surface less the allowance, so that every stage is as fair as the finished
    seat and lies above the next one. Gutter, outline, round-over and front roll are for the last.
    """
    if seat.hollow is None:
        return ()
    step = contour_step_mm(seat, wishes)
    last = less(seat, wishes.allowance_mm)
    half, most = share_of(last, 0.5), share_of(last, 0.8)
    made = (
        (half, terraces(half, step)),
        (half, half.depth_mm),
        (most, most.depth_mm),
        (last, last.depth_mm),
        (seat, seat.depth_mm),
    )
    named = list(zip(NAMES, made, strict=True))
    if not step_depths(half, step):
        named = named[1:]
    out: list[Stage] = []
    before = 0.0
    for number, (name, (surface, depth)) in enumerate(named, 1):
        volume = volume_mm3(seat, depth)
        reaches = (
            () if name == "terraces" else reach_of(surface, TOOLS if wishes.tools is None else wishes.tools)
        )
        out.append(
            Stage(
                number,
                name,
                surface,
                depth,
                step_depths(surface, step),
                volume - before,
                uncut_points(seat, depth),
                reaches,
            )
        )
        before = volume
    return tuple(out)


def less(seat: Seat, allowance_mm: float) -> Seat:
    """Return the seat with wood left all over its hollow, without front roll and gutter, which come last."""
    hollow = seat.hollow
    if hollow is None:
        return seat
    return replace(
        seat,
        hollow=replace(hollow, coefficients=hollow.coefficients - allowance_mm),
        blank=replace(seat.blank, gutter_depth_mm=0.0),
        front_roll_mm=0.0,
        title=seat.title,
    )


def terraces(surface: Seat, step_mm: float) -> Depth:
    """Return the depth of flat steps that stay above a surface: whole steps, each as far as the surface goes deeper."""

    def depth(x: Floats, y: Floats) -> Floats:
        return np.asarray(step_mm * np.floor(surface.depth_mm(x, y) / step_mm + 1e-9))

    return depth


def volume_mm3(seat: Seat, depth: Depth) -> float:
    """Return the wood over a surface inside the outline, by cells of 1 mm."""
    half = 0.5 * seat.blank.width_mm
    x = np.arange(-half + 0.5 * CELL_MM, half, CELL_MM)
    y = np.arange(0.5 * CELL_MM, seat.blank.depth_mm, CELL_MM)
    inside = shapely.contains_xy(shapely.Polygon(seat.blank.polygon_mm()), *np.meshgrid(x, y))
    return float(np.where(inside, depth(x[None, :], y[:, None]), 0.0).sum() * CELL_MM**2)


def uncut_points(seat: Seat, depth: Depth) -> tuple[tuple[str, float, float], ...]:
    """Return the datum points round the blank whose patch of the top face a surface leaves uncut."""
    corner = np.array([-PATCH_MM, 0.0, PATCH_MM])
    out = []
    for name, x, y in datum_points(seat):
        if float(depth(x + corner[None, :], y + corner[:, None]).max()) < UNCUT_MM:
            out.append((name, x, y))
    return tuple(out)


def datum_points(seat: Seat) -> tuple[tuple[str, float, float], ...]:
    """Return named points of the top face near the blank's edge, inside its round-over."""
    blank = seat.blank
    inset = blank.round_over_mm + PATCH_MM + 3.0
    room = shapely.Polygon(blank.polygon_mm()).buffer(-inset)
    rows = (
        ("rear", 0.5 * blank.deck_mm),
        ("side", 0.5 * blank.depth_mm),
        ("front", blank.depth_mm - inset - 12.0),
    )
    out: list[tuple[str, float, float]] = []
    for name, y in rows:
        wide = blank.width_mm
        across = shapely.intersection(shapely.LineString([(-wide, y), (wide, y)]), room)
        if across.is_empty:
            continue
        left, _, right, _ = across.bounds
        out += [(f"{name} left", float(left), y), (f"{name} right", float(right), y)]
        if name != "side":
            out.append((f"{name} middle", 0.0, y))
    return tuple(out)
