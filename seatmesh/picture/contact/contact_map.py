"""The contact map: how hard each sitter presses, and where, seen from above on one scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap

import numpy as np

from seatmesh.arrays import Bools
from seatmesh.errors import ValueRefusedError
from seatmesh.picture import mpl
from seatmesh.picture.contact.peak import PeakMark, peaks
from seatmesh.picture.contact.pressure_field import drawn_pressure
from seatmesh.picture.contact.pressure_scale import RING, STEPS_KPA, draw_scale, pressure_scale
from seatmesh.picture.plan.blank_plan import draw_blank, write_lengths, write_sides
from seatmesh.picture.style import (
    A4_MM,
    A5_MM,
    HEADING_PT,
    INK,
    MARGIN_MM,
    SMALL_PT,
    WARNING,
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
from seatmesh.seating.sitting import Sitting
from seatmesh.units import format_area, format_mass

TITLE_MM, SCALE_MM = 13.0, 15.0
"""Height of the sheet's title and of the scale at its foot."""

LEFT_MM, RIGHT_MM, ABOVE_MM, BENEATH_MM = 11.0, 3.0, 14.0, 22.0
"""Room round each plan for its words."""

SIDES_MM = 60.0
"""Width of a plan that the words for its sides fit at their full size."""

MOST_LINES = 3
"""Lines beneath a plan."""

STANDARD_GRAVITY = 9.80665


def contact_map(sittings: Sequence[Sitting], target: Target, *, units: str = "mm") -> None:
    """Draw one panel a sitter, all on one pressure scale in kPa, and write it to `target` as PNG.

    Plans are seen from above, the rear edge at the foot and FRONT at the head. `units` ("mm" or "in") are
    those of lengths and areas. Raises `ValueRefusedError` without sitters or for other units,
    `FileRefusedError` when the file cannot be written.
    """
    check_units(units)
    if not sittings:
        raise ValueRefusedError(
            "sittings", "none", "a contact map shows at least one sitter", "give a sitting"
        )
    layout = _layout(sittings, units)
    width, height = layout.sheet_mm
    with sheet(layout.sheet_mm, target) as figure:
        titles = list(dict.fromkeys(sitting.seat.title for sitting in sittings))
        write_title(figure, "Contact map", plain(shortened(", ".join(titles), int(width / 1.9))))
        for i, sitting in enumerate(sittings):
            row, column = divmod(i, layout.columns)
            left = MARGIN_MM + column * layout.panel_mm[0]
            top = height - MARGIN_MM - TITLE_MM - row * layout.panel_mm[1]
            title = shortened(sitting.seat.title, int(layout.panel_mm[0] / 1.6))
            seat_line = (f"on {title}",) if len(titles) > 1 else ()
            _panel(figure, sitting, (left, top), layout, (*seat_line, *figure_lines(sitting, units)))
        draw_scale(axes_at_mm(figure, MARGIN_MM, MARGIN_MM + 4, width - 2 * MARGIN_MM, 4))


@dataclass(frozen=True)
class _Layout:
    """Sheet and panels: sizes in mm, `per_mm` the scale of the plans, `units` those of lengths."""

    sheet_mm: tuple[float, float]
    columns: int
    panel_mm: tuple[float, float]
    per_mm: float
    units: str


