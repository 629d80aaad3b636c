"""Peak pressure against depth: how deep a hollow is worth carving."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from seatmesh.errors import ValueRefusedError
from seatmesh.picture import mpl
from seatmesh.picture.style import (
    A5_MM,
    INK,
    MARGIN_MM,
    PALE_EDGE,
    PENCIL,
    SMALL_PT,
    TEXT_PT,
    Look,
    Target,
    axes_at_mm,
    check_units,
    peak_words,
    plain,
    sheet,
    shortened,
    write_at_mm,
    write_title,
)
from seatmesh.seating.figures import FELT_SHARE
from seatmesh.units import format_length

COLOURS = ("#0072b2", "#d55e00", "#009e73", "#7b4f8f", "#8a6d00", "#3b3b3b")
"""After Okabe and Ito's set for the colour-blind (from memory), its pale colours darkened for thin lines."""
MARKERS = ("o", "s", "^", "D", "v", "P")

LEFT_MM, FOOT_MM, HEAD_MM = 14.0, 23.0, 23.0


def depth_curve(
    rows: Mapping[str, Sequence[Mapping[str, float]]], target: Target, *, units: str = "mm", title: str = ""
) -> None:
    """Draw each sitter's peak pressure over the depth of the hollow, and write it to `target` as PNG.

    `rows` holds for each sitter's name what `peak_by_depth` of a report holds: `depth_mm` and `peak_kpa` of
    every depth tried. The band over each sitter's least peak is what cannot be felt apart from it; the
    shallowest depth tried within the band is ringed. Raises `ValueRefusedError` for a sitter without depths
    or for other units, `FileRefusedError` when the file cannot be written.
    """
    check_units(units)
    if not rows or not all(len(points) > 0 for points in rows.values()):
        raise ValueRefusedError(
            "rows", dict(rows), "every sitter has at least one depth", "give depth_mm and peak_kpa"
        )
    width, height = A5_MM[::-1]
    with sheet((width, height), target) as figure:
        write_title(figure, "Peak pressure and depth of the hollow", plain(shortened(title, 100)))
        left, foot = MARGIN_MM + LEFT_MM, MARGIN_MM + FOOT_MM
        size = (width - MARGIN_MM - left, height - MARGIN_MM - foot - HEAD_MM)
        axes = axes_at_mm(figure, left, foot, *size)
        for i, (name, points) in enumerate(rows.items()):
            _curve(axes, name, points, i)
        _dress(axes, sorted({point["depth_mm"] for points in rows.values() for point in points}), units)
        note = (
            f"Shaded: within {FELT_SHARE:.0%} of a sitter's least peak, a difference that cannot be felt "
            "(Goossens, Teeuw, Snijders 2005).\n"
            f"Ringed: the shallowest depth tried within it. Peaks are means {peak_words(units)}."
        )
        write_at_mm(
            figure, MARGIN_MM, MARGIN_MM, note, size=SMALL_PT, color=PENCIL, va="bottom", linespacing=1.5
        )


def _curve(axes: mpl.Axes, name: str, points: Sequence[Mapping[str, float]], number: int) -> None:
    ordered = sorted((point["depth_mm"], point["peak_kpa"]) for point in points)
    depth, peak = np.array(ordered).T
    colour, marker = COLOURS[number % len(COLOURS)], MARKERS[number % len(MARKERS)]
    felt = float(peak.min()) * (1.0 + FELT_SHARE)
    axes.axhspan(float(peak.min()), felt, color=colour, alpha=0.13, linewidth=0)
    label = plain(shortened(name, 22))
    axes.plot(depth, peak, color=colour, marker=marker, markersize=4.5, linewidth=1.4, zorder=3, label=label)
    enough = int(np.argmax(peak <= felt))
    ring: Look = {"marker": "o", "markersize": 10, "markerfacecolor": "none", "markeredgecolor": INK}
    axes.plot(depth[enough], peak[enough], markeredgewidth=0.9, zorder=4, **ring)


def _dress(axes: mpl.Axes, depths_mm: Sequence[float], units: str) -> None:
    spread = max(depths_mm[-1] - depths_mm[0], 1.0)
    axes.set_xlim(depths_mm[0] - 0.04 * spread, depths_mm[-1] + 0.04 * spread)
    axes.set_ylim(0.0, 1.12 * axes.dataLim.y1)
    apart = [
        depth for i, depth in enumerate(depths_mm) if i == 0 or depth - depths_mm[i - 1] >= 0.045 * spread
    ]
    axes.set_xticks(apart, [format_length(depth, units).removesuffix(" mm") for depth in apart])
    axes.set_xlabel("depth of the hollow" + (", mm" if units == "mm" else ""), size=TEXT_PT)
    axes.set_ylabel("peak pressure, kPa", size=TEXT_PT)
    axes.grid(color=PALE_EDGE, linewidth=0.35)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    above: Look = {"loc": "lower left", "bbox_to_anchor": (0.0, 1.0), "borderaxespad": 0.2}
    axes.legend(frameon=False, fontsize=TEXT_PT, ncols=4, **above)
