"""What stands at the foot of every page: the two bars, the page's name, and how to print it."""

from __future__ import annotations

from dataclasses import dataclass

from seatmesh.paper.drawing import Align, Drawing, DrawingLayer, Item, Line, Look, Words, line
from seatmesh.paper.lettering import broken, fitted
from seatmesh.paper.tiles import MARGIN_MM
from seatmesh.units import MM_PER_INCH

INK, PENCIL = "#2b2622", "#75695c"
BAR_MM, BAR_IN = 100.0, 4.0
HIGH_MM = 2.6
LEFT_MM = MARGIN_MM
WORDS_FROM_MM = LEFT_MM + BAR_IN * MM_PER_INCH + 20.0


@dataclass(frozen=True)
class Foot:
    """The words of a foot: what the seat is called, the page's name, its number and one line of caution."""

    seat: str
    page: str
    number: int
    of: int
    caution: str


def foot(words: Foot, width_mm: float) -> Drawing:
    """Return the foot of a page `width_mm` wide, in the page's own mm."""
    room = width_mm - MARGIN_MM - WORDS_FROM_MM
    right = width_mm - MARGIN_MM
    lines: list[Item] = [
        _words(fitted(words.page, 2.9, room, bold=True), WORDS_FROM_MM, 24.6, 2.9, bold=True)
    ]
    count = f"page {words.number} of {words.of}"
    lines.append(_words(fitted(f"{words.seat}  ·  {count}", 2.5, room), WORDS_FROM_MM, 20.6, 2.5))
    caution = [
        _words(text, WORDS_FROM_MM, 16.6 - 2.9 * number, 2.1)
        for number, text in enumerate(broken(words.caution, 2.1, room)[:3])
    ]
    return Drawing(
        "foot",
        (
            DrawingLayer("rule", Look(0.18, PENCIL), (line([(MARGIN_MM, 29.0), (right, 29.0)]),)),
            DrawingLayer("page name", Look(0.2, INK), tuple(lines)),
            DrawingLayer("caution", Look(0.2, PENCIL), tuple(caution)),
            *bars(LEFT_MM, 11.2),
        ),
    )


def bars(x_mm: float, y_mm: float) -> tuple[DrawingLayer, ...]:
    """Return a bar of 100 mm over one of 4 inches, in alternate fields, from (x, y) up."""
    fills: list[Item] = []
    frames: list[Item] = []
    words: list[Item] = []
    for number, (length, field, text) in enumerate(
        ((BAR_IN * MM_PER_INCH, MM_PER_INCH, "4 in"), (BAR_MM, 20.0, "100 mm"))
    ):
        low = y_mm + number * 9.0
        frames.append(_box(x_mm, low, length))
        count = round(length / field)
        fills += [_box(x_mm + i * field, low, field) for i in range(0, count, 2)]
        words.append(_words(text, x_mm + length + 1.8, low + 0.3, 2.7, bold=True))
    words.append(
        _words("Print at 100 %. Measure both bars before you trust the page.", x_mm, y_mm + 4.6, 2.3)
    )
    return (
        DrawingLayer("bar fields", Look(0.0, INK, fill=INK), tuple(fills)),
        DrawingLayer("bars", Look(0.12, INK), tuple(frames)),
        DrawingLayer("bar lengths", Look(0.2, INK), tuple(words)),
    )


def _box(x: float, y: float, length: float) -> Line:
    return line([(x, y), (x + length, y), (x + length, y + HIGH_MM), (x, y + HIGH_MM)], closed=True)


def _words(text: str, x: float, y: float, size: float, *, bold: bool = False, align: Align = "left") -> Words:
    return Words(text, (x, y), size, align, bold)
