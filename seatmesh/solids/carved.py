"""The carved blank as a closed solid: top face, edge along the outline, underside."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely

from seatmesh.arrays import Floats, Ints
from seatmesh.errors import ValueRefusedError
from seatmesh.mesh import Mesh
from seatmesh.solids.edge import between, columns_at, half_ring_mm
from seatmesh.solids.plan.triangulate import border
from seatmesh.solids.round_over import rim_ring_mm, round_rings
from seatmesh.solids.top_face import TopFace, top_face
from seatmesh.solids.underside import underside
from seatmesh.surface import Seat

FINEST_TOLERANCE_MM = 0.005


def solid(seat: Seat, tolerance_mm: float = 0.1, angle_deg: float = 15.0) -> Mesh:
    """Return the carved blank as a closed mesh in the frame of the blank, mm.

    The top face lies at z = -depth, the walls stand upright on the outline, the underside is flat at z = -thickness. A
    round along the top edge falls from what is carved there as a quarter circle does, an under-bevel is flat along each
    side of the outline. Joint holes are not cut: see `seatmesh.solids.holes`. Vertices mirror each other
    about the centre line in plan, on a symmetric seat in height too; deck line, gutter, start of the front roll
    and the hollow's edge are edges. Vertices of the top face lie on the surface; in between, mesh and surface part by
    no more than `tolerance_mm`, by sampling, and in direction by no more than `angle_deg` unless a facet
    is smaller than 2 mm. `measured_distance_mm` measures what came out.

    Raises
    ------
    ValueRefusedError
        The tolerance is not a number of 0.005 mm or more, the angle not one of 1 to 90 degrees, or the hollow goes
        through the blank.
    NotSolvedError
        The tolerance was not reached within the limits of refinement.

    Examples
    --------
    >>> from seatmesh import Adjustment, Seat, is_closed, solid
    >>> mesh = solid(Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 10.0),)), tolerance_mm=1.0)
    >>> is_closed(mesh)
    True
    """
    if not (math.isfinite(tolerance_mm) and tolerance_mm >= FINEST_TOLERANCE_MM):
        raise ValueRefusedError(
            "tolerance_mm",
            tolerance_mm,
            f"allowed is {FINEST_TOLERANCE_MM} mm or coarser",
            "give a distance that a carver or a printer can hold, such as 0.1",
        )
    if not 1.0 <= angle_deg <= 90.0:
        raise ValueRefusedError(
            "angle_deg", angle_deg, "allowed is 1 to 90", "give 15, or 90 to leave it to the distance"
        )
    angle = math.radians(angle_deg)
    corners = half_ring_mm(seat, seat.blank.round_over_mm)
    top = top_face(seat, rim_ring_mm(seat, tolerance_mm, angle), tolerance_mm, angle)
    _refuse_through(seat, top.vertices)
    return _mirrored(*_closed(seat, top, corners, tolerance_mm, angle), top.same)


def _refuse_through(seat: Seat, top: Floats) -> None:
    """Refuse a surface that comes down to the underside anywhere."""
    x, y = top[:, 0], top[:, 1]
    left = seat.blank.wood_under_mm(x, y, -top[:, 2:].min(axis=1))
    thinnest = int(np.argmin(left))
    if not left[thinnest] > 0.0:
        depth = -float(top[thinnest, 2:].min())
        allowed = depth + float(left[thinnest])
        raise ValueRefusedError(
            "greatest depth",
            f"{depth:.2f} mm",
            f"allowed is less than the wood there, {allowed:g} mm"
            if seat.blank.has_bevel
            else f"allowed is less than the blank's thickness of {seat.blank.thickness_mm:g} mm",
            "make the hollow shallower or the blank thicker",
        )


def surface_volume_mm3(seat: Seat, step_mm: float = 2.0) -> float:
    """Return the wood between surface and underside inside the outline, mm3, without any mesh.

    Midpoint rule over cells of about `step_mm`, each weighed by its share inside the outline and taken at the
    centre of that share; cells end on the crease lines.
    """
    outline = shapely.Polygon(seat.blank.polygon_mm())
    left, rear, right, front = outline.bounds
    x = _stations([left, 0.0, right], step_mm)
    breaks = {rear, seat.blank.deck_mm, seat.roll_start_mm, front}
    y = _stations(sorted(b for b in breaks if rear <= b <= front), step_mm)
    cells = shapely.box(x[None, :-1], y[:-1, None], x[None, 1:], y[1:, None]).ravel()
    shapely.prepare(outline)
    whole = shapely.contains(outline, cells)
    parts = np.concatenate([cells[whole], shapely.intersection(outline, cells[~whole])])
    parts = parts[shapely.area(parts) > 0.0]
    middle = shapely.centroid(parts)
    depth = seat.depth_mm(shapely.get_x(middle), shapely.get_y(middle))
    wood = float(np.sum((seat.blank.thickness_mm - depth) * shapely.area(parts)))
    return wood - _edge_volume_mm3(seat, outline)


def _edge_volume_mm3(seat: Seat, outline: shapely.Polygon) -> float:
    """Return what round-over and under-bevel take: their fall over the length of each ring inside the outline."""
    blank, taken = seat.blank, 0.0
    radius = blank.round_over_mm
    nodes, weights = np.polynomial.legendre.leggauss(24)
    share = 0.5 * (nodes + 1.0)
    if radius > 0.0:
        # Over the angle the quarter circle is smooth.
        turn = 0.5 * np.pi * share
        inside, step = radius * (1.0 - np.sin(turn)), 0.25 * np.pi * weights * radius * np.cos(turn)
        fall = radius * (1.0 - np.cos(turn))
        taken += sum(_ring_length(outline, d) * f * w for d, f, w in zip(inside, fall, step, strict=True))
    if blank.has_bevel:
        width, height = blank.under_bevel_width_mm, blank.under_bevel_height_mm
        taken += sum(
            _ring_length(outline, width * s) * height * (1.0 - s) * 0.5 * width * w
            for s, w in zip(share, weights, strict=True)
        )
    return float(taken)


def _ring_length(outline: shapely.Polygon, inside_mm: float) -> float:
    return float(shapely.length(shapely.buffer(outline, -inside_mm, join_style="mitre", mitre_limit=100.0)))


def _stations(breaks: Sequence[float], step: float) -> Floats:
    pieces = [
        np.linspace(a, b, max(1, math.ceil((b - a) / step)), endpoint=False) for a, b in pairwise(breaks)
    ]
    return np.append(np.concatenate(pieces), breaks[-1])


def _closed(
    seat: Seat, top: TopFace, corners: Floats, tolerance_mm: float, angle_rad: float
) -> tuple[Floats, Ints]:
    """Close the right half of the top face with edge and underside, leaving it open along the centre line.

    Vertices returned have columns x, y, z right, z left; `corners` is the ring of the top face's rim, a point for each
    of the outline's.
    """
    rim = _rim(top.vertices, top.faces)
    at, place = columns_at(top.vertices[rim, :2], corners)
    vertices, faces, upper = [top.vertices], [top.faces], rim[place]
    count = len(top.vertices)
    for ring, next_ring in pairwise(round_rings(seat, tolerance_mm, angle_rad)):
        lower = count + np.arange(len(next_ring.at))
        faces.append(between(upper, at, lower, next_ring.beside(ring)))
        vertices.append(next_ring.points)
        count, upper, at = count + len(lower), lower, next_ring.at
    below = underside(seat.blank, tolerance_mm)
    foot = _rim(below.points, below.faces[:, ::-1])
    foot_at, place = columns_at(below.points[foot, :2], half_ring_mm(seat, 0.0))
    _refuse_thin_edge(np.vstack(vertices)[upper], at, below.points[foot[place]], foot_at)
    faces += [between(upper, at, count + foot[place], foot_at), count + below.faces]
    vertices.append(below.points[:, [0, 1, 2, 2]])
    return np.vstack(vertices), np.vstack(faces)


def _refuse_thin_edge(head: Floats, head_at: Floats, foot: Floats, foot_at: Floats) -> None:
    """Refuse a wall of which nothing upright is left between the top face, with its round, and the underside."""
    left = head[:, 2:].min(axis=1) - np.interp(head_at, foot_at, foot[:, 2])
    thinnest = int(np.argmin(left))
    if not left[thinnest] > 0.0:
        x, y = head[thinnest, :2]
        raise ValueRefusedError(
            "wood at the edge",
            f"{left[thinnest]:.2f} mm at x {x:.0f}, y {y:.0f}",
            "allowed is more than 0 between what is carved and rounded from above and the underside",
            "make round_over_mm, under_bevel_height_mm or the front roll smaller",
        )


def _rim(points: Floats, faces: Ints) -> Ints:
    """Return the vertices along the outline, in order from rear to front end of the centre line."""
    edges = border(faces)
    edges = edges[np.any(points[edges, 0] > 0.0, axis=1)]
    follower = dict(edges.tolist())
    (first,) = set(follower) - set(follower.values())
    chain = [first]
    while chain[-1] in follower:
        chain.append(follower[chain[-1]])
    return np.array(chain, dtype=np.int64)


def _mirrored(vertices: Floats, faces: Ints, same: Ints) -> Mesh:
    """Join the right half to its mirror image along the centre line.

    `same`, shape (k, 2), says which of the first vertices are to be drawn to others, on the right and on the left.
    """
    own = vertices[:, 0] > 0.0
    image = np.where(own, len(vertices) + np.arange(len(vertices)), np.arange(len(vertices)))
    right, left = (_drawn_to(faces, one) for one in same.T)
    both = vertices[:, [0, 1, 3]] * np.array([-1.0, 1.0, 1.0])
    corners = np.vstack([right, image[left][:, ::-1]])
    used, number = np.unique(corners, return_inverse=True)
    return Mesh(np.vstack([vertices[:, :3], both])[used], number.reshape(corners.shape))


def _drawn_to(faces: Ints, same: Ints) -> Ints:
    if np.array_equal(same, np.arange(len(same))):
        return faces
    most = max(int(faces.max()) + 1, len(same))
    drawn = np.append(same, np.arange(len(same), most))[faces]
    return np.asarray(drawn[(drawn != np.roll(drawn, 1, axis=1)).all(axis=1)])
