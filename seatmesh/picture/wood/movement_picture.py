"""The end grain of the boards as they move: the panel in the driest and in the dampest room, movement drawn larger."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seatmesh.picture import mpl
from seatmesh.picture.style import (
    A4_MM,
    EDGE,
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
from seatmesh.picture.wood.wood_colour import wood_rgb
from seatmesh.surface import Seat
from seatmesh.units import format_change
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.boards.movement import cup_words
from seatmesh.woodwork.seat_movement import RoomMovement

LARGER = 10.0
DOT_MM = 0.7
NOTE = (
    "End grain of the uncarved blank at its middle, the sitter's left at left. Red: the top face of the glued panel,\n"
    f"left free; dotted: each board alone. Movement is drawn {LARGER:g} times larger. Twist is left out, and so is\n"
    "what legs and rails hold back."
)


def movement_picture(
    seat: Seat, layup: Layup, rooms: Sequence[RoomMovement], target: Target, *, units: str | None = None
) -> None:
    """Draw the panel in each room, and write it to `target` as PNG; `units` are the seat's own by default."""
    units = seat.units if units is None else units
    check_units(units)
    width = A4_MM[0] - 2.0 * MARGIN_MM - 20.0
    scale = width / (1.06 * seat.blank.width_mm)
    each = (layup.thickness_mm + 70.0) * scale
    with sheet((A4_MM[0], 2.0 * MARGIN_MM + 18.0 + 14.0 + len(rooms) * (each + 12.0)), target) as figure:
        height = figure.get_size_inches()[1] * 25.4
        write_title(figure, "Movement", plain(shortened(seat.title, 100)))
        for number, room in enumerate(rooms):
            low = height - MARGIN_MM - 18.0 - (number + 1) * (each + 12.0) + 8.0
            axes = axes_at_mm(figure, MARGIN_MM + 10.0, low, width, each)
            half = 0.53 * seat.blank.width_mm
            axes.set_xlim(-half, half)
            axes.set_ylim(-layup.thickness_mm - 25.0, 45.0)
            axes.set_axis_off()
            _end_grain(axes, seat, layup)
            _tops(axes, layup, room)
            change, cup = format_change(room.width_change_mm, units), cup_words(room.panel_cup_mm, units)
            words = f"{room.room.words}; width {change}, panel cup {cup}"
            write_at_mm(figure, MARGIN_MM + 10.0, low + each + 1.5, words, size=HEADING_PT - 1.0, color=INK)
        write_at_mm(
            figure, MARGIN_MM, MARGIN_MM, NOTE, size=SMALL_PT, color=PENCIL, va="bottom", linespacing=1.5
        )


def _end_grain(axes: mpl.Axes, seat: Seat, layup: Layup) -> None:
    half, thick = 0.5 * seat.blank.width_mm, layup.thickness_mm
    x = np.arange(-half + 0.5 * DOT_MM, half, DOT_MM)
    z = np.arange(-thick + 0.5 * DOT_MM, 0.0, DOT_MM)
    column, row = np.meshgrid(x, z)
    points = np.stack([column, np.full_like(column, 0.5 * seat.blank.depth_mm), row], axis=-1)
    image = wood_rgb(layup, points, np.array([0.0, 1.0, 0.0]))
    axes.imshow(
        image, extent=(-half, half, -thick, 0.0), origin="lower", interpolation="lanczos", aspect="auto"
    )


def _tops(axes: mpl.Axes, layup: Layup, room: RoomMovement) -> None:
    """Draw the faces as they come to lie: shrunk or swollen across, and cupped, both enlarged alike."""
    plot = axes.plot
    top = room.panel_top_mm
    rest = np.concatenate(
        [
            np.linspace(left, right, len(one.top_mm))
            for (left, right), one in zip(layup.spans_mm, room.boards, strict=True)
        ]
    )
    moved = rest + LARGER * (top[:, 0] - rest)
    plot(moved, LARGER * top[:, 1], color=WARNING, linewidth=1.4)
    plot([rest[0], rest[-1]], [0.0, 0.0], color=EDGE, linewidth=0.6)
    for (left, right), one in zip(layup.spans_mm, room.boards, strict=True):
        across = np.linspace(left, right, len(one.top_mm))
        plot(across, LARGER * one.top_mm[:, 1], color=PENCIL, linewidth=0.8, linestyle=":")
