"""What is asked of triangles in a gutter: places of the rolled-out sheet against the wood there, square to facets."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.solids.plan.gutter_sheet import GutterSheet
from seatmesh.surface import Seat

INSIDE_MM = 1e-12
"""On a lip the gutter is as deep as just inside it: where its sides stand upright that is not 0."""

STEP_MM = 1e-3


def gutter_points(seat: Seat, plan: Floats, ahead: Floats, sides: int) -> Floats:
    """Return places in a gutter, shape (n, 2), with their heights, shape (n, 2 + sides).

    `ahead`, shape (n,), is how far ahead of the deck line they lie by the sheet. That counts on the lips alone:
    whatever rounding says, places there lie on them. Elsewhere it is measured, since lines across the sheet bend
    at corners.
    """
    x, y = plan.T
    width = seat.blank.gutter_width_mm
    on_lip = (ahead <= 0.0) | (ahead >= width)
    inside = np.clip(np.where(on_lip, ahead, seat.blank.ahead_of_deck_mm(x, y)), INSIDE_MM, width - INSIDE_MM)
    heights = [-seat.carved_at_mm(sign * x, y, inside) for sign in (1.0, -1.0)[:sides]]
    return np.column_stack([plan, *heights])


def gutter_excess(
    seat: Seat,
    sheet: GutterSheet,
    at: Floats,
    faces: Ints,
    samples: Floats,
    limits: tuple[float, float, float],
    sides: int,
) -> Floats:
    """Return how many times over triangles miss what is asked of them, shape (m,).

    Parameters
    ----------
    at, faces
        Shapes (n, 2) and (m, 3): places of the sheet and triangles of them.
    samples
        Shape (s, 3): shares of a triangle's corners.
    limits
        Greatest distance, mm, greatest turn, rad, and the length of edges, mm, below which no turn is asked for.
    """
    most_mm, most_rad, short_mm = limits
    used, numbers = np.unique(faces, return_inverse=True)
    numbers = numbers.reshape(faces.shape)
    corners_at = at[used][numbers]

    def wood(places: Floats) -> Floats:
        flat = places.reshape(-1, 2)
        out = gutter_points(seat, sheet.plan(flat), sheet.ahead_mm(flat), sides)
        return out.reshape(*places.shape[:-1], 2 + sides)

    corners = wood(at[used])[numbers]
    places = np.einsum("ki,mij->mkj", samples, corners_at)
    away = wood(places) - np.einsum("ki,mij->mkj", samples, corners)
    inner = places[:, (samples > 0.0).all(axis=1)]
    ways = [
        wood(inner + STEP_MM * np.array(way)) - wood(inner - STEP_MM * np.array(way))
        for way in ((1.0, 0.0), (0.0, 1.0))
    ]
    ends = corners_at[:, [1, 2, 0]] - corners_at
    long = np.linalg.norm(ends, axis=2).max(axis=1) > short_mm
    out = np.zeros(len(faces))
    for side in range(sides):
        own = [0, 1, 2 + side]
        first, second = (corners[:, i][:, own] - corners[:, 0][:, own] for i in (1, 2))
        facet = _unit(np.cross(first, second))
        off = np.abs(np.einsum("mkj,mj->mk", away[..., own], facet)).max(axis=1)
        square = _unit(np.cross(ways[0][..., own], ways[1][..., own]))
        turn = np.arccos(np.clip(np.abs(np.einsum("mkj,mj->mk", square, facet)), 0.0, 1.0)).max(axis=1)
        out = np.maximum(out, np.maximum(off / most_mm, np.where(long, turn / most_rad, 0.0)))
    # A triangle that the bent sheet lays upside down in the plan is too large.
    (ux, uy), (vx, vy) = ((corners[:, i, :2] - corners[:, 0, :2]).T for i in (1, 2))
    plan_area = ux * vy - uy * vx
    return np.where(plan_area > 0.0, out, np.maximum(out, 2.0))


def _unit(vectors: Floats) -> Floats:
    return np.asarray(vectors / np.maximum(np.linalg.norm(vectors, axis=-1), 1e-300)[..., None])
