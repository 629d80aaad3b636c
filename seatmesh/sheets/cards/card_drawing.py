"""A section card as a drawing: its outline to cut to, datum, witness mark, depths, and how it is held."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seatmesh.paper.drawing import Drawing, DrawingLayer, Item, line
from seatmesh.paper.lettering import broken, fitted, width_mm
from seatmesh.sheets import ink
from seatmesh.sheets.cards.card import Card
from seatmesh.sheets.ink import words
from seatmesh.sheets.sheet_wishes import Speech
from seatmesh.station import station_words

DEPTHS_EVERY_MM = {"mm": 50.0, "in": 50.8}
TICK_MM, TICK_TOP_MM = 2.5, 0.5
ENDS = {"across": ("SITTER'S LEFT", "SITTER'S RIGHT"), "along": ("REAR", "FRONT")}
INSIDE_MM = 3.0
JOIN_ROOM_MM = 9.0
"""Kept clear beside a join, where match marks and the neighbour's overlap are."""
BESIDE_WITNESS_MM = 3.0
SAW = (
    "Saw it off at the dashed upright line: the part ahead of it is for the front roll, which is worked last."
)
LEAST_FIGURE_MM = 0.8
"""A shallower place, about 1/32 inch, has no figure."""
MARK_MM = 5.0
"""How far the match marks of a join reach to either side of it."""
MOST_ASIDE_MM = 18.0
"""How far figures may stand aside of their tick, to keep off a line that runs up the card."""
LINE_MM = 3.3
NAME_MM = 3.4
FIGURES_TOP_MM = 7.6
"""How far over the datum the figures at ticks reach."""


