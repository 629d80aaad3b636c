"""The plan at full size: all that a maker pricks through onto the blank."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from seatmesh.body.body import Body
from seatmesh.paper.drawing import Drawing, DrawingLayer, Item, Words, line
from seatmesh.paper.grounds import extent_mm, grounded
from seatmesh.sheets import ink
from seatmesh.sheets.cards.card import span_mm
from seatmesh.sheets.holes.depth_hole import DepthHoles
from seatmesh.sheets.holes.hole_layers import hole_layers
from seatmesh.sheets.holes.hole_words import short_rule
from seatmesh.sheets.ink import words
from seatmesh.sheets.plan.contours import step_depths
from seatmesh.sheets.plan.plan_cut import CUT_RULE, cut_layers
from seatmesh.sheets.plan.plan_lines import Boxes, box, deepest_layers, line_layers
from seatmesh.sheets.plan.plan_places import beyond, legend, place_layers
from seatmesh.sheets.plan.plan_wood import wood_layers
from seatmesh.sheets.sheet_wishes import SheetWishes, contour_step_mm, grid_mm, speech
from seatmesh.station import Station
from seatmesh.surface import Seat

BESIDE_MM = 14.0
TICK_MM = 9.0
NAME_BESIDE_MM = 1.2
NAMED_APART_MM = 4.0
"""A glue line nearer to the centre line than that has no room for a name of its own."""


def plan(
    seat: Seat,
    sitters: Sequence[Body],
    cards: Sequence[Station],
    holes: DepthHoles | None,
    wishes: SheetWishes,
    depths_mm: Sequence[float] | None = None,
) -> Drawing:
    """Return the plan of a seat in the frame of its blank; `depths_mm` are the contour lines', None for even steps."""
    says = speech(seat, wishes)
    wood = wood_layers(seat.blank, grid_mm(seat, wishes), says)
    taken: Boxes = [box(one) for layer in wood for one in layer.items if isinstance(one, Words)]
    named = _line_names(seat, taken)
    station = _stations(seat, cards, taken)
    deep = deepest_layers(seat, says, taken)
    hole = hole_layers(holes, says, taken)
    place = place_layers(seat, sitters, taken)
    depths = step_depths(seat, contour_step_mm(seat, wishes)) if depths_mm is None else depths_mm
    lines = line_layers(seat, depths, says, taken)
    whole = Drawing(
        f"{seat.title}, plan",
        (
            *wood[:2],
            *lines,
            *wood[2:],
            *cut_layers(seat, wishes.layup),
            named,
            *station,
            *place,
            *hole,
            *deep,
            _sides(seat),
            _heading(seat, sitters, holes, wishes),
        ),
    )
    return grounded(whole)


def _line_names(seat: Seat, taken: Boxes) -> DrawingLayer:
    """Return which of the lines that run along the seat is the centre line, and which are glue lines; in the rear."""
    rows = [
        (0.0, "centre line"),
        *((x, "glue line") for x in seat.blank.glue_lines() if abs(x) > NAMED_APART_MM),
    ]
    names = tuple(
        words(name, x - NAME_BESIDE_MM, rear_mm(seat, x) + NAME_BESIDE_MM, ink.TINY, turn=90.0)
        for x, name in rows
    )
    taken += [extent_mm(one) for one in names]
    return DrawingLayer("line names", ink.FINE, names)


def rear_mm(seat: Seat, x_mm: float) -> float:
    """Return where a line along the seat at x enters the wood, from the rear edge."""
    return span_mm(seat.blank, Station("", "along", x_mm))[0]


def _stations(seat: Seat, cards: Sequence[Station], taken: Boxes) -> tuple[DrawingLayer, ...]:
    """Return the cards' lines across the plan, and their names."""
    half, depth = 0.5 * seat.blank.width_mm, seat.blank.depth_mm
    lines: list[Item] = []
    names: list[Item] = []
    for card in cards:
        at = card.at_mm
        if card.runs == "across":
            ends = np.array([(-half - TICK_MM, at), (half + TICK_MM, at)])
            names.append(
                words(card.letter, half + TICK_MM + 3.0, at - 1.4, ink.HEADING, "middle", bold=True)
                if card.letter
                else words(card.name, half + TICK_MM, at + 0.6, ink.SMALL, "right", bold=True)
            )
        else:
            ends = np.array([(at, -TICK_MM - 2.0), (at, depth + TICK_MM)])
            size = ink.HEADING if card.letter else ink.SMALL
            names.append(words(card.name, at, depth + TICK_MM + 1.5, size, "middle", bold=True))
        lines.append(line(ends))
    taken += [box(one) for one in names]  # type: ignore[arg-type]
    return DrawingLayer("stations", ink.STATION, tuple(lines)), DrawingLayer(
        "station letters", ink.FINE, tuple(names)
    )


def _sides(seat: Seat) -> DrawingLayer:
    """Return FRONT and whose left and right are meant."""
    half, depth = 0.5 * seat.blank.width_mm, seat.blank.depth_mm
    low = depth + TICK_MM + 6.5
    return DrawingLayer(
        "sides",
        ink.FINE,
        (
            words("FRONT", 0.0, low, ink.TITLE - 1.0, "middle", bold=True),
            words(
                "SITTER'S LEFT", -half - BESIDE_MM, 0.27 * depth, ink.HEADING, "middle", bold=True, turn=90.0
            ),
            words(
                "SITTER'S RIGHT",
                half + BESIDE_MM + 4.0,
                0.27 * depth,
                ink.HEADING,
                "middle",
                bold=True,
                turn=-90.0,
            ),
        ),
    )


def _heading(
    seat: Seat, sitters: Sequence[Body], holes: DepthHoles | None, wishes: SheetWishes
) -> DrawingLayer:
    """Return title and explanations under the rear edge."""
    says = speech(seat, wishes)
    half = 0.5 * seat.blank.width_mm
    step = says.length(contour_step_mm(seat, wishes))
    grid = says.length(grid_mm(seat, wishes))
    unit = "Figures of the grid are mm" if says.units == "mm" else "Figures of the grid are inches"
    size = " x ".join(
        says.length(one) for one in (seat.blank.width_mm, seat.blank.depth_mm, seat.blank.thickness_mm)
    )
    texts = (
        f"Contour lines every {step} of depth below the uncut top face; grid {grid}. {unit}"
        " from the centre line and from the rear edge.",
        f"Blank {size} (across, front to rear, thick). Seen from above. {legend(sitters)}".rstrip(),
        beyond(seat, sitters, says),
        short_rule(holes, says) if holes and holes.holes else "",
        CUT_RULE if wishes.layup is not None and wishes.layup.given else "",
    )
    lines = [
        words(text, -half, -18.5 - 4.4 * number, ink.SMALL) for number, text in enumerate(filter(None, texts))
    ]
    return DrawingLayer(
        "heading", ink.FINE, (words(seat.title, -half, -13.5, ink.TITLE - 1.0, bold=True), *lines)
    )
