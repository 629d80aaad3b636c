"""The map of a gauge check: what to take, what is done, what is too deep, by symbol, number and colour."""

from __future__ import annotations

import numpy as np

from seatmesh.gauge.check.check_readings import GaugeCheck
from seatmesh.gauge.check.verdict import DONE, MISREAD, QUESTIONED, TAKE, TOO_DEEP
from seatmesh.picture import mpl
from seatmesh.picture.plan.blank_plan import draw_blank, write_lengths, write_sides
from seatmesh.picture.style import (
    A4_MM,
    INK,
    MARGIN_MM,
    PAPER,
    SMALL_PT,
    TEXT_PT,
    Look,
    Target,
    axes_at_mm,
    check_units,
    plain,
    sheet,
    shortened,
    write_at_mm,
    write_title,
)
from seatmesh.units import MM_PER_INCH

TAKE_COLOURS = ("#dbe7f3", "#a9c9e3", "#6aa3d0", "#3d82b8")
DEEP_COLOURS = ("#fbdcc0", "#f2ac6e", "#dd7a2b")
DONE_COLOUR = "#ffffff"
"""Blue for wood to take, orange for too deep: told apart by all usual kinds of colour blindness (Okabe and Ito)."""
STEPS = (1.0, 2.0, 4.0, 8.0)
DEEP_STEPS = (1.0, 2.0, 4.0)
"""Bands in tolerances."""
SYMBOLS: dict[str, Look] = {
    TAKE: {"marker": "v", "color": "#1d4f7c", "label": "take: amount beside it"},
    DONE: {"marker": "o", "color": "#6d6d6d", "label": "done"},
    TOO_DEEP: {"marker": "x", "color": "#a6480c", "label": "too deep: amount with a minus"},
    QUESTIONED: {"marker": "$?$", "color": INK, "label": "questioned: read again"},
    MISREAD: {"marker": "$-$", "color": INK, "label": "misread: left out"},
}
MOST_NUMBERS = 500
TITLE_MM, FOOT_MM, BESIDE_MM = 26.0, 44.0, 12.0


def gauge_map(check: GaugeCheck, target: Target, *, units: str | None = None) -> None:
    """Draw the map of a check and write it as PNG; `units` are the seat's own by default.

    Raises `ValueRefusedError` for other units, `FileRefusedError` when the file cannot be written.
    """
    units = check.seat.units if units is None else units
    check_units(units)
    blank = check.seat.blank
    width = A4_MM[0] - 2 * MARGIN_MM - BESIDE_MM
    per_mm = width / (blank.width_mm + 8.0)
    height = per_mm * (blank.depth_mm + 8.0)
    with sheet((A4_MM[0], height + TITLE_MM + FOOT_MM), target) as figure:
        verdict = "finished" if check.finished else "not finished: " + "; ".join(check.unfinished)
        write_title(figure, "What the gauge says", plain(shortened(f"{check.seat.title} · {verdict}", 120)))
        axes = axes_at_mm(figure, MARGIN_MM + BESIDE_MM, FOOT_MM, width, height)
        axes.set_xlim(-0.5 * blank.width_mm - 4, 0.5 * blank.width_mm + 4)
        axes.set_ylim(-4, blank.depth_mm + 4)
        edge = draw_blank(axes, blank)
        tolerance = check.tolerance_mm
        levels = [
            -1e3, *(-tolerance * step for step in reversed(DEEP_STEPS[1:])), -tolerance,
            *(tolerance * step for step in STEPS), 1e3,
        ]  # fmt: skip
        colours = mpl.ListedColormap([*reversed(DEEP_COLOURS), DONE_COLOUR, *TAKE_COLOURS])
        field = np.ma.masked_invalid(np.where(check.field.carved, check.field.to_take_mm, np.nan))
        filled = axes.contourf(
            check.field.x_mm, check.field.y_mm, field, levels=levels, cmap=colours,
            norm=mpl.BoundaryNorm(levels, colours.N), zorder=1,
        )  # fmt: skip
        filled.set_clip_path(edge)
        for side, style in ((tolerance, "solid"), (-tolerance, "dashed")):
            line = axes.contour(
                check.field.x_mm, check.field.y_mm, field, levels=[side], colors=INK, linewidths=0.6,
                linestyles=style, zorder=2,
            )  # fmt: skip
            line.set_clip_path(edge)
        _draw_points(axes, check, units)
        _draw_cuts(axes, check)
        write_lengths(axes, blank, units)
        write_sides(axes, blank)
        axes.legend(
            loc="upper center", bbox_to_anchor=(0.5, -0.06), ncols=4, frameon=False, fontsize=SMALL_PT,
            handletextpad=0.3,
        )  # fmt: skip
        _draw_key(axes_at_mm(figure, MARGIN_MM + BESIDE_MM, 17.0, width, 5.0), tolerance, units)
        write_at_mm(
            figure, MARGIN_MM, 6.0,
            "Numbered squares: where to cut next, in order. Left and right are the sitter's.", size=TEXT_PT,
            weight="bold",
        )  # fmt: skip


