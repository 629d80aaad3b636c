"""Light lines: how long lamps would mirror in the seat were it polished. Where a line kinks, the wood is not fair."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.picture.plan.blank_plan import draw_blank, write_lengths, write_sides
from seatmesh.picture.style import (
    A4_MM,
    HEADING_PT,
    INK,
    MARGIN_MM,
    SMALL_PT,
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

STEP_MM = 1.0
LINES_PER_RADIAN = 20.0
"""How close the lamps hang: lines for each radian by which the mirrored ray turns."""
TITLE_MM, FOOT_MM, GAP_MM, HEAD_MM = 14.0, 20.0, 14.0, 12.0
NOTE = (
    "Lamps hang in rows along the seat (left) and across it (right). Even, flowing lines mean a fair surface; at a\n"
    "kink the slope has a corner (the hollow's edge and the deck line have one), at a wiggle the wood undulates."
)


def light_lines(seat: Seat, target: Target, *, units: str | None = None) -> None:
    """Draw the mirrored lamps on the seat from above, rows along and rows across, and write it to `target` as PNG."""
    units = seat.units if units is None else units
    check_units(units)
    width = (A4_MM[0] - 2 * MARGIN_MM - GAP_MM - 10.0) / 2.0
    height = width * seat.blank.depth_mm / seat.blank.width_mm
    x, y, bands = _bands(seat)
    with sheet((A4_MM[0], height + TITLE_MM + FOOT_MM + HEAD_MM + 2 * MARGIN_MM), target) as figure:
        write_title(figure, "Light lines", plain(shortened(seat.title, 100)))
        for number, (words, band) in enumerate(zip(("rows along", "rows across"), bands, strict=True)):
            left = MARGIN_MM + 10.0 + number * (width + GAP_MM)
            axes = axes_at_mm(figure, left, MARGIN_MM + FOOT_MM, width, height)
            half = seat.blank.width_mm / 2
            axes.set_xlim(-half, half)
            axes.set_ylim(0.0, seat.blank.depth_mm)
            edge = draw_blank(axes, seat.blank)
            filled = axes.contourf(x, y, band, [-1.0, 0.0, 1.0], colors=["#f7f1e3", "#5d4a34"], zorder=1)
            filled.set_clip_path(edge)
            write_sides(axes, seat.blank, SMALL_PT * 0.9)
            write_lengths(axes, seat.blank, units)
            top = MARGIN_MM + FOOT_MM + height + 7.0
            write_at_mm(figure, left + width / 2, top, words, size=HEADING_PT, ha="center", color=INK)
        write_at_mm(figure, MARGIN_MM, MARGIN_MM, NOTE, size=SMALL_PT, va="bottom", linespacing=1.5)


def _bands(seat: Seat) -> tuple[Floats, Floats, tuple[Floats, Floats]]:
    """Return columns, rows, and for both ways a wave that is positive where a lamp is seen, shapes (ny, nx)."""
    x, y = (axis.ravel() for axis in seat.blank.grid_mm(STEP_MM))
    depth = seat.depth_mm(x[None, :], y[:, None])
    by_y, by_x = np.gradient(-depth, y, x)
    # A ray from straight above is mirrored by twice the slope's angle.
    return x, y, tuple(np.cos(2.0 * np.arctan(slope) * LINES_PER_RADIAN * np.pi) for slope in (by_x, by_y))
