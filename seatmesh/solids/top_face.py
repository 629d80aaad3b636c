"""The carved top face in triangles, as fine as a tolerance asks."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from seatmesh.errors import NotSolvedError
from seatmesh.solids.plan_mesh import fill_half, half_ring
from seatmesh.solids.triangulate import edges_of, halve_edges, longest_edge
from seatmesh.surface import ROLL_TURN, Seat

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FIRST_SPACING_MM = 10.0
"""Triangles to begin with: no longer than a span of the hollow's spline, so that no wave hides inside one."""

SAMPLED_SHARE = 0.75
"""Sampled distances are held to this share of the tolerance, since the greatest one falls between samples:
where the hollow's edge crosses a triangle it was up to 1.3 times the sampled one."""

LEAST_APART_MM = 0.2
"""Crease lines closer than this are left to refinement: edges along them would be as short."""

ROUNDS = 60
MOST_FACETS = 1_000_000
"""Facets on the right half at which refinement ends without an answer."""

_LATTICE = [(i, j, 4 - i - j) for i in range(5) for j in range(5 - i) if max(i, j, 4 - i - j) < 4]
_SAMPLES = np.array(_LATTICE) / 4.0
"""Twelve points of a triangle by their shares of its corners: three on each edge and three inside."""


def crease_lines_y_mm(seat: Seat) -> tuple[float, ...]:
    """Return the y of each straight line across the seat where its surface turns a corner, mm, rising.

    Left out are those that hardly part from the rear edge, the front edge or one another.
    """
    outline_y = seat.blank.polygon_mm()[:, 1]
    front = float(outline_y.max())
    kept = [float(outline_y.min())]
    for y in sorted((seat.blank.deck_mm, seat.blank.depth_mm - seat.front_roll_mm * math.sin(ROLL_TURN))):
        if y - kept[-1] > LEAST_APART_MM and front - y > LEAST_APART_MM:
            kept.append(y)
    return tuple(kept[1:])


def right_half(seat: Seat, tolerance_mm: float) -> tuple[Floats, Ints]:
    """Return the right half of the top face, with the height of its mirror image on the left beside its own.

    The plan is made once for both sides: an edge is halved while either side asks for it.

    Returns
    -------
    vertices, faces
        Shape (n, 4): x, y, z on the right, z on the left, mm, each vertex on the surface; shape (m, 3),
        counter-clockwise seen from above. Surface and triangles part by `tolerance_mm` at most, by sampling.

    Raises
    ------
    NotSolvedError
        The tolerance was not reached within the limits of refinement.
    """
    limit = SAMPLED_SHARE * tolerance_mm
    creases = crease_lines_y_mm(seat)
    points, faces = fill_half(half_ring(seat.blank.polygon_mm(), creases), creases, FIRST_SPACING_MM)
    vertices = np.column_stack([points, _heights(seat, points[:, 0], points[:, 1])])
    distance = _distance(seat, vertices, faces)
    for _ in range(ROUNDS):
        far = distance > limit
        if not far.any():
            return vertices, faces
        if len(faces) > MOST_FACETS:
            break
        marked = np.repeat((distance > 4.0 * limit)[:, None], 3, axis=1)
        marked[far, longest_edge(vertices, faces[far])] = True
        old = len(vertices)
        vertices, faces, source = halve_edges(vertices, faces, marked)
        vertices[old:, 2:] = _heights(seat, vertices[old:, 0], vertices[old:, 1])
        distance = np.where(source >= 0, distance[source], 0.0)
        distance[source < 0] = _distance(seat, vertices, faces[source < 0])
    raise NotSolvedError(
        f"the mesh was still {distance.max():.3g} mm off the surface with {2 * len(faces)} facets on top; "
        "give a coarser tolerance."
    )


def _heights(seat: Seat, x: Floats, y: Floats) -> Floats:
    """Return z at (x, y) and at its mirror image (-x, y), in a last axis of two."""
    return -np.stack([seat.depth_mm(x, y), seat.depth_mm(-x, y)], axis=-1)


def _distance(seat: Seat, vertices: Floats, faces: Ints) -> Floats:
    """Return a bound on how far mesh and surface part at each triangle's samples, both sides, shape (m,).

    Straight up, where that is less. Beside a step or a steep wall it is not; but no farther off in plan than
    its longest edge a triangle passes the height of the surface, or comes as near to it as its heights reach.
    """
    corner = vertices[faces]
    at = np.einsum("ki,mij->mkj", _SAMPLES, corner)
    height = _heights(seat, at[..., 0], at[..., 1])
    straight_up = np.abs(height - at[..., 2:])
    low, high = corner[:, None, :, 2:].min(axis=2), corner[:, None, :, 2:].max(axis=2)
    beyond = np.maximum(np.maximum(low - height, height - high), 0.0)
    ends = vertices[edges_of(faces), :2]
    longest = np.sqrt(((ends[:, :, 0] - ends[:, :, 1]) ** 2).sum(axis=-1)).max(axis=1)
    return np.asarray(np.minimum(straight_up, beyond + longest[:, None, None]).max(axis=(1, 2)))
