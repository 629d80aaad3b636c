"""Who gains and who loses by sharing a seat: each sitter's peak on it, on one of their own, and on the flat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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

LOSS, GAIN, EQUAL = "#a64b2a", "#2f6f5e", "#8c8577"
"""Presses more than an own seat by what is felt, presses less, and neither: apart in lightness too."""
BESIDE_SHARE = 0.16
"""Of the greatest peak: room for the words beside the marks."""
LEFT_MM, FOOT_MM, HEAD_MM, ROW_MM = 34.0, 26.0, 22.0, 14.0


@dataclass(frozen=True)
class Sharer:
    """One sitter of a shared seat: how much the sitter counts, and peaks in kPa."""

    name: str
    weight: float
    flat_kpa: float
    own_kpa: float
    shared_kpa: float


def sharing_chart(sharers: Sequence[Sharer], target: Target, *, units: str = "mm", title: str = "") -> None:
    """Draw a row for each sitter and write it to `target` as PNG.

    Raises `ValueRefusedError` for fewer than two sitters or for other units, `FileRefusedError` when the file cannot
    be written.
    """
    check_units(units)
    if len(sharers) < 2:
        raise ValueRefusedError(
            "sharers", f"{len(sharers)}", "two or more share a seat", "draw it for a shared seat"
        )
    width = A5_MM[1]
    height = 2.0 * MARGIN_MM + HEAD_MM + FOOT_MM + ROW_MM * len(sharers)
    with sheet((width, height), target) as figure:
        write_title(figure, "Who gains and who loses by sharing", plain(shortened(title, 100)))
        left, foot = MARGIN_MM + LEFT_MM, MARGIN_MM + FOOT_MM
        size = (width - MARGIN_MM - left, ROW_MM * len(sharers))
        axes = axes_at_mm(figure, left, foot, *size)
        most = max(max(one.flat_kpa, one.shared_kpa, one.own_kpa) for one in sharers)
        for row, one in enumerate(sharers):
            _row(axes, len(sharers) - 1 - row, one, most)
        _dress(axes, sharers, most)
        note = (
            "Ring: on a seat of their own in the same wood.  Disc: on this seat.  Stroke: on the flat.\n"
            f"A difference under {FELT_SHARE:.0%} cannot be felt (Goossens, Teeuw, Snijders 2005). "
            f"Peaks are means {peak_words(units)}."
        )
        write_at_mm(
            figure, MARGIN_MM, MARGIN_MM, note, size=SMALL_PT, color=PENCIL, va="bottom", linespacing=1.5
        )


def loss(one: Sharer) -> float:
    """Return by what share a sitter's peak on the shared seat exceeds that on a seat of their own."""
    return one.shared_kpa / one.own_kpa - 1.0


def _row(axes: mpl.Axes, row: int, one: Sharer, most: float) -> None:
    lost = loss(one)
    colour = LOSS if lost >= FELT_SHARE else GAIN if lost <= -FELT_SHARE else EQUAL
    axes.plot([one.own_kpa, one.shared_kpa], [row, row], color=colour, linewidth=3.0, zorder=2)
    axes.plot(
        one.own_kpa,
        row,
        marker="o",
        markersize=8,
        markerfacecolor="white",
        markeredgecolor=colour,
        markeredgewidth=1.6,
        zorder=3,
    )
    axes.plot(one.shared_kpa, row, marker="o", markersize=8, color=colour, zorder=4)
    axes.plot(one.flat_kpa, row, marker="|", markersize=14, markeredgewidth=1.4, color=INK, zorder=3)
    right = max(one.own_kpa, one.shared_kpa)
    if right < one.flat_kpa < right + BESIDE_SHARE * most:
        right = one.flat_kpa  # the stroke would run through the words
    axes.annotate(
        f"{lost:+.0%}" if abs(lost) >= FELT_SHARE else f"{lost:+.0%}, not felt",
        (right, row),
        xytext=(9, 0),
        textcoords="offset points",
        va="center",
        size=TEXT_PT,
        color=colour,
    )


def _dress(axes: mpl.Axes, sharers: Sequence[Sharer], most: float) -> None:
    axes.set_xlim(0.0, (1.0 + BESIDE_SHARE) * most)
    axes.set_ylim(-0.6, len(sharers) - 0.4)
    labels = [
        plain(shortened(one.name, 20)) + (f"\ncounts {one.weight:g}" if one.weight != 1.0 else "")
        for one in sharers
    ]
    axes.set_yticks(np.arange(len(sharers))[::-1], labels)
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel("peak pressure, kPa", size=TEXT_PT)
    axes.grid(axis="x", color=PALE_EDGE, linewidth=0.35)
    axes.set_axisbelow(True)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
