"""What is drawn within one section: wood, sitter and depths."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seatmesh.picture import mpl
from seatmesh.picture.section_cut import SectionCut
from seatmesh.picture.style import (
    BONE,
    EDGE,
    HATCH,
    INK,
    PENCIL,
    SKIN,
    SMALL_PT,
    WOOD_CUT,
    Look,
    write_beside,
)
from seatmesh.station import Station
from seatmesh.units import format_no_more
from seatmesh.wood.blank import Blank

LINES: dict[str, Look] = {
    "top": {"color": PENCIL, "linewidth": 0.5},
    "floor": {"color": PENCIL, "linewidth": 0.8, "dashes": (10, 3, 2, 3)},
    "skin": {"color": SKIN, "linewidth": 1.1},
    "free skin": {"color": SKIN, "linewidth": 1.0, "dashes": (1, 1.6)},
    "bone": {"color": BONE, "linewidth": 1.1, "dashes": (5, 2)},
}
"""How each line of the sheet is drawn."""

APART_ON_SHEET_MM = 12.0
"""Least distance between two depth figures on the sheet: room for one."""

LEAST_BONE_MM = 8.0
"""Bone that shows by less than this beneath the top of its strip would be a stray dash."""

LEAST_SHOWN_MM = 0.3
"""Wood cut by less than this carries no figure."""


def draw_wood(axes: mpl.Axes, blank: Blank, lines: SectionCut) -> None:
    """Draw the cut wood with its under-bevel, hatched, the top line of the uncut blank and the floor line."""
    s, underside = lines.s_mm, lines.underside_mm
    cut_wood: Look = {"facecolor": WOOD_CUT, "edgecolor": HATCH, "hatch": "////", "linewidth": 0.0}
    axes.fill_between(s, lines.surface_mm, underside, **cut_wood)
    ring_s = np.concatenate([s, s[::-1], s[:1]])
    ring_z = np.concatenate([lines.surface_mm, underside[::-1], lines.surface_mm[:1]])
    axes.plot(s[[0, -1]], [0.0, 0.0], **LINES["top"])
    axes.plot(s, underside + blank.floor_mm, **LINES["floor"])
    axes.plot(ring_s, ring_z, color=EDGE, linewidth=1.1, solid_joinstyle="miter", clip_on=False)


def draw_sitter(axes: mpl.Axes, lines: SectionCut, top_mm: float) -> None:
    """Draw skin as the seat presses it, skin as it would hang free within the wood, and bone below `top_mm`."""
    free = np.where(lines.skin_mm < lines.surface_mm, lines.skin_mm, np.nan)
    axes.plot(lines.s_mm, np.maximum(lines.skin_mm, lines.surface_mm), **LINES["skin"])
    axes.plot(lines.s_mm, free, **LINES["free skin"])
    if np.min(np.nan_to_num(lines.bone_mm, nan=np.inf)) < top_mm - LEAST_BONE_MM:
        axes.plot(lines.s_mm, lines.bone_mm, **LINES["bone"])


def depth_marks(
    lines: SectionCut, station: Station, planes: Sequence[Station], scale: float, roll_mm: float = np.inf
) -> tuple[tuple[float, float, str], ...]:
    """Return (place, depth, letter) of the depths to be written, the sheet being 1 to `scale`.

    Across these are each side's deepest and the centre line's; along, those where the sections across pass
    and the deepest behind the front roll, which begins at `roll_mm`. One with no room beside those before it, or with
    hardly any wood cut, is left out.
    """
    depth = -lines.surface_mm
    crossings = [(plane.at_mm, plane.letter) for plane in planes if plane.runs == "across"]
    deepest = (float(lines.s_mm[np.argmax(np.where(lines.s_mm <= roll_mm, depth, -1.0))]), "")
    if station.runs == "across":
        halves = [lines.s_mm <= 0, lines.s_mm >= 0]
        crossings = [(float(lines.s_mm[np.argmax(np.where(half, depth, -1.0))]), "") for half in halves]
        deepest = (0.0, "")
    wanted: list[tuple[float, str]] = []
    for place in (*crossings, deepest):
        if all(abs(place[0] - other[0]) >= APART_ON_SHEET_MM * scale for other in wanted):
            wanted.append(place)
    marks = [(s, float(np.interp(s, lines.s_mm, depth)), letter) for s, letter in wanted]
    return tuple(mark for mark in marks if mark[1] >= LEAST_SHOWN_MM)


def draw_depths(axes: mpl.Axes, marks: Sequence[tuple[float, float, str]], units: str) -> None:
    """Draw each depth as a measured line from the blank's top, its figure in the wood beneath."""
    box = {"boxstyle": "round,pad=0.12", "facecolor": WOOD_CUT, "edgecolor": "none"}
    for s, depth, letter in marks:
        figure = format_no_more(depth, units).removesuffix(" mm")
        if figure == '0"':  # less than the finest fraction
            continue
        axes.plot([s, s], [0.0, -depth], color=INK, linewidth=0.6, marker="_", markersize=4, zorder=4)
        under: Look = {"size": SMALL_PT, "ha": "center", "va": "top", "zorder": 5, "bbox": box}
        write_beside(axes, f"{letter} {figure}".strip(), (s, -depth), (0, -3.5), **under)
