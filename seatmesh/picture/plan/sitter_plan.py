"""The plan of a sitter on the blank: marks to be checked by sitting before any cut."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np
import shapely

from seatmesh.arrays import Floats
from seatmesh.body.figure.marked_places import MarkedPlace
from seatmesh.errors import ValueRefusedError
from seatmesh.fit.hollow import deepest_place
from seatmesh.picture import mpl
from seatmesh.picture.plan.blank_plan import draw_blank, on_wood, scale_bar, write_lengths, write_sides
from seatmesh.picture.plan.plan_table import draw_table, mark_names, table_height_mm
from seatmesh.picture.style import (
    A4_MM,
    BONE,
    INK,
    MARGIN_MM,
    PAPER,
    SKIN,
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
    write_beside,
    write_title,
)
from seatmesh.surface import Seat
from seatmesh.units import format_length

TITLE_MM, NOTE_MM, AXIS_MM = 13.0, 12.0, 11.0
"""Heights on the sheet: the title, the note at its foot, the lengths under the plan."""

BESIDE_MM, AHEAD_MM = 14.0, 12.0
"""Room on the sheet to the left of the plan and ahead of it, for lengths and words."""

NUMBER_PX = 4.0
"""How far the ground of a number reaches beyond it."""
BEHIND_WORDS_MM, AHEAD_WORDS_MM = -12.0, 26.0
"""From where to where, seen from the front edge, no number goes: words stand there."""

MARKS_NOTE = "Slanted crosses: the marks that were made on the blank; the places are as these correct them."
NOTE = "Check by sitting on the bare blank before any cut. Left and right are the sitter's."


def plan(
    seat: Seat,
    places: Sequence[MarkedPlace],
    target: Target,
    *,
    units: str | None = None,
    sitter: str = "",
    marks_mm: Sequence[tuple[float, float]] = (),
) -> None:
    """Draw a sitter's marks on the blank, each with its 90 % band, their lengths in a table; write it as PNG.

    `sitter` is the name to be written beside the seat's, `marks_mm` are marks of a fitting, drawn as crosses.
    `units` are the seat's own by default. Raises `ValueRefusedError` without places or for other units,
    `FileRefusedError` when the file cannot be written.
    """
    units = seat.units if units is None else units
    check_units(units)
    if not places:
        raise ValueRefusedError(
            "places", "none", "a plan shows at least one mark", "give the sitter's places"
        )
    low, high = _extent(seat, places, marks_mm)
    table = table_height_mm(places)
    room = A4_MM[1] - 2 * MARGIN_MM - TITLE_MM - NOTE_MM - AXIS_MM - AHEAD_MM - table
    per_mm = min((A4_MM[0] - 2 * MARGIN_MM - BESIDE_MM) / (high[0] - low[0]), room / (high[1] - low[1]))
    width, height = (high - low) * per_mm
    sheet_height = A4_MM[1] - room + height
    with sheet((A4_MM[0], sheet_height), target) as figure:
        write_title(
            figure,
            "Plan of the sitter on the blank",
            plain(shortened(" · ".join(filter(None, (seat.title, sitter))), 100)),
        )
        left = MARGIN_MM + BESIDE_MM + (A4_MM[0] - 2 * MARGIN_MM - BESIDE_MM - width) / 2
        foot = sheet_height - MARGIN_MM - TITLE_MM - AHEAD_MM - height
        axes = axes_at_mm(figure, left, foot, width, height)
        axes.set_xlim(low[0], high[0])
        axes.set_ylim(low[1], high[1])
        draw_blank(axes, seat.blank)
        write_lengths(axes, seat.blank, units)
        write_sides(axes, seat.blank)
        _draw_places(axes, places, seat.blank.depth_mm)
        _draw_deepest(axes, seat, units)
        _draw_marks(axes, marks_mm)
        scale_bar(axes, -0.34 * seat.blank.width_mm, max(0.4 * seat.blank.deck_mm, 8.0), units)
        draw_table(
            axes_at_mm(figure, MARGIN_MM, MARGIN_MM + NOTE_MM, A4_MM[0] - 2 * MARGIN_MM, table), places, units
        )
        write_at_mm(figure, MARGIN_MM, MARGIN_MM + 1, NOTE, size=TEXT_PT, weight="bold")
        if marks_mm:
            write_at_mm(figure, MARGIN_MM, MARGIN_MM + 6, MARKS_NOTE, size=TEXT_PT)


def _extent(
    seat: Seat, places: Sequence[MarkedPlace], marks_mm: Sequence[tuple[float, float]]
) -> tuple[Floats, Floats]:
    """Return the lower left and upper right corners, mm, of what the plan has to show: blank and bands."""
    half = seat.blank.width_mm / 2
    points = [(-half, 0.0), (half, seat.blank.depth_mm), *marks_mm]
    for place in places:
        bounds = band(place).bounds
        points += [(bounds[0] - 2, bounds[1] - 2), (bounds[2] + 2, bounds[3] + 2)]
    corners = np.asarray(points, dtype=float)
    return corners.min(axis=0), corners.max(axis=0)


def band(place: MarkedPlace) -> shapely.Polygon:
    """Return all within the 90 % half-widths of a mark or a line: an ellipse, or the strip it sweeps."""
    across, along = (max(half, 0.5) for half in (place.band_x_mm, place.band_y_mm))
    points = np.asarray(place.points_mm) / [across, along]
    shape = shapely.Point(points[0]) if len(points) == 1 else shapely.LineString(points)
    return shapely.transform(shape.buffer(1.0, quad_segs=24), lambda ring: ring * [across, along])


def _draw_places(axes: mpl.Axes, places: Sequence[MarkedPlace], front_mm: float) -> None:
    numbers = mark_names(places)
    for place in places:
        shaded = np.asarray(band(place).exterior.coords)
        axes.add_patch(mpl.Polygon(shaded, facecolor=BONE, alpha=0.16, edgecolor="none", zorder=2))
    disc = {"boxstyle": "circle,pad=0.25", "facecolor": PAPER, "edgecolor": BONE, "linewidth": 0.8}
    number: Look = {
        "size": SMALL_PT,
        "color": INK,
        "weight": "bold",
        "ha": "center",
        "va": "center",
        "bbox": disc,
    }
    for place in places:
        x, y = np.asarray(place.points_mm).T
        style = "+" if len(x) == 1 else ""
        axes.plot(x, y, color=BONE, linewidth=1.3, marker=style, markersize=8, markeredgewidth=1.3, zorder=6)
        write_beside(axes, str(numbers[place.name]), *_number_place(place, front_mm), zorder=7, **number)


def _draw_deepest(axes: mpl.Axes, seat: Seat, units: str) -> None:
    """Draw the line on which the hollow is deepest, as far across as it is hollow, and its distance from the rear.

    The words stand at an end of the line where no number stands.
    """
    _, y, depth = deepest_place(seat)
    if depth <= 0.0:
        return
    half = seat.blank.width_mm / 2
    x = np.linspace(-half, half, 201)
    hollow = x[seat.depth_mm(x, np.array(y)) > 0.0]
    ends = float(hollow.min()), float(hollow.max())
    axes.plot(ends, [y, y], color=SKIN, linewidth=0.9, linestyle=(0, (1, 2)), zorder=3)
    words = f"deepest line, {format_length(y, units, step=16, decimals=0)}"
    numbers = list(axes.texts)
    how: Look = {"size": SMALL_PT, "color": SKIN, "bbox": on_wood(), "zorder": 5.5}
    for (end, away, align), (up, stands) in product(
        ((ends[1], -2, "right"), (ends[0], 2, "left")), ((-4, "top"), (4, "bottom"))
    ):
        write_beside(axes, words, (end, y), (away, up), ha=align, va=stands, **how)
        if not _covers_any(axes.texts[-1], numbers):
            return
        axes.texts[-1].remove()
    write_beside(axes, words, (0.0, y), (0, -4), ha="center", va="top", **how)


def _covers_any(words: mpl.Text, others: Sequence[mpl.Text]) -> bool:
    """Tell whether words would stand over others, grounds and all."""
    own = words.get_window_extent()
    return any(own.overlaps(one.get_window_extent().padded(NUMBER_PX)) for one in others)


def _draw_marks(axes: mpl.Axes, marks_mm: Sequence[tuple[float, float]]) -> None:
    for x, y in marks_mm:
        axes.plot(x, y, color=PAPER, marker="x", markersize=7, markeredgewidth=3.0, zorder=7)
        axes.plot(x, y, color=INK, marker="x", markersize=6, markeredgewidth=1.4, zorder=8)


def _number_place(place: MarkedPlace, front_mm: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return where a place's number goes: the mark and an offset outward, or the middle of a line.

    Ahead of the front edge stands which side is left and which is right: there a number goes nearer to an end.
    """
    points = np.asarray(place.points_mm, dtype=float)
    x, y = points.mean(axis=0)
    if len(points) > 1:
        shares = (0.5, 0.3, 0.7, 0.1, 0.9)
        on_line = [points[0] + share * (points[-1] - points[0]) for share in shares]
        clear = [at for at in on_line if not BEHIND_WORDS_MM < at[1] - front_mm < AHEAD_WORDS_MM]
        x, y = (clear or on_line)[0]
        return (float(x), float(y)), (0.0, 0.0)
    outward = -1.0 if place.side == "left" else 1.0
    return (float(x), float(y)), (11.0 * outward, 11.0)
