"""How far a mesh and the surface that it stands for part, measured at random points."""

from __future__ import annotations

from functools import partial

import numpy as np
from numpy.typing import NDArray

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.mesh import Mesh, facet_areas_mm2
from seatmesh.surface import Seat
from seatmesh.wood.round_over import round_over_drop

NEAR_MM = 0.03
"""Points as near as this straight up are not measured any closer."""

REACH_MM = 0.5
"""How far beside a place a point of the surface at the same height is looked for."""

UPRIGHT = 1e-9
"""A facet whose share of area seen from above is less stands upright."""

STEP_MM = 1e-4
SEED = 20
"""Fixed, so that the same mesh gives the same figure."""


def measured_distance_mm(mesh: Mesh, seat: Seat, samples: int = 100_000) -> float:
    """Return the greatest distance found between the top of a seat's full-size solid and its surface, mm.

    Points are taken at random, evenly over the plan of the facets that look up. The distance of each is that to a
    point of the surface close by: straight up, level or square to it, whichever is nearest; beside a step at the deck
    line that to the step's wall; in the round along the top edge that to the quarter circle. So it is never less than
    the true distance.

    Raises
    ------
    ValueRefusedError
        There are no samples to take, or the mesh has no facet that looks up.
    """
    corners = mesh.vertices_mm[mesh.faces]
    along, across = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = 0.5 * (along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0])
    up = area > UPRIGHT * facet_areas_mm2(mesh)
    top, area = corners[up], area[up]
    if samples < 1 or len(top) == 0:
        raise ValueRefusedError(
            "samples",
            samples,
            f"allowed is 1 or more, on a mesh that looks up; {len(top)} of its facets do",
            "give the mesh that seatmesh.solid made of the seat",
        )
    return float(_distances(_random_points(top, area, samples), seat).max())


def _distances(points: Floats, seat: Seat) -> Floats:
    x, y, z = points.T
    radius = seat.blank.round_over_mm
    distance = np.abs(z + _fall(seat, x, y))
    inside = seat.blank.inside_mm(x, y) if radius > 0.0 else np.full(len(x), np.inf)
    beside = np.flatnonzero(inside < radius)
    middle = -seat.depth_mm(x[beside], y[beside]) - radius
    distance[beside] = np.abs(np.hypot(radius - inside[beside], z[beside] - middle) - radius)
    for nearest, where in (
        (_square, inside >= radius),
        (_to_step, inside >= radius),
        (_level_with, inside > 0.0),
    ):
        far = np.flatnonzero((distance > NEAR_MM) & where)
        distance[far] = np.minimum(distance[far], nearest(points[far], seat))
    return np.asarray(distance)


def _fall(seat: Seat, x: Floats, y: Floats) -> Floats:
    """Return how far the surface lies below the blank's top face, with the round along its edge."""
    radius = seat.blank.round_over_mm
    depth = seat.depth_mm(x, y)
    if radius <= 0.0:
        return np.asarray(depth)
    return np.asarray(depth + round_over_drop(seat.blank.inside_mm(x, y), radius))


def _level_with(points: Floats, seat: Seat) -> Floats:
    """Return the distance to a point of the surface at the same height, up or down the slope or across the deck line.

    Infinite where there is none within `REACH_MM`.
    """
    x, y, _ = points.T
    nearest = np.full(len(points), np.inf)
    for field in (partial(_fall, seat), seat.blank.ahead_of_deck_mm):
        rise = np.column_stack([
            field(x + dx, y + dy) - field(x - dx, y - dy) for dx, dy in ((0.01, 0.0), (0.0, 0.01))
        ])  # fmt: skip
        along = rise / np.maximum(np.linalg.norm(rise, axis=1), 1e-300)[:, None]
        for sign in (REACH_MM, -REACH_MM):
            nearest = np.minimum(nearest, _crossing(points, seat, sign * along))
    return nearest


def _crossing(points: Floats, seat: Seat, along: Floats) -> Floats:
    """Return how far off, level and along a way, the surface is as high as the points; infinite beyond the way."""
    x, y, z = points.T

    def above(share: Floats) -> NDArray[np.bool_]:
        return np.asarray(z + _fall(seat, x + share * along[:, 0], y + share * along[:, 1]) > 0.0)

    low, high = np.zeros(len(points)), np.ones(len(points))
    here = above(low)
    crosses = above(high) != here
    for _ in range(14):
        half = 0.5 * (low + high)
        same = above(half) == here
        low, high = np.where(same, half, low), np.where(same, high, half)
    return np.where(crosses, high * np.linalg.norm(along, axis=1), np.inf)


def _square(points: Floats, seat: Seat) -> Floats:
    """Return the distance to the point of the surface that a line square to it meets, about; a point of it anyhow."""
    x, y, z = points.T
    at_x, at_y = x, y
    for _ in range(3):
        slope = [
            -(seat.carved_depth_mm(at_x + dx, at_y + dy) - seat.carved_depth_mm(at_x - dx, at_y - dy)) / (2.0 * STEP_MM)
            for dx, dy in ((STEP_MM, 0.0), (0.0, STEP_MM))
        ]  # fmt: skip
        rise = -seat.carved_depth_mm(at_x, at_y) + slope[0] * (x - at_x) + slope[1] * (y - at_y)
        share = (z - rise) / (1.0 + slope[0] ** 2 + slope[1] ** 2)
        at_x, at_y = x + share * slope[0], y + share * slope[1]
    return np.asarray(np.sqrt((x - at_x) ** 2 + (y - at_y) ** 2 + (z + seat.depth_mm(at_x, at_y)) ** 2))


def _to_step(points: Floats, seat: Seat) -> Floats:
    """Return the distance to the upright wall that the surface has at the deck line, from the top face down."""
    x, y, z = points.T
    ahead, blank = seat.blank.ahead_of_deck_mm(x, y), seat.blank
    across = (blank.ahead_of_deck_mm(x + STEP_MM, y) - blank.ahead_of_deck_mm(x - STEP_MM, y)) / (
        2.0 * STEP_MM
    )
    along = (blank.ahead_of_deck_mm(x, y + STEP_MM) - blank.ahead_of_deck_mm(x, y - STEP_MM)) / (
        2.0 * STEP_MM
    )
    foot = -seat.carved_depth_mm(x - ahead * across, y - ahead * along)
    beyond = np.maximum(np.maximum(foot - z, z), 0.0)
    return np.asarray(np.hypot(ahead, beyond))


def _random_points(corners: Floats, area: Floats, count: int) -> Floats:
    random = np.random.default_rng(SEED)
    ends = np.cumsum(area)
    facet = np.searchsorted(ends, random.uniform(0.0, ends[-1], count), side="right")
    share = random.dirichlet([1.0, 1.0, 1.0], size=count)
    return np.asarray(np.einsum("ki,kij->kj", share, corners[np.minimum(facet, len(corners) - 1)]))
