"""The sheet round 3D views: title, words for the sides, pressure scale."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from seatmesh.picture import mpl
from seatmesh.picture.contact.pressure_scale import draw_scale
from seatmesh.picture.style import (
    A5_MM,
    INK,
    MARGIN_MM,
    PENCIL,
    SMALL_PT,
    Look,
    axes_at_mm,
    plain,
    sheet,
    shortened,
    write_at_mm,
    write_title,
)

TITLE_MM, SCALE_MM = 14.0, 15.0
SIDE_MM, SIDES_MM = 6.0, 13.0
"""Room for the words at either side, of one picture and of each of several."""

PANEL_MM, WORDS_MM = 82.0, 9.0
"""Height of one picture of several, and of the words above it."""

WORDS: dict[str, Look] = {
    "FRONT": {"size": SMALL_PT + 1, "weight": "bold", "color": INK, "ha": "center"},
    "SITTER'S LEFT": {"size": SMALL_PT, "color": PENCIL, "ha": "left"},
    "SITTER'S RIGHT": {"size": SMALL_PT, "color": PENCIL, "ha": "right"},
}
NOTE = "Seen from the sitter's front right, above; height and width to one scale. "
OF_BOARDS = "Rings are those of the order's boards."
FOR_LOOKS = "The grain is drawn for looks: the order names no boards."


@dataclass(frozen=True)
class Shot:
    """A rendered picture, cut to the seat, and where things of the blank are on it.

    Attributes
    ----------
    image
        Shape (rows, columns, 3), 0 to 255.
    marks
        A word and its dot (column, row), counted from the upper left.
    beneath
        What is said of it.
    with_pressure
        Whether colours stand for pressure.
    of_boards
        Whether the rings are those of an order's boards.
    """

    image: NDArray[np.uint8]
    marks: Mapping[str, tuple[float, float]]
    beneath: str
    with_pressure: bool
    of_boards: bool = False


def draw_view(shots: Sequence[Shot], title: str, path: Path) -> None:
    """Set rendered pictures on a sheet, A5 for one, side by side for several, and write it to `path` as PNG."""
    width = A5_MM[1]
    columns = min(len(shots), 2)
    rows = -(-len(shots) // columns)
    with_pressure = shots[0].with_pressure
    foot = MARGIN_MM + 4.0 + (SCALE_MM if with_pressure else 0.0)
    # One picture fills the sheet; several stand in rows, each beneath its own words.
    tall = A5_MM[0] - foot - MARGIN_MM - TITLE_MM if len(shots) == 1 else PANEL_MM
    height = foot + MARGIN_MM + TITLE_MM + rows * tall
    with sheet((width, height), path) as figure:
        alone = shortened(shots[0].beneath, 105) if len(shots) == 1 else "each sitter on this seat"
        write_title(figure, plain(shortened(title, 60)), plain(alone))
        wide = (width - 2 * MARGIN_MM) / columns
        for number, shot in enumerate(shots):
            left = MARGIN_MM + (number % columns) * wide
            low = foot + (rows - 1 - number // columns) * tall
            words = 0.0
            if len(shots) > 1:
                words = WORDS_MM
                said = plain(shortened(shot.beneath, 62))
                write_at_mm(figure, left, low + tall - 5.0, said, size=SMALL_PT, color=PENCIL)
            side = SIDE_MM if len(shots) == 1 else SIDES_MM
            _draw_shot(figure, shot, (left + side, low + 4), (wide - 2 * side, tall - 4 - words))
        note = NOTE + (OF_BOARDS if shots[0].of_boards else FOR_LOOKS)
        write_at_mm(figure, MARGIN_MM, foot - 2, note, size=SMALL_PT, color=PENCIL, va="bottom")
        if with_pressure:
            draw_scale(axes_at_mm(figure, MARGIN_MM, MARGIN_MM + 3, width - 2 * MARGIN_MM, 4))


def _draw_shot(
    figure: mpl.Figure, shot: Shot, corner: tuple[float, float], room: tuple[float, float]
) -> None:
    """Draw one picture and its words in the middle of the room right and above of a corner, mm."""
    rows, columns = shot.image.shape[:2]
    per_dot = min(room[0] / columns, room[1] / rows)
    shown = (columns * per_dot, rows * per_dot)
    left, low = (at + 0.5 * (have - used) for at, have, used in zip(corner, room, shown, strict=True))
    axes = axes_at_mm(figure, left, low, *shown)
    axes.imshow(shot.image, aspect="auto", interpolation="hanning")
    axes.set_axis_off()
    for word, at in shot.marks.items():
        axes.annotate(word, at, annotation_clip=False, va="center", **WORDS[word])