def _draw_points(axes: mpl.Axes, check: GaugeCheck, units: str) -> None:
    r, state = check.readings, np.array(check.state)
    for name, look in SYMBOLS.items():
        here = state == name
        if here.any():
            axes.scatter(
                r.x_mm[here], r.y_mm[here], s=9 if name == DONE else 16, linewidths=0.8, zorder=6, **look
            )
    if len(state) > MOST_NUMBERS:
        return
    for k in np.flatnonzero((state == TAKE) | (state == TOO_DEEP)):
        amount = check.fair_to_take_mm[k] / (1.0 if units == "mm" else MM_PER_INCH)
        words = f"{amount:.1f}" if units == "mm" else f"{amount:.2f}"
        axes.annotate(
            words.replace("-", "\N{MINUS SIGN}"), (r.x_mm[k], r.y_mm[k]), (0, 3.5), textcoords="offset points",
            size=SMALL_PT - 2, ha="center", va="bottom", zorder=7,
            path_effects=[mpl.withStroke(linewidth=1.6, foreground=PAPER)],
        )  # fmt: skip


def _draw_cuts(axes: mpl.Axes, check: GaugeCheck) -> None:
    box = {"boxstyle": "square,pad=0.2", "facecolor": PAPER, "edgecolor": INK, "linewidth": 0.7}
    for number, cut in enumerate(check.cuts, start=1):
        axes.annotate(
            str(number), (cut.x_mm, cut.y_mm), (0, -8), textcoords="offset points", size=SMALL_PT + 1,
            weight="bold", ha="center", va="center", bbox=box, zorder=8,
        )  # fmt: skip


def _draw_key(axes: mpl.Axes, tolerance: float, units: str) -> None:
    """Draw the bands as a row of fields with their limits in words."""
    colours = [*reversed(DEEP_COLOURS), DONE_COLOUR, *TAKE_COLOURS]
    limits = [*(-tolerance * step for step in reversed(DEEP_STEPS)), *(tolerance * step for step in STEPS)]
    for k, colour in enumerate(colours):
        axes.add_patch(mpl.Rectangle((k, 0), 1, 1, facecolor=colour, edgecolor=INK, linewidth=0.3))
    axes.set_xlim(0, len(colours))
    axes.set_ylim(0, 1)
    axes.set_yticks([])
    scale, form = (1.0, "{:g}") if units == "mm" else (MM_PER_INCH, "{:.2f}")
    labels = [form.format(limit / scale).replace("-", "\N{MINUS SIGN}") for limit in limits]
    axes.set_xticks(range(1, len(colours)), labels)
    axes.tick_params(length=2.0, pad=1.5)
    words = [(1.5, "too deep"), (3.5, "done"), (6.0, "wood still to take")]
    for x, word in words:
        axes.text(
            x, 1.25, f"{word}, {units}" if word != "done" else word, size=SMALL_PT, ha="center", va="bottom"
        )
