"""How well triangles fit the carved surface: how far they part from it, and how far they turn from it."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.solids.plan.triangulate import edges_of
from seatmesh.surface import Seat

STEEP = 1.0
"""A slope of up to 60 degrees, that of the front roll, is one part up and no more than this many parts over: to it
distances count straight up, beyond it more and more square to the facet."""

ON_LIP_MM = 0.01
"""More than chords of a gutter's lips lie off them."""

BY_LIP_MM = 0.1

LEAST_TURNING_EDGE_MM = 2.0
"""Shorter edges are asked for no more direction: across a step or a corner that no edge keeps none is ever right."""

SLOPE_STEP_MM = 1e-3

_LATTICE = [(i, j, 4 - i - j) for i in range(5) for j in range(5 - i) if max(i, j, 4 - i - j) < 4]
SAMPLES = np.array(_LATTICE) / 4.0
"""Twelve points of a triangle by their shares of its corners: three on each edge and three inside."""

SAMPLED_SHARE = 0.75
"""Sampled distances are held to this share of the tolerance, since the greatest one falls between samples:
where the hollow's edge crosses a triangle it was up to 1.3 times the sampled one."""

INNER = SAMPLES[(SAMPLES > 0.0).all(axis=1)]


def heights(seat: Seat, x: Floats, y: Floats, sides: int = 2) -> Floats:
    """Return z ahead of the deck line at (x, y) and at its mirror image (-x, y), in a last axis; or the first alone.

    Close to its lips a gutter is taken to be narrower by up to `ON_LIP_MM`: places on its lip lie beside it, whatever
    rounding says.
    """
    blank = seat.blank
    if blank.gutter_depth_mm <= 0.0:
        return -np.stack([seat.carved_depth_mm(sign * x, y) for sign in (1.0, -1.0)[:sides]], axis=-1)
    half = 0.5 * blank.gutter_width_mm
    off = blank.ahead_of_deck_mm(x, y) - half
    off += np.copysign(ON_LIP_MM * np.clip(1.0 - (half - np.abs(off)) / BY_LIP_MM, 0.0, 1.0), off)
    return -np.stack([seat.carved_at_mm(sign * x, y, off + half) for sign in (1.0, -1.0)[:sides]], axis=-1)


def turned_rad(seat: Seat, vertices: Floats, faces: Ints) -> Floats:
    """Return the angle between surface and triangle at three samples inside it, on both sides the greater, shape (m,).

    Zero for a triangle without an edge longer than `LEAST_TURNING_EDGE_MM`.
    """
    turn, sides = np.zeros(len(faces)), vertices.shape[1] - 2
    ends = vertices[edges_of(faces), :2]
    longest = np.sqrt(((ends[:, :, 0] - ends[:, :, 1]) ** 2).sum(axis=-1)).max(axis=1)
    long = np.flatnonzero(longest > LEAST_TURNING_EDGE_MM)
    corner = vertices[faces[long]]
    x_slope, y_slope = _slopes(corner)
    for share in INNER:
        x, y = np.einsum("i,mij->jm", share, corner[..., :2])
        ahead, behind = (
            heights(seat, x + SLOPE_STEP_MM, y, sides),
            heights(seat, x - SLOPE_STEP_MM, y, sides),
        )
        x_rise = (ahead - behind) / (2.0 * SLOPE_STEP_MM)
        ahead, behind = (
            heights(seat, x, y + SLOPE_STEP_MM, sides),
            heights(seat, x, y - SLOPE_STEP_MM, sides),
        )
        y_rise = (ahead - behind) / (2.0 * SLOPE_STEP_MM)
        dot = 1.0 + x_slope * x_rise + y_slope * y_rise
        size = np.sqrt((1.0 + x_slope**2 + y_slope**2) * (1.0 + x_rise**2 + y_rise**2))
        turn[long] = np.maximum(turn[long], np.arccos(np.clip(dot / size, -1.0, 1.0)).max(axis=1))
    return turn


def _slopes(corner: Floats) -> tuple[Floats, Floats]:
    """Return how triangles, shape (m, 3, 4), rise along x and along y, on the right and on the left, shapes (m, 2)."""
    along, across = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    area = (along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0])[:, None]
    x_slope = (along[:, 2:] * across[:, 1:2] - across[:, 2:] * along[:, 1:2]) / area
    y_slope = (across[:, 2:] * along[:, :1] - along[:, 2:] * across[:, :1]) / area
    return x_slope, y_slope


def parted_mm(seat: Seat, vertices: Floats, faces: Ints) -> Floats:
    """Return how far mesh and surface part at each triangle's samples, both sides, shape (m,).

    Straight up, and in a gutter's steep side, where that is much less, rather square to the triangle. Beside a steep
    wall even that is too much; but no farther off in plan than its longest edge a triangle passes the height of the
    surface, or comes as near to it as its heights reach.
    """
    corner = vertices[faces]
    at = np.einsum("ki,mij->mkj", SAMPLES, corner)
    height = heights(seat, at[..., 0], at[..., 1], vertices.shape[1] - 2)
    x_slope, y_slope = _slopes(corner)
    steep = np.maximum(1.0, np.sqrt(1.0 + x_slope**2 + y_slope**2) - STEEP)
    square = np.abs(height - at[..., 2:]) / steep[:, None]
    low, high = corner[:, None, :, 2:].min(axis=2), corner[:, None, :, 2:].max(axis=2)
    beyond = np.maximum(np.maximum(low - height, height - high), 0.0)
    ends = vertices[edges_of(faces), :2]
    longest = np.sqrt(((ends[:, :, 0] - ends[:, :, 1]) ** 2).sum(axis=-1)).max(axis=1)
    return np.asarray(np.minimum(square, beyond + longest[:, None, None]).max(axis=(1, 2)))
