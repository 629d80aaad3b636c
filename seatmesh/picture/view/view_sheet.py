"""The sheet round a 3D view: title, words for the sides, pressure scale."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

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

TITLE_MM, SIDE_MM, SCALE_MM = 14.0, 6.0, 15.0
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
    with_pressure
        Whether colours stand for pressure.
    of_boards
        Whether the rings are those of an order's boards.
    """

    image: NDArray[np.uint8]
    marks: Mapping[str, tuple[float, float]]
    with_pressure: bool
    of_boards: bool = False


def draw_view(shot: Shot, title: str, beneath: str, path: Path) -> None:
    """Set a rendered picture on an A5 sheet and write it to `path` as PNG."""
    width, height = A5_MM[::-1]
    foot = MARGIN_MM + 4.0 + (SCALE_MM if shot.with_pressure else 0.0)
    room = (width - 2 * MARGIN_MM - 2 * SIDE_MM, height - foot - MARGIN_MM - TITLE_MM - 4)
    rows, columns = shot.image.shape[:2]
    per_dot = min(room[0] / columns, room[1] / rows)
    shown = (columns * per_dot, rows * per_dot)
    with sheet((width, height), path) as figure:
        write_title(figure, plain(shortened(title, 60)), plain(shortened(beneath, 105)))
        axes = axes_at_mm(figure, (width - shown[0]) / 2, foot + 4 + (room[1] - shown[1]) / 2, *shown)
        axes.imshow(shot.image, aspect="auto", interpolation="hanning")
        axes.set_axis_off()
        for word, at in shot.marks.items():
            axes.annotate(word, at, annotation_clip=False, va="center", **WORDS[word])
        note = NOTE + (OF_BOARDS if shot.of_boards else FOR_LOOKS)
        write_at_mm(figure, MARGIN_MM, foot - 2, note, size=SMALL_PT, color=PENCIL, va="bottom")
        if shot.with_pressure:
            draw_scale(axes_at_mm(figure, MARGIN_MM, MARGIN_MM + 3, width - 2 * MARGIN_MM, 4))
