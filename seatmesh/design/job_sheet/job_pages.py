"""The job sheet: one PDF for maker and client, with pictures, measures, wood, wishes, figures, notes and cautions."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

from PIL import Image

from seatmesh.body.people_words import SURVEY
from seatmesh.cautions import CAUTIONS, CUTTERS
from seatmesh.design.job_sheet.job_pictures import JobPictures, job_pictures
from seatmesh.design.job_sheet.job_words import (
    Table,
    comparison_table,
    comparison_words,
    figure_words,
    measures_table,
    seat_words,
    sitter_words,
    unmeasured_words,
    wish_words,
    wood_words,
)
from seatmesh.design.report.seat_report import report
from seatmesh.design.report.unmeasured_report import UNMEASURED, with_unmeasured
from seatmesh.design.shape import Design
from seatmesh.paper.drawing import Drawing, DrawingLayer, Item, Words, line
from seatmesh.paper.lettering import fitted
from seatmesh.paper.page import Page, Picture, View
from seatmesh.paper.paper_sizes import Paper, paper_named, to_read
from seatmesh.paper.pdf_file import pdf_bytes
from seatmesh.paper.tile_pages import with_feet
from seatmesh.paper.tiles import FOOT_MM, MARGIN_MM
from seatmesh.sheets import ink
from seatmesh.sheets.column import Part, column, evenly, height_mm
from seatmesh.sheets.ink import words
from seatmesh.sheets.sheet_wishes import SheetWishes, Speech, speech, timber_of

A4_HIGH_MM = 297.0
HEAD_MM = 20.0
ROW_MM = 5.4
NOTE_ROW_MM = 11.0
SITTERS_A_TABLE = SITTERS_A_PAGE = 4
LEAST_PICTURE_MM, UNDER_PICTURE_MM = 45.0, 9.0
"""How high a picture over words is at least, and how far under it they begin."""
REDUCED = "Reduced to fit this page: take no lengths off it with a rule."
NOTE_COLUMNS = (
    ("date", 24.0),
    ("what the sitter says", 78.0),
    ("where", 40.0),
    ("take or leave", 28.0),
    ("done", 20.0),
)
"""Columns of the fitting notes, in shares of the page's width."""


def job_sheet(design: Design, wishes: SheetWishes | None = None) -> tuple[bytes, tuple[str, ...]]:
    """Return the job sheet of a design as PDF, and what is worth a remark about it.

    Of a roll, pages of A4 are made: nothing on a job sheet is at full size. Raises as
    `seatmesh.sheets.all_sheets.sheets_of` for paper, units and wood.
    """
    wishes = SheetWishes() if wishes is None else wishes
    paper = to_read(paper_named(wishes.paper))
    says = speech(design.seat, wishes)
    wood = timber_of(wishes).name
    figures = with_unmeasured(report(design), design)
    pictures = job_pictures(design, says.units)
    pages = [
        _front(design, figures, pictures, wood, says, paper),
        *_pressing(figures, pictures, says, paper),
        *(
            _picture_page(f"Plan for {guest.sitter.body.name}", one, paper)
            for guest, one in zip(design.guests, pictures.plans, strict=True)
        ),
        _picture_page("Sections", pictures.sections, paper),
        *([] if pictures.figure is None else [_picture_page("Figure of the boards", pictures.figure, paper)]),
        *_tables(design, figures, says, paper),
        _notes(paper),
    ]
    note = () if pictures.note is None else (pictures.note,)
    return pdf_bytes(with_feet(pages, design.seat.title, CUTTERS), f"{design.seat.title}: job sheet"), note


def _front(
    design: Design, figures: dict[str, Any], pictures: JobPictures, wood: str, says: Speech, paper: Paper
) -> Page:
    """Return the first page: whose seat it is, how it looks, of what, and what was wished."""
    names = ", ".join(one.sitter.body.name for one in design.guests)
    shown = pictures.contact if pictures.view is None else pictures.view
    top = _height(paper) - MARGIN_MM - 30.0
    parts = (
        ("Wood", wood_words(design, wood, says)),
        ("Wishes", wish_words(design, says)),
        ("What came of it", seat_words(figures, says)),
        ("Cautions", CAUTIONS),
    )
    columns, picture, room = _under_picture(shown, parts, top, 116.0, paper)
    items = [
        words(fitted(design.seat.title, 9.0, 2.0 * room, bold=True), MARGIN_MM, top + 20.0, 9.0, bold=True),
        words(fitted(f"Job sheet for maker and client. Made for {names}", ink.TEXT, 2.0 * room + 10.0),
              MARGIN_MM, top + 11.0, ink.TEXT),
        *columns,
    ]  # fmt: skip
    return _page("Job sheet", items, paper, (picture,))


