"""Seats of different characters side by side: bare wood from above in a low light, and a section across each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import fill

import numpy as np

from seatmesh.deepest import deepest_places
from seatmesh.picture import mpl
from seatmesh.picture.style import (
    INK,
    MARGIN_MM,
    PENCIL,
    SMALL_PT,
    TEXT_PT,
    WOOD,
    Target,
    axes_at_mm,
    plain,
    sheet,
    write_at_mm,
    write_title,
)
from seatmesh.surface import Seat
from seatmesh.wood.outline.shapes import contains

SEAT_MM, GAP_MM, HEAD_MM, SECTION_MM, WORDS_MM = 46.0, 5.0, 24.0, 12.0, 24.0
DOT_MM = 1.0
LIFTED = 4.0
"""Heights in section are drawn so much larger than widths, and so much the light is lowered in the plan."""
SUN_DEG = (315.0, 38.0)
WRAPPED = 30


@dataclass(frozen=True)
class Shown:
    """A seat with the name of its character and what a maker says of it."""

    name: str
    says: str
    seat: Seat


def characters_chart(shown: Sequence[Shown], target: Target) -> None:
    """Draw seats in a row and write the sheet to `target` as PNG; `FileRefusedError` when it cannot be written."""
    width = 2.0 * MARGIN_MM + len(shown) * SEAT_MM + (len(shown) - 1) * GAP_MM
    height = 2.0 * MARGIN_MM + HEAD_MM + SEAT_MM + SECTION_MM + WORDS_MM + 2.0 * GAP_MM
    with sheet((width, height), target) as figure:
        beneath = "for one sitter in the same wood; FRONT is up; sections across the deepest place, heights four-fold"
        write_title(figure, "Characters", beneath)
        for number, one in enumerate(shown):
            left = MARGIN_MM + number * (SEAT_MM + GAP_MM)
            foot = MARGIN_MM + WORDS_MM
            _section(axes_at_mm(figure, left, foot, SEAT_MM, SECTION_MM), one.seat)
            _plan(axes_at_mm(figure, left, foot + SECTION_MM + GAP_MM, SEAT_MM, SEAT_MM), one.seat)
            top = foot + SECTION_MM + SEAT_MM + 1.6 * GAP_MM
            write_at_mm(
                figure, left, top, plain(one.name), size=TEXT_PT, weight="bold", color=INK, va="bottom"
            )
            said = fill(plain(one.says), WRAPPED)
            write_at_mm(
                figure, left, foot - 3.0, said, size=SMALL_PT, color=PENCIL, va="top", linespacing=1.35
            )


def _plan(axes: mpl.Axes, seat: Seat) -> None:
    half, long = 0.5 * seat.blank.width_mm, seat.blank.depth_mm
    x, y = np.arange(-half, half, DOT_MM), np.arange(0.0, long, DOT_MM)
    height = -seat.depth_mm(x[None, :], y[:, None])
    lit = mpl.LightSource(*SUN_DEG).hillshade(height, vert_exag=LIFTED, dx=DOT_MM, dy=DOT_MM)
    shade = np.clip(0.45 + 0.75 * lit, 0.0, 1.15)[..., None]
    picture = np.ones((*height.shape, 4))
    picture[..., :3] = np.clip(np.array(mpl.to_rgb(WOOD)) * shade, 0.0, 1.0)
    picture[..., 3] = contains(seat.blank.polygon_mm(), x[None, :], y[:, None])
    axes.imshow(picture, origin="lower", extent=(-half, half, 0.0, long), interpolation="bilinear")
    outline = np.vstack([seat.blank.polygon_mm(), seat.blank.polygon_mm()[:1]])
    axes.plot(*outline.T, color=INK, linewidth=0.7)
    axes.set_aspect("equal", anchor="S")
    axes.set_xlim(-half - 2.0, half + 2.0)
    axes.set_ylim(-2.0, long + 2.0)
    axes.set_axis_off()


def _section(axes: mpl.Axes, seat: Seat) -> None:
    half = 0.5 * seat.blank.width_mm
    places = deepest_places(seat)
    x = np.linspace(-half, half, 481)
    top = np.zeros_like(x) if not places else -LIFTED * seat.depth_mm(x, places[0].y_mm)
    under = -LIFTED * seat.blank.thickness_mm
    axes.fill_between(x, under, top, color=WOOD, linewidth=0)
    axes.plot([-half, *x, half, -half], [under, *top, under, under], color=INK, linewidth=0.7)
    axes.set_xlim(-half - 2.0, half + 2.0)
    axes.set_ylim(under - 2.0, 2.0)
    axes.set_axis_off()


__all__ = ["Shown", "characters_chart"]
