"""Section cards one under another, as many as a page is high, so that no card is cut between rows of pages."""

from __future__ import annotations

from collections.abc import Sequence

from seatmesh.paper.drawing import Drawing, DrawingLayer, Item
from seatmesh.paper.page import Window
from seatmesh.paper.paper_sizes import Paper
from seatmesh.paper.tiles import room_mm, tile
from seatmesh.sheets.cards.card import Card
from seatmesh.sheets.cards.card_drawing import card_drawing
from seatmesh.sheets.sheet_wishes import Speech

GAP_MM = 6.0
AROUND_MM = 3.0
ROLL_HEIGHT_MM = 1200.0


def stacks(cards: Sequence[Card], paper: Paper, title: str, speech: Speech) -> tuple[Drawing, ...]:
    """Return drawings of cards that each fit the height of a page, laid so that they take the fewest pages."""
    if paper.is_roll:
        return tuple(stacked(pile, title, speech) for pile in _piles(cards, ROLL_HEIGHT_MM))
    tried = [_piles(cards, room_mm(way)[1]) for way in paper.ways()]
    drawn = [tuple(_for_pages(pile, paper, title, speech) for pile in piles) for piles in tried]
    return min(drawn, key=lambda one: sum(len(tile(_extent(pile), paper, "")) for pile in one))


def _piles(cards: Sequence[Card], room: float) -> list[list[Card]]:
    piles: list[list[Card]] = []
    height = 0.0
    for card in cards:
        need = tall_mm(card) + GAP_MM
        if not piles or height + need > room - 2.0 * AROUND_MM + GAP_MM:
            piles.append([])
            height = 0.0
        piles[-1].append(card)
        height += need
    return piles


def _for_pages(pile: Sequence[Card], paper: Paper, title: str, speech: Speech) -> Drawing:
    """Return a pile whose cards bear their names on every page."""
    windows = [one.window_mm for one in tile(_extent(stacked(pile, title, speech)), paper, "")]
    lows = sorted({window[0] for window in windows})
    joins = [
        0.5 * (low + before) for low, before in zip(lows[1:], sorted({w[2] for w in windows}), strict=False)
    ]
    return stacked(pile, title, speech, joins_mm=joins)


def _extent(drawing: Drawing) -> Window:
    x0, y0, x1, y1 = drawing.bounds_mm
    return x0 - AROUND_MM, y0 - AROUND_MM, x1 + AROUND_MM, y1 + AROUND_MM


def tall_mm(card: Card) -> float:
    """Return how high a card is."""
    return card.height_mm - float(card.edge_mm[:, 1].min())


def stacked(
    cards: Sequence[Card], title: str, speech: Speech, top_mm: float = 0.0, joins_mm: Sequence[float] = ()
) -> Drawing:
    """Return cards under one another, each in the middle, the first one's upper edge at `top_mm`.

    `joins_mm` are the x at which pages meet.
    """
    layers: list[DrawingLayer] = []
    top = top_mm
    for card in cards:
        down = top - card.height_mm
        middle = 0.5 * float(card.edge_mm[0, 0] + card.edge_mm[-1, 0])
        own = [join + middle for join in joins_mm]
        layers += card_drawing(card, title, speech, own).moved(-middle, down).layers
        top -= tall_mm(card) + GAP_MM
    return Drawing("section cards", merged(layers))


def merged(layers: Sequence[DrawingLayer]) -> tuple[DrawingLayer, ...]:
    """Return layers of which those of the same name have become one, in the order of their first."""
    looks: dict[str, DrawingLayer] = {}
    items: dict[str, list[Item]] = {}
    for one in layers:
        looks.setdefault(one.name, one)
        items.setdefault(one.name, []).extend(one.items)
    return tuple(DrawingLayer(name, one.look, tuple(items[name])) for name, one in looks.items())
