"""Hexahedra of the right half of a seated body: flesh between skin and a level cut at hip height, bones left out.

Columns stand on a plan grid, fine about the sit bone; layers run from the skin to the cut. Nodes next to the surface of
a bone are moved onto it, so that bones are as round as their nodes allow; nodes inside bone belong to it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RegularGridInterpolator
from scipy.ndimage import distance_transform_edt

from seatmesh.body.figure.seated import SeatedBody
from seatmesh.body.figure.shapes import Ellipsoid, TaperedCapsule

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

LEAST_COLUMN_MM = 30.0
"""Columns shorter than this, at the sides, are left out: the flesh ends in an upright face there."""
CORNERS = ((0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0), (0, 0, 1), (1, 0, 1), (1, 1, 1), (0, 1, 1))


@dataclass(frozen=True)
class FleshMesh:
    """Flesh of half a body, in the body's frame, mm.

    Attributes
    ----------
    points
        Nodes, shape (n, 3).
    cells
        Hexahedra, shape (m, 8): the lower four against the clock, then the upper four.
    skin
        Faces of the underside, shape (f, 4), as nodes.
    bone, cut, middle
        Which nodes belong to bone, to the cut and to the plane of symmetry; shape (n,).
    lines
        Places of the grid's lines across, along and through the layers (0 to 1).
    steps
        Which lines each node lies on, shape (n, 3).
    """

    points: Floats
    cells: Ints
    skin: Ints
    bone: Bools
    cut: Bools
    middle: Bools
    lines: tuple[Floats, Floats, Floats]
    steps: Ints

    def carried_over(self, moves: Floats, other: FleshMesh) -> Floats:
        """Return displacements (n, 3) of this mesh's nodes at the nodes of another mesh of the same body."""
        shape = tuple(len(line) for line in self.lines)
        known = np.zeros(shape, dtype=bool)
        known[tuple(self.steps.T)] = True
        field = np.zeros((*shape, 3))
        field[tuple(self.steps.T)] = moves
        # Places without flesh take the displacement of the nearest node that has some.
        nearest = distance_transform_edt(~known, return_distances=False, return_indices=True)
        at = np.stack([line[step] for line, step in zip(other.lines, other.steps.T, strict=True)], axis=1)
        return np.asarray(RegularGridInterpolator(self.lines, field[tuple(nearest)])(at))


def flesh_mesh(seated: SeatedBody, fineness: float = 1.0, cut_mm: float | None = None) -> FleshMesh:
    """Return the mesh of the right half; `fineness` 2 halves every spacing, `cut_mm` is the cut's height."""
    top = seated.hip[2] if cut_mm is None else cut_mm
    x, y = _lines_across(seated, fineness), _lines_along(seated, fineness)
    columns_x, columns_y = np.meshgrid(x, y, indexing="ij")
    skin = seated.fields(columns_x.ravel(), columns_y.ravel()).skin.reshape(columns_x.shape)
    tall = top - skin
    layers = _layers(fineness)
    z = (
        np.minimum(skin, top - 0.5 * LEAST_COLUMN_MM)[..., None]
        + np.maximum(tall, 0.5 * LEAST_COLUMN_MM)[..., None] * layers
    )
    points = np.stack(np.broadcast_arrays(columns_x[..., None], columns_y[..., None], z), axis=-1)
    stands = tall > LEAST_COLUMN_MM
    cell_stands = stands[:-1, :-1] & stands[1:, :-1] & stands[1:, 1:] & stands[:-1, 1:]
    moved, inside = _onto_bones(points, seated)
    numbers = np.arange(points[..., 0].size).reshape(points.shape[:3])
    cells = np.stack(
        [numbers[i : i + len(x) - 1, j : j + len(y) - 1, k : k + len(layers) - 1] for i, j, k in CORNERS],
        axis=-1,
    )
    kept = np.broadcast_to(cell_stands[..., None], cells.shape[:3]) & ~inside.ravel()[cells].all(axis=-1)
    used_cells = cells[kept]
    bottom = cells[:, :, 0][kept[:, :, 0]][:, :4]
    used, inverse = np.unique(used_cells, return_inverse=True)
    renumber = np.full(numbers.size, -1)
    renumber[used] = np.arange(len(used))
    flat = moved.reshape(-1, 3)[used]
    on_cut = np.zeros(numbers.shape, dtype=bool)
    on_cut[..., -1] = True
    return FleshMesh(
        points=flat,
        cells=inverse.reshape(used_cells.shape),
        skin=renumber[bottom],
        bone=inside.ravel()[used],
        cut=on_cut.ravel()[used],
        middle=flat[:, 0] < 1e-9,
        lines=(x, y, layers),
        steps=np.stack(np.unravel_index(used, numbers.shape), axis=1),
    )