def _under_picture(
    png: bytes, parts: Sequence[Part], top: float, high: float, paper: Paper
) -> tuple[list[Item], Picture, float]:
    """Return two columns, the picture over them, and a column's room: the picture leaves them the height they need."""
    wide = paper.width_mm - 2.0 * MARGIN_MM
    room = 0.5 * wide - 5.0
    left, right = evenly(parts, room)
    words_high = max(height_mm(one, room) for one in (left, right))
    low = MARGIN_MM + FOOT_MM + 2.0
    high = max(LEAST_PICTURE_MM, min(high, top - low - words_high - UNDER_PICTURE_MM))
    picture = placed(png, (MARGIN_MM, top - high, wide, high))
    under = picture.at_mm[1] - UNDER_PICTURE_MM
    items = [*column(left, MARGIN_MM, under, room), *column(right, MARGIN_MM + room + 10.0, under, room)]
    return items, picture, room


def _pressing(figures: dict[str, Any], pictures: JobPictures, says: Speech, paper: Paper) -> list[Page]:
    """Return the contact map with what it means for each sitter, those that have no room under it on further pages."""
    sitters = figures["sitters"]
    top = _height(paper) - MARGIN_MM - HEAD_MM
    parts = [(one["name"], sitter_words(one, says)) for one in sitters]
    name, out = "Where it presses", []
    items, picture, room = _under_picture(pictures.contact, parts[:SITTERS_A_PAGE], top, 140.0, paper)
    out.append(_page(name, [_heading(name, paper), *items], paper, (picture,)))
    for first in range(SITTERS_A_PAGE, len(parts), 2 * SITTERS_A_PAGE):
        left, right = evenly(parts[first : first + 2 * SITTERS_A_PAGE], room)
        items = [*column(left, MARGIN_MM, top, room), *column(right, MARGIN_MM + room + 10.0, top, room)]
        out.append(_page(f"{name}, further sitters", [_heading(name, paper), *items], paper))
    return out


def _picture_page(name: str, png: bytes, paper: Paper) -> Page:
    low = MARGIN_MM + FOOT_MM + 5.0
    box = (MARGIN_MM, low, paper.width_mm - 2.0 * MARGIN_MM, _height(paper) - MARGIN_MM - low - 2.0)
    note = words(REDUCED, MARGIN_MM, low - 2.0, ink.SMALL)
    return _page(name, [note], paper, (placed(png, box),))


def _tables(design: Design, figures: dict[str, Any], says: Speech, paper: Paper) -> list[Page]:
    """Return the sitters side by side: figures and measures, a few sitters to a page."""
    whole = comparison_table(figures, says), measures_table(design, says)
    count = len(whole[0][0]) - 1
    out = []
    for first in range(1, count + 1, SITTERS_A_TABLE):
        part = slice(first, first + SITTERS_A_TABLE)
        wide = paper.width_mm - 2.0 * MARGIN_MM
        pair = [tuple((row[0], *row[part]) for row in table) for table in whole]
        top = _height(paper) - MARGIN_MM - HEAD_MM
        name = "Sitters compared" if count > 1 else "Measures and figures"
        items = [_heading(name, paper), *_drawn_table("On the finished seat", pair[0], top, paper)]
        top -= ROW_MM * (len(pair[0]) + 1) + 8.0
        said = (("", tuple(filter(None, (figure_words(says), comparison_words(figures))))),)
        items += column(said, MARGIN_MM, top + ROW_MM, wide)
        top -= height_mm(said, wide)
        items += _drawn_table("Body measures (est. is estimated from the others)", pair[1], top, paper)
        top -= ROW_MM * (len(pair[1]) + 1)
        below = unmeasured_words(figures["sitters"][first - 1 : first - 1 + SITTERS_A_TABLE], says)
        parts = (("", (SURVEY,)), (UNMEASURED, below))
        items += column(parts, MARGIN_MM, top, wide)
        out.append(_page(name, items, paper))
    return out


