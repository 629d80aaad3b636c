"""Short grain: places where fibres run out within a short length, so that wood breaks off along them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.surface import Seat
from seatmesh.wood.boards.layup import Layup
from seatmesh.woodwork.mortise_end import mortise_ends

SHORT_MM = 70.0
"""A fibre shorter than this within the wood is short grain (common practice, from memory)."""
STEP_MM, MARCH_MM = 8.0, 3.0
LEAST_CELLS = 4
CORNER_SHARE = 0.25
OVER_MORTISE_MM = 10.0
"""Less wood between a mortise and the hollow over it is short grain whatever its fibres (common practice, from
memory)."""
POMMEL_MM = 3.0


@dataclass(frozen=True)
class ShortGrain:
    """A place of short grain.

    Attributes
    ----------
    what
        "front corner", "rear corner", "edge", "pommel" or "over a mortise".
    x_mm, y_mm
        Where it is shortest, or where a mortise leaves the least wood.
    length_mm
        Length of the fibre there within the wood; over a mortise the wood that is left, 0 where it breaks out.
    """

    what: str
    x_mm: float
    y_mm: float
    length_mm: float


def fibre_length_mm(seat: Seat, layup: Layup, points_mm: Floats, most_mm: float = 2.0 * SHORT_MM) -> Floats:
    """Return how long the fibre through each point, shape (n, 3), is in the wood, at most `most_mm` each way."""
    fibre = layup.fibre_at(points_mm[:, 0])
    whole = np.zeros(len(points_mm))
    for sign in (1.0, -1.0):
        inside = np.ones(len(points_mm), dtype=bool)
        for step in np.arange(MARCH_MM, most_mm + MARCH_MM, MARCH_MM):
            x, y, z = (points_mm + sign * step * fibre).T
            depth = seat.depth_mm(x, y)
            low = -seat.blank.thickness_mm + seat.blank.underside_rise_mm(x, y)
            inside &= (seat.blank.inside_mm(x, y) > 0.0) & (z <= -depth) & (z >= low)
            whole += np.where(inside, MARCH_MM, 0.0)
    return whole


def short_grain(seat: Seat, layup: Layup) -> tuple[ShortGrain, ...]:
    """Return the places of short grain: at corners and edges, on the pommel, and over mortises."""
    x, y = (axis.ravel() for axis in seat.blank.grid_mm(STEP_MM))
    across, along = (axis.ravel() for axis in np.meshgrid(x, y))
    wood = seat.blank.inside_mm(across, along) > 1.0
    across, along = across[wood], along[wood]
    depth = seat.depth_mm(across, along)
    low = -seat.blank.thickness_mm + seat.blank.underside_rise_mm(across, along)
    middle = np.column_stack([across, along, 0.5 * (low - depth)])
    found = _regions(seat, middle, fibre_length_mm(seat, layup, middle))
    return (*found, *_pommel(seat, layup), *_over_mortises(seat))


def _regions(seat: Seat, points: Floats, length: Floats) -> list[ShortGrain]:
    """Return the shortest place at each corner and edge that has enough of them."""
    out = []
    half, deep = 0.5 * seat.blank.width_mm, seat.blank.depth_mm
    for right in (False, True):
        side = (points[:, 0] > 0.0) == right
        front = points[:, 1] > (1.0 - CORNER_SHARE) * deep
        rear = points[:, 1] < CORNER_SHARE * deep
        outer = np.abs(points[:, 0]) > CORNER_SHARE * half
        for what, own in (
            ("front corner", side & front & outer),
            ("rear corner", side & rear & outer),
            ("edge", side & ~front & ~rear),
        ):
            short = own & (length < SHORT_MM)
            if short.sum() >= LEAST_CELLS:
                k = int(np.argmin(np.where(short, length, np.inf)))
                out.append(ShortGrain(what, float(points[k, 0]), float(points[k, 1]), float(length[k])))
    return out


def _pommel(seat: Seat, layup: Layup) -> list[ShortGrain]:
    """Return the pommel where fibres just under its crest run out soon."""
    y = np.arange(0.5 * seat.blank.depth_mm, seat.blank.depth_mm - 20.0, STEP_MM)
    beside = np.maximum(seat.depth_mm(60.0, y), seat.depth_mm(-60.0, y))
    crest = seat.depth_mm(0.0, y)
    ridge = beside - crest > POMMEL_MM
    if not ridge.any():
        return []
    points = np.column_stack([np.zeros(len(y)), y, -crest - POMMEL_MM])[ridge]
    length = fibre_length_mm(seat, layup, points)
    k = int(np.argmin(length))
    if length[k] >= SHORT_MM:
        return []
    return [ShortGrain("pommel", 0.0, float(points[k, 1]), float(length[k]))]


def _over_mortises(seat: Seat) -> list[ShortGrain]:
    """Return blind leg mortises that come close to the hollow."""
    out = []
    for joint in seat.blank.joints:
        if joint.kind != "leg mortise" or joint.depth_mm is None:
            continue
        out += [
            ShortGrain("over a mortise", end.x_mm, end.y_mm, max(end.left_mm, 0.0))
            for end in mortise_ends(seat, joint)
            if end.left_mm < OVER_MORTISE_MM
        ]
    return out