def _graded(stops: list[tuple[float, float]]) -> Floats:
    """Return lines from the first stop to the last, each stretch in equal steps no longer than its second number."""
    lines = [np.array([stops[0][0]])]
    for (begin, _), (end, step) in pairwise(stops):
        count = max(int(np.ceil((end - begin) / step - 1e-9)), 1)
        lines.append(np.linspace(begin, end, count + 1)[1:])
    return np.concatenate(lines)


def _lines_across(seated: SeatedBody, fineness: float) -> Floats:
    middle = seated.anatomy.sit_bone_x
    side = max(
        seated.anatomy.hip_half_breadth * 1.2, seated.knee_x + 1.25 * seated.anatomy.thigh_half_widths[0]
    )
    return _graded(
        [
            (0.0, 0.0),
            (middle - 24.0, 8.0 / fineness),
            (middle + 24.0, 5.4 / fineness),
            (middle + 60.0, 9.0 / fineness),
            (side, 13.0 / fineness),
        ]
    )


def _lines_along(seated: SeatedBody, fineness: float) -> Floats:
    back = seated.anatomy.buttock_back * 1.2
    return _graded(
        [
            (back, 0.0),
            (-38.0, 11.0 / fineness),
            (38.0, 6.4 / fineness),
            (90.0, 10.5 / fineness),
            (seated.knee_back_y + 20.0, 19.0 / fineness),
        ]
    )


def _layers(fineness: float) -> Floats:
    """Return the heights of the layers over the column's, from 0 to 1: finer toward the skin."""
    count = round(13 * fineness)
    even = np.linspace(0.0, 1.0, count + 1)
    return np.asarray(even * (0.62 + 0.38 * even))


def bone_distance(seated: SeatedBody, points: Floats) -> Floats:
    """Return how far points (n, 3) lie outside the nearest bone, negative inside, mm: to first order."""
    nearest = np.full(len(points), np.inf)
    for bone in seated.bones.values():
        if isinstance(bone, Ellipsoid):
            scaled = (points - np.asarray(bone.centre)) / np.asarray(bone.semi_axes)
            reach = np.linalg.norm(scaled, axis=1)
            steep = np.linalg.norm(scaled / np.asarray(bone.semi_axes), axis=1)
            distance = reach * (reach - 1.0) / np.maximum(steep, 1e-9)
        else:
            distance = _from_capsule(bone, points)
        nearest = np.minimum(nearest, distance)
    return nearest


def _from_capsule(bone: TaperedCapsule, points: Floats) -> Floats:
    start, axis = np.asarray(bone.start), np.asarray(bone.end) - np.asarray(bone.start)
    along = np.clip((points - start) @ axis / (axis @ axis), 0.0, 1.0)
    radius = bone.half_widths[0] + along * (bone.half_widths[1] - bone.half_widths[0])
    return np.asarray(np.linalg.norm(points - start - along[:, None] * axis, axis=1) - radius)


def _onto_bones(points: Floats, seated: SeatedBody) -> tuple[Floats, Bools]:
    """Move the nodes next to a bone's surface onto it; return all nodes, and which are on or inside bone."""
    shape = points.shape[:3]
    flat = points.reshape(-1, 3)
    distance = bone_distance(seated, flat)
    slope = _slope(seated, flat)
    # Of the two ends of an edge that crosses the surface one lies within half of the edge's climb: that one is moved.
    spacing = np.stack([np.abs(np.gradient(points[..., axis], axis=axis)) for axis in range(3)], axis=-1)
    climb = (np.abs(slope) * spacing.reshape(-1, 3)).max(axis=1)
    near = np.abs(distance) <= 0.5 * climb
    free = np.ones(shape, dtype=bool)
    free[..., 0] = free[..., -1] = False
    near &= free.ravel()
    moved = flat.copy()
    sideways = np.ones_like(flat)
    sideways[flat[:, 0] < 1e-9, 0] = 0.0
    where = np.flatnonzero(near)
    for _ in range(3):
        step = bone_distance(seated, moved[where])[:, None] * _slope(seated, moved[where])
        moved[where] -= step * sideways[where]
    inside = (distance <= 0.0) | near
    return moved.reshape(points.shape), inside.reshape(shape)


def _slope(seated: SeatedBody, points: Floats) -> Floats:
    """Return the outward direction of the distance to bone, shape (n, 3)."""
    slope = np.stack(
        [
            bone_distance(seated, points + step) - bone_distance(seated, points - step)
            for step in 0.01 * np.eye(3)
        ],
        axis=1,
    )
    return np.asarray(slope / np.maximum(np.linalg.norm(slope, axis=1, keepdims=True), 1e-12))