def _drawn_table(heading: str, rows: Table, top: float, paper: Paper) -> list[Item]:
    """Return a table as words and rules, its first row in bold."""
    right, first = paper.width_mm - MARGIN_MM, 68.0
    each = (right - MARGIN_MM - first) / SITTERS_A_TABLE
    items: list[Item] = [words(heading, MARGIN_MM, top, ink.TEXT, bold=True)]
    for number, row in enumerate(rows):
        y = top - ROW_MM * (number + 1)
        if row[0]:
            items.append(words(fitted(row[0], ink.SMALL, first - 2.0), MARGIN_MM, y, ink.SMALL))
        for place, cell in enumerate(row[1:], 1):
            bold = number == 0
            text = fitted(cell, ink.SMALL, each - 2.0, bold)
            items.append(
                words(text, MARGIN_MM + first + each * place - 2.0, y, ink.SMALL, "right", bold=bold)
            )
        items.append(line([(MARGIN_MM, y - 1.7), (right, y - 1.7)]))
    return items


def _notes(paper: Paper) -> Page:
    """Return a page to write on at fittings."""
    top, low = _height(paper) - MARGIN_MM - HEAD_MM - 6.0, MARGIN_MM + FOOT_MM + 22.0
    right = paper.width_mm - MARGIN_MM
    items: list[Item] = [_heading("Fitting notes", paper)]
    items.append(words("Left and right are the sitter's. Wood cannot be put back: take little, and sit again.",
                       MARGIN_MM, top + 3.0, ink.SMALL))  # fmt: skip
    per_share = (right - MARGIN_MM) / sum(share for _, share in NOTE_COLUMNS)
    x = MARGIN_MM
    count = int((top - 8.0 - low) / NOTE_ROW_MM)
    foot = top - 8.0 - count * NOTE_ROW_MM
    for name, share in NOTE_COLUMNS:
        items.append(words(name, x + 1.0, top - 6.0, ink.SMALL, bold=True))
        x += share * per_share
        if x < right - 1.0:
            items.append(line([(x, top - 2.0), (x, foot)]))
    items += [
        line([(MARGIN_MM, y), (right, y)]) for y in (top - 8.0 - NOTE_ROW_MM * i for i in range(count + 1))
    ]
    half = 0.5 * (MARGIN_MM + right)
    for name, start, stop in (("maker", MARGIN_MM, half - 6.0), ("client", half + 6.0, right)):
        items += [line([(start, low - 12.0), (stop, low - 12.0)]), words(name, start, low - 16.0, ink.SMALL)]
    return _page("Fitting notes", items, paper)


def _heading(text: str, paper: Paper) -> Item:
    return words(text, MARGIN_MM, _height(paper) - MARGIN_MM - 6.0, ink.TITLE, bold=True)


def _page(name: str, items: Sequence[Item], paper: Paper, pictures: tuple[Picture, ...] = ()) -> Page:
    wide, height = paper.width_mm, _height(paper)
    rules, written = (tuple(one for one in items if isinstance(one, Words) is kind) for kind in (False, True))
    drawn = Drawing(name, (DrawingLayer("rules", ink.THIN, rules), DrawingLayer("words", ink.FINE, written)))
    window = (0.0, MARGIN_MM + FOOT_MM - 3.0, wide, height)
    return Page(name, wide, height, (View(drawn, window, window[:2]),), pictures)


def _height(paper: Paper) -> float:
    return A4_HIGH_MM if paper.height_mm is None else paper.height_mm


def placed(png: bytes, box_mm: tuple[float, float, float, float]) -> Picture:
    """Return a picture as large as fits a box (left, low, width, height), at its top and in its middle."""
    x, y, width, height = box_mm
    with Image.open(io.BytesIO(png)) as image:
        across, up = image.size
    scale = min(width / across, height / up)
    size = across * scale, up * scale
    return Picture(png, (x + 0.5 * (width - size[0]), y + height - size[1]), size)
