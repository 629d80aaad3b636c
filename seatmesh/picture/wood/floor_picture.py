"""How many times stronger than its load the floor is, place by place, seen from above."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from seatmesh.arrays import Floats
from seatmesh.picture import mpl
from seatmesh.picture.plan.blank_plan import draw_blank, write_lengths, write_sides
from seatmesh.picture.style import (
    A4_MM,
    HEADING_PT,
    INK,
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
from seatmesh.woodwork.floor.floor_bending import FloorBending, FloorCase
from seatmesh.woodwork.floor.floor_load import PAD_MM

STEP_MM = 4.0
STEPS = (3.0, 5.0, 8.0, 15.0)
COLOURS = ("#b4432c", "#d98b4a", "#ecc98a", "#f3e6cb", "#fbf8f1")
WORDS = ("under 3", "3 to 5", "5 to 8", "8 to 15", "over 15")
TITLE_MM, FOOT_MM, GAP_MM, HEAD_MM = 16.0, 34.0, 14.0, 12.0
NOTE = (
    "Strength over stress, the lesser along and across the grain, of surface and underside. A guide, not a proof:\n"
    "clear dry wood without knots, glue as strong as wood, shear and wear left out. Test a chair as your local\n"
    "furniture standard asks. Cross: the weakest place; pull across a glue line counts too."
)


def floor_picture(seat: Seat, bending: FloorBending, target: Target, *, units: str | None = None) -> None:
    """Draw the floor's factors for every case, and write it to `target` as PNG."""
    units = seat.units if units is None else units
    check_units(units)
    width = (A4_MM[0] - 2.0 * MARGIN_MM - GAP_MM - 10.0) / 2.0
    high = width * seat.blank.depth_mm / seat.blank.width_mm
    with sheet((A4_MM[0], high + TITLE_MM + FOOT_MM + HEAD_MM + 2.0 * MARGIN_MM), target) as figure:
        beneath = f"{seat.title}; {bending.load_n:.0f} N on a pad, least factor {bending.least.factor:.1f}"
        write_title(figure, "The floor", plain(shortened(beneath, 100)))
        for number, case in enumerate(bending.cases):
            left = MARGIN_MM + 10.0 + number * (width + GAP_MM)
            axes = axes_at_mm(figure, left, MARGIN_MM + FOOT_MM, width, high)
            half = 0.5 * seat.blank.width_mm
            axes.set_xlim(-half, half)
            axes.set_ylim(0.0, seat.blank.depth_mm)
            edge = draw_blank(axes, seat.blank)
            x, y, factor = factors(seat, case)
            filled = axes.contourf(x, y, factor, [0.0, *STEPS, 1e9], colors=COLOURS, zorder=1)
            filled.set_clip_path(edge)
            for x_line in seat.blank.glue_lines():
                (glue,) = axes.plot(
                    [x_line, x_line], [0.0, seat.blank.depth_mm], color=PENCIL, linewidth=0.9, zorder=2
                )
                glue.set_clip_path(edge)
            for leg in bending.legs:
                axes.add_patch(
                    mpl.Circle(
                        (leg.x_mm, leg.y_mm),
                        0.5 * leg.diameter_mm,
                        facecolor="none",
                        edgecolor=PENCIL,
                        zorder=4,
                    )
                )
            axes.add_patch(
                mpl.Circle(
                    (case.pad.x_mm, case.pad.y_mm),
                    PAD_MM,
                    facecolor="none",
                    edgecolor=INK,
                    linestyle=":",
                    zorder=4,
                )
            )
            weak = case.least
            axes.plot(
                [weak.x_mm],
                [weak.y_mm],
                marker="x",
                color=WARNING,
                markersize=7,
                markeredgewidth=1.6,
                zorder=6,
            )
            write_sides(axes, seat.blank, SMALL_PT * 0.9)
            write_lengths(axes, seat.blank, units)
            top = MARGIN_MM + FOOT_MM + high + 7.0
            words = f"load at {case.pad.name}: {weak.factor:.1f} {weak.way}"
            write_at_mm(figure, left + 0.5 * width, top, words, size=HEADING_PT, ha="center", color=INK)
        _key(figure)
        write_at_mm(
            figure, MARGIN_MM, MARGIN_MM, NOTE, size=SMALL_PT, color=PENCIL, va="bottom", linespacing=1.5
        )


def factors(seat: Seat, case: FloorCase) -> tuple[Floats, Floats, Floats]:
    """Return columns, rows and the least factor of surface and underside on a grid."""
    strain = case.strain
    least = np.minimum(strain.along_factor, strain.across_factor)
    x, y = (axis.ravel() for axis in seat.blank.grid_mm(STEP_MM))
    across, along = np.meshgrid(x, y)
    tree = cKDTree(strain.points_mm[:, :2])
    away, near = tree.query(np.column_stack([across.ravel(), along.ravel()]), k=8)
    weight = 1.0 / np.maximum(away, 1.0)
    # Load over strength is what adds up; its mean is drawn, and the worse of both faces weighs most.
    share = (1.0 / least)[near]
    mean = np.sum(weight * share**2, axis=1) / np.sum(weight * np.maximum(share, 1e-9), axis=1)
    return x, y, (1.0 / np.maximum(mean, 1e-6)).reshape(across.shape)


def _key(figure: mpl.Figure) -> None:
    """Draw the steps of the factor."""
    wide = 26.0
    axes = axes_at_mm(figure, MARGIN_MM + 10.0, MARGIN_MM + 13.0, 5.0 * wide, 9.0)
    axes.set_xlim(0.0, 5.0)
    axes.set_ylim(0.0, 1.0)
    axes.set_axis_off()
    for place, (colour, word) in enumerate(zip(COLOURS, WORDS, strict=True)):
        corners = [(place, 0.45), (place + 0.95, 0.45), (place + 0.95, 1.0), (place, 1.0)]
        axes.add_patch(mpl.Polygon(corners, facecolor=colour, edgecolor=PENCIL, linewidth=0.4))
        axes.text(place + 0.475, 0.0, word, size=SMALL_PT, ha="center", va="bottom", color=INK)
