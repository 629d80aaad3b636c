"""The blank on the plan: grid, outline, centre line, deck, gutter, glue lines, joints."""

from __future__ import annotations

import numpy as np
import shapely
from contourpy import LineType, contour_generator

from seatmesh.arrays import Floats
from seatmesh.paper.drawing import DrawingLayer, Item, line
from seatmesh.sheets import ink
from seatmesh.sheets.ink import words
from seatmesh.sheets.sheet_wishes import Speech
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint_rings import axis_run_mm, rings_mm

OVER_MM = 6.0
DECK_GRID_MM = 2.0
GRID_WORDS_MM = 4.0
"""How far beyond the blank the grid's figures stand."""


def wood_layers(blank: Blank, grid_mm: float, speech: Speech) -> tuple[DrawingLayer, ...]:
    """Return the layers that every plan begins with, the grid beneath."""
    half, depth = 0.5 * blank.width_mm, blank.depth_mm
    glue = [part for x in blank.glue_lines() for part in inside(blank, [(x, -OVER_MM), (x, depth + OVER_MM)])]
    return (
        _grid(blank, grid_mm),
        _grid_figures(blank, grid_mm, speech),
        DrawingLayer("glue lines", ink.GLUE, tuple(glue)),
        DrawingLayer("centre line", ink.CENTRE, (line([(0.0, -OVER_MM), (0.0, depth + OVER_MM)]),)),
        DrawingLayer("deck line", ink.DASHED, tuple(_ahead_line(blank, 0.0, half))),
        DrawingLayer("gutter", ink.FINE, tuple(_gutter(blank, half))),
        DrawingLayer("joints", ink.THIN, tuple(_joints(blank))),
        DrawingLayer("outline", ink.EDGE, (line(blank.polygon_mm(), closed=True),)),
    )


def inside(blank: Blank, points: list[tuple[float, float]]) -> list[Item]:
    """Return the parts of a straight line that lie within the outline."""
    cut = shapely.intersection(shapely.LineString(points), shapely.Polygon(blank.polygon_mm()))
    return [line(one.coords) for one in shapely.get_parts(cut) if one.geom_type == "LineString"]


def steps(blank: Blank, grid_mm: float) -> tuple[Floats, Floats]:
    """Return x and y of the grid's lines."""
    reach = np.floor(0.5 * blank.width_mm / grid_mm + 1e-9)
    across = grid_mm * np.arange(-reach, reach + 1)
    return across, grid_mm * np.arange(0, np.floor(blank.depth_mm / grid_mm + 1e-9) + 1)


def _grid(blank: Blank, grid_mm: float) -> DrawingLayer:
    half = 0.5 * blank.width_mm
    across, along = steps(blank, grid_mm)
    up = [line([(x, 0.0), (x, blank.depth_mm)]) for x in across]
    over = [line([(-half, y), (half, y)]) for y in along]
    return DrawingLayer("grid", ink.GRID, tuple(up + over))


def _grid_figures(blank: Blank, grid_mm: float, speech: Speech) -> DrawingLayer:
    half = 0.5 * blank.width_mm
    across, along = steps(blank, grid_mm)
    under = [words(_figure(abs(x), speech), x, -GRID_WORDS_MM - 3.0, ink.TINY, "middle") for x in across]
    beside = [words(_figure(y, speech), -half - GRID_WORDS_MM, y - 0.8, ink.TINY, "right") for y in along]
    return DrawingLayer("grid figures", ink.THIN, tuple(under + beside))


def _figure(mm: float, speech: Speech) -> str:
    """Return a length as the grid bears it: without its unit in mm, with it in inches."""
    return f"{mm:g}" if speech.units == "mm" else speech.length(mm)


def _gutter(blank: Blank, half: float) -> list[Item]:
    if blank.gutter_depth_mm <= 0.0:
        return []
    return _ahead_line(blank, blank.gutter_width_mm, half)


def _ahead_line(blank: Blank, ahead_mm: float, half: float) -> list[Item]:
    """Return the line at a distance ahead of the deck line, cut at the outline."""
    if not blank.deck_is_curved:
        row = blank.deck_mm + ahead_mm
        return inside(blank, [(-half - OVER_MM, row), (half + OVER_MM, row)])
    x = np.arange(-half - DECK_GRID_MM, half + 2.0 * DECK_GRID_MM, DECK_GRID_MM)
    y = np.arange(-DECK_GRID_MM, blank.depth_mm + 2.0 * DECK_GRID_MM, DECK_GRID_MM)
    ahead = blank.ahead_of_deck_mm(x[None, :], y[:, None])
    whole = shapely.Polygon(blank.polygon_mm())
    lines = contour_generator(x, y, ahead, line_type=LineType.Separate).lines(ahead_mm)
    parts = [part for one in lines for part in shapely.get_parts(shapely.LineString(one).intersection(whole))]
    return [line(one.coords) for one in parts if one.geom_type == "LineString"]


def _joints(blank: Blank) -> list[Item]:
    out: list[Item] = []
    for joint in blank.joints:
        run = axis_run_mm(joint, blank.depth_mm, blank.thickness_mm)
        for sign in (1.0, -1.0) if joint.side == "both" else (1.0,):
            out += [line(ring * [sign, 1.0], closed=True) for ring in rings_mm(joint)]
            if run is not None:
                out.append(line(run * [sign, 1.0]))
    return out