def card_drawing(card: Card, seat_title: str, speech: Speech, joins_mm: Sequence[float] = ()) -> Drawing:
    """Return the drawing of a card in the card's own frame: u to the right, height over the datum up.

    `joins_mm` are the u at which pages that show it meet: every piece between them bears letter and title.
    """
    first, last = float(card.edge_mm[0, 0]), float(card.edge_mm[-1, 0])
    rests = [line([(a, 0.0), (b, 0.0)]) for a, b in card.rests_mm]
    ticks, figures = _depths(card, speech, joins_mm)
    return Drawing(
        f"card {card.station.name}",
        (
            DrawingLayer(f"card {card.station.name}", ink.EDGE, (line(card.outline_mm, closed=True),)),
            DrawingLayer("datum", ink.DASHED, (line([(first, 0.0), (last, 0.0)]),)),
            DrawingLayer("rests", ink.REST, tuple(rests)),
            DrawingLayer("witness marks", ink.FINE, _witness(card)),
            DrawingLayer("card roll lines", ink.DASHED, _roll_line(card)),
            DrawingLayer("card depth ticks", ink.THIN, ticks),
            DrawingLayer("card depths", ink.THIN, figures),
            DrawingLayer("card words", ink.FINE, _texts(card, seat_title, speech, joins_mm)),
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


def tick_words(card: Card, speech: Speech) -> str:
    """Return how the two figures at a tick are read."""
    start = "the centre line" if card.station.runs == "across" else "the rear edge"
    unit = "mm from" if speech.units == "mm" else "from"
    return f"At each tick: above, {unit} {start}; under it the finished depth."


def _witness(card: Card) -> tuple[Item, ...]:
    u, top = card.witness_mm, card.height_mm
    low = float(np.interp(u, *card.edge_mm.T))
    return (
        line([(u, low), (u, top)]),
        line([(u - 1.8, top), (u, top - 3.2), (u + 1.8, top)], closed=True),
    )


def _roll_line(card: Card) -> tuple[Item, ...]:
    """Return where a card along the seat is sawn off until the roll is worked."""
    if not saws_off(card):
        return ()
    u = float(card.roll_mm or 0.0)
    return (line([(u, float(np.interp(u, *card.edge_mm.T))), (u, card.height_mm)]),)


def saws_off(card: Card) -> bool:
    """Tell whether a card along the seat reaches over the front roll."""
    return card.station.runs == "along" and card.roll_mm is not None and card.roll_mm < card.edge_mm[-1, 0]


def _texts(card: Card, seat_title: str, speech: Speech, joins_mm: Sequence[float]) -> tuple[Item, ...]:
    """Return the words of a card: on each piece its letter, its place and the seat; how it is held on the widest."""
    first, last = float(card.edge_mm[0, 0]), float(card.edge_mm[-1, 0])
    pieces = _pieces(first, last, joins_mm)
    uprights = _uprights(card)
    rooms = [max(_rooms(piece, uprights), key=lambda room: room[1] - room[0]) for piece in pieces]
    widest = max(range(len(rooms)), key=lambda number: rooms[number][1] - rooms[number][0])
    out: list[Item] = []
    for number, (left, right) in enumerate(rooms):
        piece = f"   piece {number + 1} of {len(rooms)}" if len(rooms) > 1 else ""
        seen = "seen from behind" if card.station.runs == "across" else "seen from the sitter's right"
        ends = [*_ends(card, pieces[number], first, last)]
        out += ends
        top = card.height_mm - (9.6 if ends else 5.4)
        wide = right - left
        named = fitted(f"{card.station.name}{piece}   {seat_title}", NAME_MM, wide, bold=True)
        out.append(words(named, left, top, NAME_MM, bold=True))
        placed = fitted(f"{where(card, speech)}, {seen}", ink.TINY, wide)
        out.append(words(placed, left, top - LINE_MM, ink.TINY))
        if number == widest:
            parts = (holding(card), tick_words(card, speech), SAW if saws_off(card) else "")
            said = [text for part in parts for text in broken(part, ink.TINY, wide)]
            room = int((top - LINE_MM - FIGURES_TOP_MM) / 2.8)
            out += [
                words(text, left, top - LINE_MM - 2.8 * (i + 1), ink.TINY)
                for i, text in enumerate(said[:room])
            ]
    return tuple(out)


def _pieces(first: float, last: float, joins_mm: Sequence[float]) -> list[tuple[float, float]]:
    """Return from where to where each piece of a card runs, kept clear of the joins."""
    cuts = sorted(one for one in joins_mm if first + JOIN_ROOM_MM < one < last - JOIN_ROOM_MM)
    left = [first + INSIDE_MM, *(one + JOIN_ROOM_MM for one in cuts)]
    right = [*(one - JOIN_ROOM_MM for one in cuts), last - INSIDE_MM]
    return list(zip(left, right, strict=True))


def _uprights(card: Card) -> list[float]:
    """Return the u of the lines that run up a card: no words stand across them."""
    return [card.witness_mm, *([float(card.roll_mm or 0.0)] if saws_off(card) else [])]


def _rooms(piece: tuple[float, float], uprights: Sequence[float]) -> list[tuple[float, float]]:
    """Return the rooms for words in a piece, between the lines that run up through it."""
    rooms, left = [], piece[0]
    for u in sorted(uprights):
        if piece[0] - BESIDE_WITNESS_MM < u < piece[1] + BESIDE_WITNESS_MM:
            rooms.append((left, u - BESIDE_WITNESS_MM))
            left = u + BESIDE_WITNESS_MM
    rooms.append((left, piece[1]))
    return [room for room in rooms if room[1] > room[0]] or [piece]


def _ends(card: Card, piece: tuple[float, float], first: float, last: float) -> list[Item]:
    """Return which end of the card lies where, at the ends that a piece has."""
    left, right = ENDS[card.station.runs]
    top = card.height_mm - 4.4
    out: list[Item] = []
    rooms = _rooms(piece, _uprights(card))
    if piece[0] == first + INSIDE_MM:
        begin = next((room[0] for room in rooms if _fits(left, room)), piece[0])
        out.append(words(left, begin, top, ink.SMALL))
    if piece[1] == last - INSIDE_MM:
        end = next((room[1] for room in reversed(rooms) if _fits(right, room)), piece[1])
        out.append(words(right, end, top, ink.SMALL, "right"))
    return out


def _fits(text: str, room: tuple[float, float]) -> bool:
    return width_mm(text, ink.SMALL) <= room[1] - room[0]


def _depths(
    card: Card, speech: Speech, joins_mm: Sequence[float]
) -> tuple[tuple[Item, ...], tuple[Item, ...]]:
    """Return ticks at the edge at even places from centre line or rear edge, and over the datum place and depth."""
    first, last = float(card.edge_mm[0, 0]), float(card.edge_mm[-1, 0])
    every = DEPTHS_EVERY_MM[speech.units]
    clear_of = [(u, 0.0) for u in (first, last, *_uprights(card))] + [(u, MARK_MM) for u in joins_mm]
    ticks: list[Item] = []
    figures: list[Item] = []
    for u in every * np.arange(np.ceil(first / every), np.floor(last / every) + 1):
        low = float(np.interp(u, *card.edge_mm.T))
        if low > -LEAST_FIGURE_MM:
            continue
        # Figures stand over the datum, so a tick near it ends below them.
        ticks.append(line([(u, low), (u, min(low + TICK_MM, TICK_TOP_MM))]))
        place, depth = speech.place(abs(round(float(u), 6))), speech.depth(-low)
        half = 0.5 * max(width_mm(place, ink.TINY, bold=True), width_mm(depth, ink.TINY)) + 0.5
        at = _beside(float(u), half, clear_of, (first, last))
        if at is not None:
            figures.append(words(place, at, 1.4 + LINE_MM, ink.TINY, "middle", bold=True))
            figures.append(words(depth, at, 1.4, ink.TINY, "middle"))
    return tuple(ticks), tuple(figures)


def _beside(
    u: float, half: float, clear_of: Sequence[tuple[float, float]], ends: tuple[float, float]
) -> float | None:
    """Return the middle nearest to u at which words of a half width meet no upright line; None without one."""
    for step in np.arange(0.0, MOST_ASIDE_MM, 0.5):
        for at in (u + float(step), u - float(step)):
            inside = ends[0] < at - half and at + half < ends[1]
            if inside and all(abs(at - line_u) > half + more for line_u, more in clear_of):
                return at
    return None
