"""What the maker's own tools can do in a hollow: its least concave radius, and where each tool cannot go."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from scipy import ndimage

from seatmesh.fit.hollow import is_mirrored
from seatmesh.fit.reach import STEP_MM, Reach, Tool, reach_of, tightest_of
from seatmesh.place_words import Side, place
from seatmesh.surface import Seat
from seatmesh.units import format_length

LEAST_PATCH_CM2 = 1.0
"""A smaller patch is a scraper's work and not told."""
MOST_PATCHES = 3
"""Told of each tool, the greatest first."""
TWINS_MM = 6.0
"""Patches on either side count as mirror images of each other up to this far off; a place this near to the centre line
lies on it."""
REACHED = 0.005
"""A tool that misses less than this share of the hollow goes everywhere that counts."""


def reach_report(seat: Seat, tools: Sequence[Tool]) -> dict[str, Any]:
    """Return the least concave radius of a seat's hollow; tool by tool the share it reaches and where it cannot go.

    A radius is None where no place is concave.
    """
    radius, x, y = tightest_of(seat)
    found = bool(np.isfinite(radius))
    return {
        "least_concave_radius_mm": radius if found else None,
        "least_concave_at_mm": [x, y] if found else None,
        "mirrored": is_mirrored(seat),
        "tools": [_tool(one) for one in reach_of(seat, tools)],
    }


def _tool(reach: Reach) -> dict[str, Any]:
    return {
        "name": reach.tool.name,
        "radius_mm": reach.tool.radius_mm,
        "share_reached": reach.share,
        "cannot_go": _patches(reach)[:MOST_PATCHES],
    }


def _patches(reach: Reach) -> list[dict[str, float]]:
    """Return the patches that a tool cannot go to, the greatest first."""
    labels, _ = ndimage.label(reach.too_tight, structure=np.ones((3, 3)))
    out = []
    for number, box in enumerate(ndimage.find_objects(labels), start=1):
        here = labels[box] == number
        area = float(here.sum()) * STEP_MM**2 / 100.0
        rows, columns = np.nonzero(here)
        if area >= LEAST_PATCH_CM2:
            out.append(
                {
                    "x_mm": float(reach.x_mm[box[1]][columns].mean()),
                    "y_mm": float(reach.y_mm[box[0]][rows].mean()),
                    "across_mm": STEP_MM * here.shape[1],
                    "along_mm": STEP_MM * here.shape[0],
                    "area_cm2": area,
                }
            )
    return sorted(out, key=lambda one: (-one["area_cm2"], one["y_mm"], -one["x_mm"]))


def reach_lines(figures: dict[str, Any], units: str) -> list[str]:
    """Return the report's lines on tools; none without tools or a concave place."""
    radius = figures["least_concave_radius_mm"]
    if radius is None:
        return []
    x, y = figures["least_concave_at_mm"]
    where = _place(x, y, units, "both" if figures["mirrored"] else "one")
    lines = [f"Tightest       concave radius {format_length(radius, units, decimals=0)}, {where}"]
    for tool in figures["tools"]:
        radius_text = format_length(tool["radius_mm"], units)
        lines.append(f"  {tool['name']} (radius {radius_text}): reaches {tool['share_reached']:.0%}")
    return lines


def reach_notes(figures: dict[str, Any], units: str) -> list[str]:
    """Return a note for each tool that cannot go everywhere."""
    return [
        f"{tool['name']} {_words(tool, units)}"
        for tool in figures["tools"]
        if tool["share_reached"] < 1.0 - REACHED
    ]


def _words(tool: dict[str, Any], units: str) -> str:
    missed = 1.0 - tool["share_reached"]
    if missed < REACHED:
        return "goes everywhere in the hollow"
    words = f"cannot go to {missed:.0%} of the hollow"
    patches = _told_once(tool["cannot_go"])
    where = "; ".join(_patch(one, twin, units) for one, twin in patches)
    return f"{words}: {where}" if where else f"{words}, in specks"


def _told_once(patches: list[dict[str, float]]) -> list[tuple[dict[str, float], bool]]:
    """Return the patches, each pair of mirror images once, and whether it is such a pair."""
    out: list[tuple[dict[str, float], bool]] = []
    for one in patches:
        twins = [i for i, (other, _) in enumerate(out) if _are_twins(one, other)]
        if twins:
            out[twins[0]] = (out[twins[0]][0], True)
        else:
            out.append((one, False))
    return out


def _are_twins(one: dict[str, float], other: dict[str, float]) -> bool:
    return (
        one["x_mm"] * other["x_mm"] < 0.0
        and abs(one["x_mm"] + other["x_mm"]) < TWINS_MM
        and abs(one["y_mm"] - other["y_mm"]) < TWINS_MM
    )


def _patch(one: dict[str, float], twin: bool, units: str) -> str:
    size = " x ".join(format_length(one[key], units, decimals=0) for key in ("across_mm", "along_mm"))
    return f"{_place(one['x_mm'], one['y_mm'], units, 'both' if twin else 'one')} ({size}, across x along)"


def _place(x: float, y: float, units: str, side: Side) -> str:
    return place(0.0 if abs(x) < TWINS_MM else x, y, units, side, decimals=0)
