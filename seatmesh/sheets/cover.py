"""The second page of the sheets: what is in them, how to join them, and what to beware of."""

from __future__ import annotations

from collections.abc import Sequence

from seatmesh.cautions import CAUTIONS
from seatmesh.paper.drawing import Drawing, DrawingLayer, Item
from seatmesh.paper.lettering import fitted
from seatmesh.paper.page import Page, View
from seatmesh.paper.paper_sizes import Paper, to_read
from seatmesh.paper.tiles import FOOT_MM, MARGIN_MM
from seatmesh.sheets import ink
from seatmesh.sheets.column import column
from seatmesh.sheets.ink import words
from seatmesh.sheets.sheet_wishes import Speech
from seatmesh.sheets.stages.stage_page import PAGE_MM
from seatmesh.surface import Seat
from seatmesh.wood.species import Timber

LINE_MM = 5.2
FIRST_PAGE = 3
HOW = (
    "Print at 100 %, without fitting to the page, and measure both bars on every page: printers scale.",
    "Pages of one drawing overlap. Cut one of two neighbours on its red line, lay it on the other so that the crosses "
    "of the same number meet, and tape it down.",
    "Lay the plan on the blank with centre line on centre line and rear edge at rear edge, and prick through.",
)
CARDS = (
    "Glue each card to thin plywood, cut to the line, and hold it into the hollow at its name on the plan. It rests "
    "on uncut wood along its heavy lines, its witness mark on the blank's line.",
    "Until its heavy lines lie on the wood, take wood where the card touches and leave it where light shows.",
)


def cover_page(seat: Seat, pages: Sequence[Page], wood: Timber, speech: Speech, paper: Paper) -> Page:
    """Return the second page, without its foot; `pages` are those that follow, their drawings on `paper`."""
    sheet = to_read(paper)
    wide, height = sheet.width_mm, sheet.height_mm or PAGE_MM[1]
    top = height - MARGIN_MM - 8.0
    room = wide - 2.0 * MARGIN_MM
    blank = seat.blank
    size = " x ".join(speech.length(one) for one in (blank.width_mm, blank.depth_mm, blank.thickness_mm))
    facts = (
        f"Blank {size} (across, front to rear, thick), {wood.name}",
        f"Deck {speech.length(blank.deck_mm)} from the rear edge, floor of {speech.keep(blank.floor_mm)} or more",
        f"Paper {paper.name}; the plan is seen from above, left and right are the sitter's",
    )
    items: list[Item] = [
        words(fitted(seat.title, 9.0, room, bold=True), MARGIN_MM, top - 2.0, 9.0, bold=True)
    ]
    items += [words(text, MARGIN_MM, top - 11.0 - LINE_MM * i, ink.TEXT) for i, text in enumerate(facts)]
    under = top - 34.0
    items.append(words("In these sheets", MARGIN_MM, under, ink.HEADING, bold=True))
    rows = contents(pages)
    for i, (name, where) in enumerate(rows):
        y = under - 7.0 - LINE_MM * i
        items += [words(name, MARGIN_MM, y, ink.TEXT), words(where, MARGIN_MM + 92.0, y, ink.TEXT, "right")]
    under -= 7.0 + LINE_MM * len(rows) + 6.0
    half = 0.5 * room - 5.0
    items += column((("Print, join and lay down", HOW), ("Section cards", CARDS)), MARGIN_MM, under, half)
    items += column((("Cautions", CAUTIONS),), MARGIN_MM + half + 10.0, under, half)
    drawn = Drawing("cover", (DrawingLayer("words", ink.FINE, tuple(items)),))
    window = (0.0, MARGIN_MM + FOOT_MM - 3.0, wide, height)
    return Page("Contents and cautions", wide, height, (View(drawn, window, window[:2]),))


def contents(pages: Sequence[Page], first_page: int = FIRST_PAGE) -> list[tuple[str, str]]:
    """Return the drawings in order, each with its pages, as the contents name them; `pages` start at `first_page`."""
    first: dict[str, int] = {}
    last: dict[str, int] = {}
    for number, page in enumerate(pages, first_page):
        name = page.name.split(", ")[0]
        first.setdefault(name, number)
        last[name] = number
    return [
        (name, f"page {first[name]}" if first[name] == last[name] else f"pages {first[name]} to {last[name]}")
        for name in first
    ]


def page_words(pages: Sequence[Page], first_page: int) -> dict[str, str]:
    """Return on which pages each drawing stands, by its name; `pages` start at `first_page`."""
    return dict(contents(pages, first_page))
