"""The way to cut, from above: arrows with the grain, lines where the direction turns, places to scrape."""

from __future__ import annotations

import numpy as np

from seatmesh.picture import mpl
from seatmesh.picture.plan.blank_plan import draw_blank, write_lengths, write_sides
from seatmesh.picture.style import (
    A4_MM,
    EDGE,
    MARGIN_MM,
    PENCIL,
    SMALL_PT,
    WARNING,
    Target,
    axes_at_mm,
    check_units,
    plain,
    sheet,
    shortened,
    write_at_mm,
    write_title,
)
from seatmesh.surface import Seat
from seatmesh.wood.boards.layup import Layup
from seatmesh.woodwork.way_to_cut import NONE_GOOD, WayToCut, arrows, turning_lines, way_to_cut

SPACING_MM = 34.0
LONG_MM = 21.0
ARROW = {
    "arrowstyle": "-|>", "color": EDGE, "linewidth": 1.1, "shrinkA": 0, "shrinkB": 0, "mutation_scale": 9,
}  # fmt: skip
FOOT_MM, TITLE_MM = 32.0, 16.0
NOTE = (
    "Push the cutter the way of the arrow: the fibres come up out of the surface ahead of it. Where no arrow stands,\n"
    "fibres lie along the surface, and either way will do. Solid line: cuts meet here, from both sides; stop short.\n"
    "Dashed line: the grain turns over a ridge; start here, both ways. Hatched: no direction is good; scrape or abrade."
)
LEVEL = "\nFibres are taken to run level, front to rear: no board states its slope of grain (rise_deg, aside_deg)."


def cut_picture(seat: Seat, layup: Layup, target: Target, *, units: str | None = None) -> None:
    """Draw the way to cut and write it to `target` as PNG."""
    units = seat.units if units is None else units
    check_units(units)
    width = A4_MM[0] - 2.0 * MARGIN_MM - 14.0
    high = width * seat.blank.depth_mm / seat.blank.width_mm
    with sheet((A4_MM[0], high + TITLE_MM + FOOT_MM + 2.0 * MARGIN_MM + 8.0), target) as figure:
        write_title(figure, "The way to cut", plain(shortened(seat.title, 100)))
        axes = axes_at_mm(figure, MARGIN_MM + 12.0, MARGIN_MM + FOOT_MM, width, high)
        half = 0.5 * seat.blank.width_mm
        axes.set_xlim(-half, half)
        axes.set_ylim(0.0, seat.blank.depth_mm)
        draw_blank(axes, seat.blank)
        draw_way(axes, way_to_cut(seat, layup))
        write_sides(axes, seat.blank)
        write_lengths(axes, seat.blank, units)
        level = all(board.rise_deg == 0.0 and board.aside_deg == 0.0 for board in layup.boards)
        note = NOTE + (LEVEL if level else "")
        write_at_mm(
            figure, MARGIN_MM, MARGIN_MM, note, size=SMALL_PT, color=PENCIL, va="bottom", linespacing=1.5
        )


def draw_way(axes: mpl.Axes, way: WayToCut) -> None:
    """Draw arrows, turning lines and places to scrape."""
    bad = np.where(way.way == NONE_GOOD, 1.0, np.nan)
    if np.isfinite(bad).any():
        axes.contourf(
            way.x_mm, way.y_mm, np.nan_to_num(bad), [0.5, 1.5], colors="none", hatches=["xxx"], zorder=2
        )
        axes.pcolormesh(
            way.x_mm,
            way.y_mm,
            bad,
            cmap=mpl.ListedColormap([WARNING]),
            alpha=0.25,
            shading="nearest",
            zorder=1.5,
        )
    for valleys, style in ((True, "-"), (False, "--")):
        for line in turning_lines(way, valleys):
            axes.plot(*line.T, color=WARNING, linewidth=1.3, linestyle=style, zorder=4)
    for place, direction in arrows(way, SPACING_MM):
        start, stop = place - 0.5 * LONG_MM * direction, place + 0.5 * LONG_MM * direction
        axes.annotate(
            "", (float(stop[0]), float(stop[1])), (float(start[0]), float(start[1])), zorder=5,
            arrowprops=ARROW,
        )  # fmt: skip
