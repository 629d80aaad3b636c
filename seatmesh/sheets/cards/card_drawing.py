"""A section card as a drawing: its outline to cut to, datum, witness mark, depths, and how it is held."""

from __future__ import annotations

import numpy as np

from seatmesh.paper.drawing import Align, Drawing, DrawingLayer, Item, line
from seatmesh.sheets import ink
from seatmesh.sheets.cards.card import Card
from seatmesh.sheets.ink import words
from seatmesh.sheets.sheet_wishes import Speech
from seatmesh.station import station_words

DEPTHS_EVERY_MM = 50.0
TICK_MM = 2.5
ENDS = {"across": ("SITTER'S LEFT", "SITTER'S RIGHT"), "along": ("REAR", "FRONT")}
INSIDE_MM = 3.0


def card_drawing(card: Card, seat_title: str, speech: Speech) -> Drawing:
    """Return the drawing of a card in the card's own frame: u to the right, height over the datum up."""
    first, last = float(card.edge_mm[0, 0]), float(card.edge_mm[-1, 0])
    name = f"{card.station.name}   {where(card, speech)}"
    rests = [line([(a, 0.0), (b, 0.0)]) for a, b in card.rests_mm]
    ticks, figures = _depths(card, speech)
    return Drawing(
        f"card {card.station.name}",
        (
            DrawingLayer(f"card {card.station.name}", ink.EDGE, (line(card.outline_mm, closed=True),)),
            DrawingLayer("datum", ink.DASHED, (line([(first, 0.0), (last, 0.0)]),)),
            DrawingLayer("rests", ink.REST, tuple(rests)),
            DrawingLayer("witness marks", ink.FINE, _witness(card)),
            DrawingLayer("card depth ticks", ink.THIN, ticks),
            DrawingLayer("card depths", ink.THIN, figures),
            DrawingLayer("card words", ink.FINE, _texts(card, name, seat_title, first, last)),
        ),
    )


def where(card: Card, speech: Speech) -> str:
    """Return the card's station in words."""
    return f"{card.station.runs}, {station_words(card.station, speech.length)}"


def holding(card: Card) -> str:
    """Return how the card is held, and what to beware of."""
    if card.holds_itself:
        mark = "centre line" if card.station.runs == "across" else "deck line"
        return f"Heavy lines rest on uncut wood at both ends, the witness mark on the {mark}."
    if card.rests_mm:
        return (
            "Only one end rests on uncut wood: hold it down there, and lay a straight bar across the uncut sides "
            "at the upper edge's height to keep the other end level."
        )
    return (
        "No uncut wood under this card: hang it from a straight bar across the uncut sides, upper edge "
        "level with the bar's."
    )


def _witness(card: Card) -> tuple[Item, ...]:
    u, top = card.witness_mm, card.height_mm
    low = float(np.interp(u, *card.edge_mm.T))
    return (
        line([(u, low), (u, top)]),
        line([(u - 1.8, top), (u, top - 3.2), (u + 1.8, top)], closed=True),
    )


def _texts(card: Card, name: str, seat_title: str, first: float, last: float) -> tuple[Item, ...]:
    left, right = ENDS[card.station.runs]
    top = card.height_mm
    u = card.witness_mm + 3.0
    seen = "seen from behind" if card.station.runs == "across" else "seen from the sitter's right"
    return (
        words(name, u, top - 6.5, ink.HEADING, bold=True),
        words(f"{seat_title}, {seen}", u, top - 11.0, ink.SMALL),
        words(holding(card), first, top + 2.2, ink.TINY),
        words(left, first + INSIDE_MM, top - 6.5, ink.SMALL),
        words(right, last - INSIDE_MM, top - 6.5, ink.SMALL, "right"),
    )


def _depths(card: Card, speech: Speech) -> tuple[tuple[Item, ...], tuple[Item, ...]]:
    """Return ticks at the edge every 50 mm from centre line or rear edge, and over the datum the depth there."""
    first, last = card.edge_mm[0, 0], card.edge_mm[-1, 0]
    start, stop = np.ceil(first / DEPTHS_EVERY_MM), np.floor(last / DEPTHS_EVERY_MM)
    ticks: list[Item] = []
    figures: list[Item] = []
    for u in DEPTHS_EVERY_MM * np.arange(start, stop + 1):
        low = float(np.interp(u, *card.edge_mm.T))
        if low > -0.5:
            continue
        ticks.append(line([(u, low), (u, low + TICK_MM)]))
        on_line = abs(u - card.witness_mm) < 1.0
        align: Align = "left" if on_line else "middle"
        figures.append(words(speech.length(-low), float(u) + 1.2 * on_line, 1.4, ink.TINY, align))
    return tuple(ticks), tuple(figures)
