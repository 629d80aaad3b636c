"""Ways to lay the boards, side by side: how the ovals of the hollow fall, and how boards match at the glue line."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from seatmesh.picture.style import (
    A4_MM,
    HEADING_PT,
    INK,
    MARGIN_MM,
    PENCIL,
    SMALL_PT,
    Target,
    axes_at_mm,
    plain,
    sheet,
    shortened,
    write_at_mm,
    write_title,
)
from seatmesh.picture.wood.figure import draw_face
from seatmesh.surface import Seat
from seatmesh.woodwork.variants import Variant, place_marks

ACROSS = 3
GAP_MM, WORDS_MM, TITLE_MM, FOOT_MM = 6.0, 15.0, 18.0, 18.0
DOT_MM = 1.0
NOTE = (
    "The ranking knows two things only: how alike left and right are about the centre line, and how well rings run\n"
    "on across the glue line; 1 is alike, = marks a tie. It takes rings alike and piths straight: the wander drawn\n"
    "here is made up. It knows nothing of what pleases: look, and lay the boards as you like. Book-matched boards\n"
    "are sawn from one plank of twice the thickness: their faces match, but not the wood that the hollow cuts into."
)


def figure_variants(seat: Seat, some: Sequence[Variant], target: Target) -> None:
    """Draw variants in the order given, best first as a rule, and write them to `target` as PNG."""
    width = (A4_MM[0] - 2.0 * MARGIN_MM - (ACROSS - 1) * GAP_MM) / ACROSS
    high = width * seat.blank.depth_mm / seat.blank.width_mm
    rows = ceil(len(some) / ACROSS)
    height = 2.0 * MARGIN_MM + TITLE_MM + FOOT_MM + rows * (high + WORDS_MM)
    with sheet((A4_MM[0], height), target) as figure:
        write_title(
            figure, "Ways to lay the boards", plain(shortened(f"{seat.title}; FRONT at the top", 100))
        )
        for number, (place, one) in enumerate(zip(place_marks(some), some, strict=True)):
            row, column = divmod(number, ACROSS)
            left = MARGIN_MM + column * (width + GAP_MM)
            low = height - MARGIN_MM - TITLE_MM - (row + 1) * (high + WORDS_MM) + WORDS_MM
            draw_face(axes_at_mm(figure, left, low, width, high), seat, one.layup, DOT_MM)
            middle = left + 0.5 * width
            name = f"{place}  {one.name}"
            write_at_mm(figure, middle, low - 4.0, name, size=HEADING_PT - 1.0, ha="center", color=INK)
            words = f"symmetry {one.symmetry:.2f}"
            if len(one.layup.boards) > 1:
                words += f", match at the glue line {one.match:.2f}"
            write_at_mm(figure, middle, low - 8.0, words, size=SMALL_PT, ha="center", color=PENCIL)
        write_at_mm(
            figure, MARGIN_MM, MARGIN_MM, NOTE, size=SMALL_PT, color=PENCIL, va="bottom", linespacing=1.5
        )
