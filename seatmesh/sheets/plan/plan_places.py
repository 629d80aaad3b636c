"""Each sitter's places on the plan: hips, thighs, sit bones, end of the spine, knee-backs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from seatmesh.body.body import Body
from seatmesh.body.figure.marked_places import MarkedPlace
from seatmesh.paper.drawing import Align, DrawingLayer, Item, Words, line
from seatmesh.seating.place import places
from seatmesh.sheets import ink
from seatmesh.sheets.ink import words
from seatmesh.sheets.plan.plan_lines import Boxes, box, free
from seatmesh.sheets.sheet_wishes import Speech
from seatmesh.surface import Seat

CROSS_MM = 4.0
OVER_MM = 8.0
AROUND: tuple[tuple[float, float, Align], ...] = (
    (2.0, 2.0, "left"), (-2.0, 2.0, "right"), (2.0, -4.2, "left"), (-2.0, -4.2, "right"),
    (0.0, 5.0, "middle"), (0.0, -7.0, "middle"), (6.0, 6.0, "left"), (-6.0, 6.0, "right"),
    (6.0, -9.0, "left"), (-6.0, -9.0, "right"), (0.0, 10.0, "middle"), (0.0, -12.0, "middle"),
)  # fmt: skip
"""Where the words of a place may stand, beside it, the first free one taken."""


def place_layers(seat: Seat, sitters: Sequence[Body], taken: Boxes) -> tuple[DrawingLayer, ...]:
    """Return one layer of marks for each sitter, and one of words; several sitters are told apart by numbers.

    `taken` are boxes that words already stand in; those of the places are added.
    """
    found = [near(places(body, seat.blank), seat) for body in sitters]
    taken += [_box(one) for row in found for one in row if len(one.points_mm) == 1]
    layers: list[DrawingLayer] = []
    names: list[Item] = []
    for number, (body, row) in enumerate(zip(sitters, found, strict=True), 1):
        layers.append(
            DrawingLayer(f"places {body.name}", ink.PLACE, tuple(part for one in row for part in _mark(one)))
        )
        if len(sitters) > 1:
            names += [_name(one, _words_of(one, number), taken) for one in row]
        else:
            names += [_name(one, _plain(one), taken) for one in row if one.side != "left"]
    layers.append(DrawingLayer("place names", ink.PLACE, tuple(names)))
    return tuple(layers)


def near(found: Sequence[MarkedPlace], seat: Seat) -> tuple[MarkedPlace, ...]:
    """Return places cut off a little beyond the blank: what lies farther out is no mark on it."""
    half = 0.5 * seat.blank.width_mm + OVER_MM
    room = shapely.box(-half, -OVER_MM, half, seat.blank.depth_mm + OVER_MM)
    out = []
    for one in found:
        shape = (
            shapely.Point(*one.points_mm) if len(one.points_mm) == 1 else shapely.LineString(one.points_mm)
        )
        part = shapely.intersection(shape, room)
        if not part.is_empty:
            out.append(replace(one, points_mm=tuple((float(x), float(y)) for x, y in part.coords)))
    return tuple(out)


def beyond(seat: Seat, sitters: Sequence[Body], speech: Speech) -> str:
    """Return how far ahead of the front edge the nearest knee-backs lie, which are off the plan; "" if none are."""
    rows = [
        one.points_mm[0][1] - seat.blank.depth_mm
        for body in sitters
        for one in places(body, seat.blank)
        if one.name == "knee-back line"
    ]
    off = [one for one in rows if one > OVER_MM]
    return (
        f"Nearest knee-backs off the plan: {speech.length(min(off))} ahead of the front edge." if off else ""
    )


def legend(sitters: Sequence[Body]) -> str:
    """Return who the sitters are, by their numbers."""
    if len(sitters) <= 1:
        return "".join(f"Sitter: {one.name}" for one in sitters)
    return "Sitters: " + "  ".join(f"{number} {one.name}" for number, one in enumerate(sitters, 1))


def _mark(place: MarkedPlace) -> list[Item]:
    if len(place.points_mm) > 1:
        return [line(place.points_mm)]
    x, y = place.points_mm[0]
    return [line([(x - CROSS_MM, y), (x + CROSS_MM, y)]), line([(x, y - CROSS_MM), (x, y + CROSS_MM)])]


def _plain(place: MarkedPlace) -> str:
    return place.name.removesuffix(" line")


def _words_of(place: MarkedPlace, number: int) -> str:
    """Return what a place of one of several sitters is called: on the left by the sitter's number alone."""
    return str(number) if place.side == "left" else f"{_plain(place)} {number}"


def _box(place: MarkedPlace) -> tuple[float, float, float, float]:
    x, y = place.points_mm[0]
    return x - 0.4 * CROSS_MM, y - 0.4 * CROSS_MM, x + 0.4 * CROSS_MM, y + 0.4 * CROSS_MM


def _name(place: MarkedPlace, text: str, taken: Boxes) -> Words:
    """Return a place's name where it is free, else as near as can be."""
    x, y = np.asarray(place.points_mm).mean(axis=0)
    choices = [words(text, x + dx, y + dy, ink.TINY, align) for dx, dy, align in AROUND]
    one = next((choice for choice in choices if free(box(choice), taken)), choices[0])
    taken.append(box(one))
    return one
