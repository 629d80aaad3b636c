"""The way to cut, on a plan: arrows with the grain, lines where the direction turns, places to scrape."""

from __future__ import annotations

from math import hypot

import numpy as np

from seatmesh.paper.drawing import DrawingLayer, Item, line
from seatmesh.sheets import ink
from seatmesh.surface import Seat
from seatmesh.wood.boards.layup import Layup
from seatmesh.woodwork.way_to_cut import NONE_GOOD, WayToCut, arrows, turning_lines, way_to_cut

SPACING_MM = 48.0
LONG_MM, HEAD_MM = 14.0, 3.0
HATCH_MM = 3.0
CUT_RULE = (
    "Push the cutter the way of the arrows; full red line: cuts meet, stop short of it; dashed: start there; "
    "small crosses: scrape."
)


def cut_layers(seat: Seat, layup: Layup | None, scale: float = 1.0) -> tuple[DrawingLayer, ...]:
    """Return the layers of a plan at 1 to `scale`; none where an order's boards are not known."""
    if layup is None or not layup.given:
        return ()
    way = way_to_cut(seat, layup)
    return (
        DrawingLayer("way to cut", ink.CUT_ARROW, tuple(_arrows(way, scale))),
        DrawingLayer("cuts meet", ink.CUTS_MEET, tuple(_lines(way, True, scale))),
        DrawingLayer("cuts part", ink.CUTS_PART, tuple(_lines(way, False, scale))),
        DrawingLayer("scrape", ink.SCRAPE, tuple(_crosses(way, scale))),
    )


def _arrows(way: WayToCut, scale: float) -> list[Item]:
    out: list[Item] = []
    # On a small plan arrows are as long on the paper, and so farther apart on the seat.
    for place, direction in arrows(way, SPACING_MM * max(1.0, 0.4 * scale)):
        middle = place / scale
        start, stop = middle - 0.5 * LONG_MM * direction, middle + 0.5 * LONG_MM * direction
        if scale > 1.0:
            start, stop = middle - 0.25 * LONG_MM * direction, middle + 0.25 * LONG_MM * direction
        across = np.array([-direction[1], direction[0]])
        head = HEAD_MM if scale == 1.0 else 0.5 * HEAD_MM
        barbs = [stop - head * direction + sign * 0.5 * head * across for sign in (1.0, -1.0)]
        out += [line([start, stop]), line([barbs[0], stop, barbs[1]])]
    return out


def _lines(way: WayToCut, valleys: bool, scale: float) -> list[Item]:
    return [line(one / scale) for one in turning_lines(way, valleys)]


def _crosses(way: WayToCut, scale: float) -> list[Item]:
    out: list[Item] = []
    last: list[tuple[float, float]] = []
    for row, column in np.argwhere(way.way == NONE_GOOD):
        x, y = float(way.x_mm[column]), float(way.y_mm[row])
        if any(hypot(x - a, y - b) < 2.0 * HATCH_MM * scale for a, b in last):
            continue
        last.append((x, y))
        u, v, arm = x / scale, y / scale, 0.3 * HATCH_MM
        out += [
            line([(u - arm, v - arm), (u + arm, v + arm)]),
            line([(u - arm, v + arm), (u + arm, v - arm)]),
        ]
    return out
