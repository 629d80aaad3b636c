"""Section cards one under another, as many as a page is high, so that no card is cut between rows of pages."""

from __future__ import annotations

from collections.abc import Sequence

from seatmesh.paper.drawing import Drawing, DrawingLayer, Item
from seatmesh.paper.paper_sizes import Paper
from seatmesh.paper.tiles import room_mm
from seatmesh.sheets.cards.card import Card
from seatmesh.sheets.cards.card_drawing import card_drawing
from seatmesh.sheets.sheet_wishes import Speech

GAP_MM = 12.0
AROUND_MM = 8.0
ROLL_HEIGHT_MM = 1200.0


def stacks(cards: Sequence[Card], paper: Paper, title: str, speech: Speech) -> tuple[Drawing, ...]:
    """Return drawings of cards that each fit the height of a page."""
    room = ROLL_HEIGHT_MM if paper.is_roll else min(room_mm(way)[1] for way in paper.ways())
    piles: list[list[Card]] = []
    height = 0.0
    for card in cards:
        need = tall_mm(card) + GAP_MM
        if not piles or height + need > room - 2.0 * AROUND_MM + GAP_MM:
            piles.append([])
            height = 0.0
        piles[-1].append(card)
        height += need
    return tuple(stacked(pile, title, speech) for pile in piles)


def tall_mm(card: Card) -> float:
    """Return how high a card with its words is."""
    return card.height_mm + 5.0 - float(card.edge_mm[:, 1].min())


def stacked(cards: Sequence[Card], title: str, speech: Speech, top_mm: float = 0.0) -> Drawing:
    """Return cards under one another, each in the middle, the first one's words ending at `top_mm`."""
    layers: list[DrawingLayer] = []
    top = top_mm
    for card in cards:
        down = top - card.height_mm - 5.0
        middle = 0.5 * float(card.edge_mm[0, 0] + card.edge_mm[-1, 0])
        layers += card_drawing(card, title, speech).moved(-middle, down).layers
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
