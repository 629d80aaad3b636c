"""The gauge sheet as PDF: a table to write two readings into, and a sheet for comparing left with right."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from seatmesh.cautions import CUTTERS
from seatmesh.gauge.bar.gauge_sheet import GaugeSheet, expected_words
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.printed.walk import GridLine, Pair, is_thinned, lines_to_read
from seatmesh.paper.drawing import Align, Drawing, DrawingLayer, Item, Look, Words, line
from seatmesh.paper.lettering import broken, fitted
from seatmesh.paper.page import Page, View
from seatmesh.paper.paper_sizes import Paper, to_read
from seatmesh.paper.pdf_file import is_as_written, pdf_bytes
from seatmesh.paper.tile_pages import with_feet
from seatmesh.paper.tiles import FOOT_MM, MARGIN_MM
from seatmesh.units import format_length

NAME, COMPARE = "Gauge sheet", "Left against right"
SUBJECT = "gauge sheet to write on"
"""What the PDF says of itself, by which it is known again."""
ROW_MM, SMALL_MM, TEXT_MM, TITLE_MM = 6.0, 2.5, 2.8, 5.0
INK = Look(0.2, "#2b2622")
RULE = Look(0.12, "#75695c")
HEAVY = Look(0.4, "#2b2622")
COLUMNS = (
    ("from rear", 0.0, 17.0, "right"), ("from centre", 18.0, 37.0, "right"),
    ("left", 38.0, 47.0, "right"), ("expect", 48.0, 64.0, "right"),
    ("1st", 66.0, 81.0, "box"), ("2nd", 81.0, 96.0, "box"),
    ("right", 97.0, 107.0, "right"), ("expect", 108.0, 124.0, "right"), ("1st", 126.0, 141.0, "box"),
    ("2nd", 141.0, 156.0, "box"), ("left proud", 162.0, 186.0, "box"),
)  # fmt: skip
"""Heads of the table, from where to where each column runs, and what it holds."""
BLOCKS, BLOCK_MM = 3, 60.0
COMPARED = (("rear", 0.0, 13.0, "right"), ("centre", 14.0, 27.0, "right"), ("left proud", 31.0, 57.0, "box"))
THINNED = (
    "Of carved places every second one stands here, in turns from line to line: they tell a fair surface. The table to "
    "type into has all of them; where a reading is off, read its neighbours too."
)
HOW_TO_COMPARE = (
    "Set the rod at the left place, lock it, turn the bar end for end and try it at the right one: no scale is needed. "
    "Write by how much the left stands proud of the right, minus where it lies lower; 0 where the rod just touches.",
)
Column = tuple[str, float, float, str]
Cells = Callable[[Pair], tuple[str, ...]]


def gauge_pdf(sheet: GaugeSheet, units: str, paper: Paper) -> bytes:
    """Return the pages to write on: only crossings that tell something, in the order of walking over the seat."""
    return pdf_bytes(gauge_pages(sheet, units, paper), f"{sheet.seat.title}: gauge sheet", SUBJECT)


def is_gauge_pdf(data: bytes) -> bool:
    """Tell whether a file is a gauge sheet that this tool made and nobody has written into."""
    return is_as_written(data, SUBJECT)


def gauge_pages(sheet: GaugeSheet, units: str, paper: Paper) -> tuple[Page, ...]:
    """Return the pages with their feet; see `gauge_pdf`."""
    page = to_read(paper)
    lines = lines_to_read(sheet)
    pages = [*_table_pages(sheet, lines, units, page), *_compare_pages(sheet, lines, units, page)]
    return with_feet(pages, sheet.seat.title, CUTTERS)


def _table_pages(sheet: GaugeSheet, lines: Sequence[GridLine], units: str, page: Paper) -> list[Page]:
    across = sheet.gauge.lie == "across"
    what = "row" if across else "column"

    def cells(pair: Pair) -> tuple[str, ...]:
        one = pair.either
        sides: list[str] = []
        for c in (pair.left, pair.right):
            number = "" if c is None else f"{c.point}{'*' if c.uncut else ''}"
            sides += [number, "" if c is None else expected_words(c, units)]
        centre = "centre" if one.x_mm == 0.0 else format_length(abs(one.x_mm), units)
        return (format_length(one.y_mm, units), centre, *sides)

    top = (page.height_mm or 0.0) - MARGIN_MM
    head = _words_of_head(sheet, units, page.width_mm - 2.0 * MARGIN_MM, what)
    groups = [line_.pairs for line_ in lines]
    rows = [(pair, number == 0) for pairs in groups for number, pair in enumerate(pairs)]
    out: list[Inked] = []
    while rows:
        said = head if not out else head[:1]
        y = top - 9.0 - 3.9 * len(said)
        count = int((y - 7.0 - MARGIN_MM - FOOT_MM - 3.0) / ROW_MM)
        part, rows = rows[:count], rows[count:]
        items = _head(sheet.seat.title, NAME, said, top, page)
        items += _rows(COLUMNS, part, cells, MARGIN_MM, y)
        out.append(items)
    return [_page(NAME, number, len(out), items, page) for number, items in enumerate(out, 1)]


def _words_of_head(sheet: GaugeSheet, units: str, room: float, what: str) -> list[str]:
    gauge = sheet.gauge
    size = [format_length(one, units) for one in (gauge.bar_height_mm, gauge.rod_offset_mm)]
    parts = [
        f"Bar {gauge.lie} the seat, bar height {size[0]}, rod offset {size[1]}. Left and right are the sitter's. "
        "Numbers are those of the table to type into.",
        f"{_rests(gauge, units)} Read {what} by {what} without lifting the bar; places marked * lie on uncut wood and "
        "tell how it sits: read them each time. For the 2nd reading lift the bar and set it down anew.",
        "A smaller reading than expected: wood still to take, or a bar that sits low. Last column: by how much the "
        "left stands proud of the right, where you compare them without a scale.",
    ]
    if is_thinned(sheet):
        parts.append(THINNED)
    return [text for part in parts for text in broken(part, SMALL_MM, room)]


def _rests(gauge: Gauge, units: str) -> str:
    if gauge.rests_mm is None:
        return "Rests on uncut wood as far out as there is."
    first, second = (format_length(abs(one), units) for one in gauge.rests_mm)
    ends = (
        ("left", "right", "the centre line") if gauge.lie == "across" else ("rear", "front", "the rear edge")
    )
    return f"Rests {ends[0]} {first} and {ends[1]} {second} from {ends[2]}."


def _compare_pages(sheet: GaugeSheet, lines: Sequence[GridLine], units: str, page: Paper) -> list[Page]:
    """Return the sheet for flipping the rod: carved pairs only, and nothing else to fill in."""
    if sheet.gauge.lie != "across":
        return []
    rows = []
    for one in lines:
        pairs = [pair for pair in one.pairs if pair.left and pair.right and pair.carved]
        rows += [(pair, number == 0) for number, pair in enumerate(pairs)]

    def cells(pair: Pair) -> tuple[str, ...]:
        one = pair.either
        return format_length(one.y_mm, units), format_length(abs(one.x_mm), units)

    top = (page.height_mm or 0.0) - MARGIN_MM
    said = [
        text for part in HOW_TO_COMPARE for text in broken(part, SMALL_MM, page.width_mm - 2.0 * MARGIN_MM)
    ]
    y = top - 9.0 - 3.9 * len(said)
    count = int((y - 7.0 - MARGIN_MM - FOOT_MM - 3.0) / ROW_MM)
    out: list[Inked] = []
    while rows:
        items = _head(sheet.seat.title, COMPARE, said, top, page)
        for block in range(BLOCKS):
            part, rows = rows[:count], rows[count:]
            if part:
                items += _rows(COMPARED, part, cells, MARGIN_MM + BLOCK_MM * block + 2.0 * block, y)
        out.append(items)
    return [_page(COMPARE, number, len(out), items, page) for number, items in enumerate(out, 1)]


def _head(title: str, name: str, said: Sequence[str], top: float, page: Paper) -> Inked:
    room = page.width_mm - 2.0 * MARGIN_MM
    text = fitted(f"{name}   {title}", TITLE_MM, room, bold=True)
    lines = [Words(one, (MARGIN_MM, top - 10.0 - 3.9 * k), SMALL_MM) for k, one in enumerate(said)]
    return Inked(words=(Words(text, (MARGIN_MM, top - 5.0), TITLE_MM, bold=True), *lines))


@dataclass(frozen=True)
class Inked:
    """What stands on a page, by how it is drawn: rules and boxes, heavier rules, words."""

    rules: tuple[Item, ...] = ()
    heavy: tuple[Item, ...] = ()
    words: tuple[Words, ...] = ()

    def __add__(self, other: Inked) -> Inked:
        """Return both on one page."""
        return Inked(self.rules + other.rules, self.heavy + other.heavy, self.words + other.words)


def _rows(
    columns: Sequence[Column], rows: Sequence[tuple[Pair, bool]], cells: Cells, left: float, top: float
) -> Inked:
    """Return heads, cells, and boxes to write into; a heavy rule where a new line of the grid begins."""
    rules: list[Item] = []
    heavy: list[Item] = []
    written: list[Words] = []
    wide = columns[-1][2]
    for name, start, end, kind in columns:
        align: Align = "right" if kind == "right" else "middle"
        at = left + end if kind == "right" else left + 0.5 * (start + end)
        written.append(Words(name, (at, top - 4.0), SMALL_MM, align, bold=True))
    y = top - 6.0
    for number, (pair, begins) in enumerate(rows):
        low = y - ROW_MM
        (heavy if begins or number == 0 else rules).append(line([(left, y), (left + wide, y)]))
        figures = iter(cells(pair))
        for _, start, end, kind in columns:
            if kind == "box":
                if _is_to_fill(pair, start, columns):
                    rules.append(
                        line(
                            [(left + start, low), (left + start, y), (left + end, y), (left + end, low)],
                            closed=True,
                        )
                    )
            else:
                text = next(figures)
                written += [Words(text, (left + end, low + 2.0), TEXT_MM, "right")] if text else []
        y = low
    heavy.append(line([(left, y), (left + wide, y)]))
    return Inked(tuple(rules), tuple(heavy), tuple(written))


def _is_to_fill(pair: Pair, start: float, columns: Sequence[Column]) -> bool:
    """Tell whether a pair has something to write into the box that begins at `start`."""
    if columns is not COLUMNS:
        return True
    if start == COLUMNS[-1][1]:
        return pair.left is not None and pair.right is not None
    return (pair.left if start < COLUMNS[6][1] else pair.right) is not None


def _page(name: str, number: int, of: int, inked: Inked, page: Paper) -> Page:
    drawing = Drawing(
        name,
        (
            DrawingLayer("rules", RULE, inked.rules),
            DrawingLayer("heavy", HEAVY, inked.heavy),
            DrawingLayer("words", INK, inked.words),
        ),
    )
    height = page.height_mm or 0.0
    window = (0.0, MARGIN_MM + FOOT_MM - 3.0, page.width_mm, height)
    full = name if of == 1 else f"{name}, {number} of {of}"
    return Page(full, page.width_mm, height, (View(drawing, window, window[:2]),))