def _layout(sittings: Sequence[Sitting], units: str) -> _Layout:
    """Fill the width of A5 with one sitter, of A4 with more; up to six fit the paper's length."""
    count = len(sittings)
    columns = 1 if count == 1 else 2
    rows = -(-count // columns)
    paper_width, paper_length = A5_MM if count == 1 else A4_MM
    width = (paper_width - 2 * MARGIN_MM) / columns
    around = 2 * MARGIN_MM + TITLE_MM + SCALE_MM
    widest = max(sitting.seat.blank.width_mm for sitting in sittings)
    longest = max(sitting.seat.blank.depth_mm for sitting in sittings)
    per_mm = (width - LEFT_MM - RIGHT_MM) / widest
    if count <= 6:
        per_mm = min(per_mm, ((paper_length - around) / rows - ABOVE_MM - BENEATH_MM) / longest)
    height = longest * per_mm + ABOVE_MM + BENEATH_MM
    return _Layout((paper_width, around + rows * height), columns, (width, height), per_mm, units)


def _panel(
    figure: mpl.Figure,
    sitting: Sitting,
    corner_mm: tuple[float, float],
    layout: _Layout,
    beneath: Sequence[str],
) -> None:
    """Draw one sitter's map with lines beneath it, its panel's left and top at `corner_mm` of the sheet."""
    left, top = corner_mm
    blank = sitting.seat.blank
    plan_width, plan_height = blank.width_mm * layout.per_mm, blank.depth_mm * layout.per_mm
    panel_width = layout.panel_mm[0]
    plan_left = left + LEFT_MM + (panel_width - LEFT_MM - RIGHT_MM - plan_width) / 2
    foot = top - ABOVE_MM - plan_height
    axes = axes_at_mm(figure, plan_left, foot, plan_width, plan_height)
    axes.set_xlim(-blank.width_mm / 2, blank.width_mm / 2)
    axes.set_ylim(0.0, blank.depth_mm)
    draw_pressure(axes, sitting, layout.units)
    write_lengths(axes, blank, layout.units)
    write_sides(axes, blank, SMALL_PT * min(1.0, plan_width / SIDES_MM))
    middle = plan_left + plan_width / 2
    name = plain(shortened(_name(sitting), int(panel_width / 2.4)))
    write_at_mm(figure, middle, top - ABOVE_MM + 6.5, name, size=HEADING_PT, weight="bold", ha="center")
    colour = INK if sitting.converged else WARNING
    long = int(panel_width / 1.4)
    lines = [part for line in beneath for part in wrap(line, long)]
    for i, line in enumerate(lines[:MOST_LINES]):
        write_at_mm(
            figure, middle, foot - 12.5 - 3.4 * i, plain(line), size=SMALL_PT, ha="center", color=colour
        )


def draw_pressure(axes: mpl.Axes, sitting: Sitting, units: str) -> None:
    """Draw a blank with pressure in bands, from the zero line of the gap inward, and the peak on it."""
    edge = draw_blank(axes, sitting.seat.blank)
    pressure = np.asarray(sitting.pressure_kpa, dtype=float)
    if pressure.max(initial=0.0) < STEPS_KPA[0]:
        return
    drawn = drawn_pressure(sitting)
    levels = [0.0, *(float(drawn.height_of(np.asarray(step))) for step in STEPS_KPA[1:])]
    bands = [tuple(one) for one in pressure_scale().colours(np.arange(len(levels)))]
    rows, columns = (_reach(drawn.overlap_mm > 0.0, axis) for axis in (1, 0))
    over = (drawn.x_mm[columns], drawn.y_mm[rows], drawn.height[rows, columns], levels)
    filled = axes.contourf(*over, colors=bands, extend="max", zorder=1)
    lines = axes.contour(*over, colors=[INK], linewidths=0.3, zorder=2)
    for contours in (filled, lines):
        contours.set_clip_path(edge)
    if sitting.converged:
        _mark_peaks(axes, peaks(sitting.x_mm, sitting.y_mm, pressure), sitting, units)


def _reach(pressed: Bools, axis: int) -> slice:
    """Return from which to which row or column body and seat touch, and one more on either side."""
    touched = np.flatnonzero(pressed.any(axis=axis))
    return slice(max(touched[0] - 1, 0), touched[-1] + 2)


def _mark_peaks(axes: mpl.Axes, spots: Sequence[PeakMark], sitting: Sitting, units: str) -> None:
    """Ring the peak, and one on the other side that cannot be felt apart from it; name the first."""
    blank = sitting.seat.blank
    ring: Look = {"marker": "o", "markersize": 6, "markerfacecolor": "none", "markeredgewidth": 0.9}
    for spot in spots:
        axes.plot(spot.x_mm, spot.y_mm, markeredgecolor=RING, zorder=6, **ring)
    side = 1.0 if spots[0].x_mm >= 0 else -1.0
    axes.annotate(
        f"{sitting.figures.peak_kpa:.0f} kPa {peak_words(units)}",
        (spots[0].x_mm, spots[0].y_mm),
        (side * 0.25 * blank.width_mm, 0.06 * blank.depth_mm),  # over the deck, which stays bare
        size=SMALL_PT,
        ha="center",
        va="center",
        zorder=7,
        bbox={"boxstyle": "round,pad=0.25", "facecolor": "white", "edgecolor": INK, "linewidth": 0.4},
        arrowprops={"arrowstyle": "-", "linewidth": 0.6, "color": INK, "shrinkB": 3.5},
    )


def _name(sitting: Sitting) -> str:
    return sitting.body.name if sitting.posture == "upright" else f"{sitting.body.name}, {sitting.posture}"


def figure_lines(sitting: Sitting, units: str) -> tuple[str, ...]:
    """Return the lines beneath a panel: load and contact, then mean and peak or why there is no answer."""
    figures = sitting.figures
    load = f"carries {format_mass(figures.load_n / STANDARD_GRAVITY, units, 0)} ({figures.load_n:.0f} N)"
    if not sitting.converged:
        return load, f"no answer: {sitting.verdict}"
    area = figures.contact_area_cm2
    shown_area = format_area(area, units).replace("cm2", "cm²")
    return (
        f"{load} · contact {shown_area}",
        f"mean {figures.mean_kpa:.1f} kPa · peak {figures.peak_kpa:.0f} kPa {peak_words(units)}",
    )
