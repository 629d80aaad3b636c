"""Where tools can go: the least concave radius everywhere in a hollow, against the maker's own list of tools."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seatmesh.arrays import Floats
from seatmesh.surface import Seat
from seatmesh.wood.outline.shapes import contains

STEP_MM = 2.0
FLATTEST_MM = 5000.0
"""A radius greater than this counts as flat."""


@dataclass(frozen=True)
class Tool:
    """A tool by its name and the radius of its sole, disc or blade, mm: it follows no tighter hollow.

    Examples
    --------
    >>> from seatmesh import Tool
    >>> Tool("round-bottomed plane", 150.0).radius_mm
    150.0
    """

    name: str
    radius_mm: float


@dataclass(frozen=True)
class Reach:
    """How far a tool goes in a hollow.

    Attributes
    ----------
    share
        Of the hollow's plan area, 0 to 1, that the tool reaches.
    tightest_mm
        The least concave radius of the hollow, and where it is: radius, x, y.
    too_tight
        Shape (ny, nx) over `x_mm` and `y_mm`: where it cannot go.
    """

    tool: Tool
    share: float
    tightest_mm: tuple[float, float, float]
    x_mm: Floats
    y_mm: Floats
    too_tight: NDArray[np.bool_]


def concave_radius_mm(seat: Seat, x_mm: Floats, y_mm: Floats) -> Floats:
    """Return the least concave radius at columns (nx,) and rows (ny,), shape (ny, nx); infinite where none is concave.

    From the greater principal curvature of the surface, by central differences of its depth; creases have none of
    their own (the hollow's edge, the deck line, the start of the front roll).
    """
    step = 0.5
    x, y = x_mm[None, :], y_mm[:, None]

    def depth(dx: float, dy: float) -> Floats:
        return seat.depth_mm(x + dx * step, y + dy * step)

    here = depth(0, 0)
    east, west, north, south = depth(1, 0), depth(-1, 0), depth(0, 1), depth(0, -1)
    by_x, by_y = (east - west) / (2 * step), (north - south) / (2 * step)
    xx, yy = (east - 2 * here + west) / step**2, (north - 2 * here + south) / step**2
    corners = depth(1, 1), depth(1, -1), depth(-1, 1), depth(-1, -1)
    xy = (corners[0] - corners[1] - corners[2] + corners[3]) / (4 * step**2)
    # Second form of z = -depth; a bowl has positive curvatures seen from above.
    slope = 1.0 + by_x**2 + by_y**2
    mean = -((1 + by_y**2) * xx - 2 * by_x * by_y * xy + (1 + by_x**2) * yy) / (2 * slope**1.5)
    gauss = (xx * yy - xy**2) / slope**2
    tightest = mean + np.sqrt(np.maximum(mean**2 - gauss, 0.0))
    radius = np.where(tightest > 1.0 / FLATTEST_MM, 1.0 / np.maximum(tightest, 1e-9), np.inf)
    inside = np.minimum.reduce([here, east, west, north, south, *corners]) > 0.0
    # The gutter along the deck line is cut with a gouge of its own.
    gutter = seat.blank.gutter_width_mm if seat.blank.gutter_depth_mm > 0.0 else 0.0
    ahead = seat.blank.ahead_of_deck_mm(x, y) > gutter + 2.0 * step
    behind = y < seat.blank.depth_mm - seat.front_roll_mm - step
    return np.asarray(np.where(inside & ahead & behind, radius, np.inf))


def reach_of(seat: Seat, tools: Sequence[Tool]) -> tuple[Reach, ...]:
    """Return how far each tool goes in a seat's hollow, adjustments and all; nothing for an uncarved seat."""
    if seat.hollow is None and not seat.adjustments:
        return ()
    x, y, radius, hollow = _radii(seat)
    tightest = _least(radius, x, y)
    out = []
    for tool in tools:
        tight = radius < tool.radius_mm
        out.append(Reach(tool, 1.0 - float(tight.sum() / max(hollow.sum(), 1)), tightest, x, y, tight))
    return tuple(out)


def tightest_of(seat: Seat) -> tuple[float, float, float]:
    """Return the least concave radius of a seat's hollow and where it is: radius, x, y; infinite where none is."""
    x, y, radius, _ = _radii(seat)
    return _least(radius, x, y)


def _radii(seat: Seat) -> tuple[Floats, Floats, Floats, NDArray[np.bool_]]:
    """Return columns, rows, the least concave radius of the hollow there, and where the hollow is."""
    half = 0.5 * seat.blank.width_mm
    x = np.arange(STEP_MM / 2, half, STEP_MM)
    x, y = np.concatenate([-x[::-1], x]), np.arange(STEP_MM / 2, seat.blank.depth_mm, STEP_MM)
    radius = concave_radius_mm(seat, x, y)
    wood = contains(seat.blank.polygon_mm(), x[None, :], y[:, None])
    hollow = wood & (seat.depth_mm(x[None, :], y[:, None]) > 0.0)
    radius = np.where(hollow, radius, np.inf)
    return x, y, radius, hollow


def _least(radius: Floats, x: Floats, y: Floats) -> tuple[float, float, float]:
    row, column = np.unravel_index(np.argmin(radius), radius.shape)
    return float(radius[row, column]), float(x[column]), float(y[row])
