"""Stray parts: a clamp, a crumb, the bench under the seat; what does not hang together with the rest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from scipy import ndimage
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.errors import ValueRefusedError
from seatmesh.formats.scan_contents import Raw, no_faces
from seatmesh.reading.pose.samples import facet_samples

KEPT_SHARE = 0.1
"""A part with less than this share of the largest one's surface is a stray."""
TOGETHER = 0.5
"""Triangles whose kept parts have less than this share of all surface do not hang together at all."""
LEAST_LARGEST = 0.1
"""Nor do they where the largest part has less than this share: some programs write every triangle by itself."""
CELLS_ACROSS = 40
"""Points hang together where the cells that they lie in touch; so many cells across the middle 96 % of them."""
APART = 2.5
"""Least size of a cell over the usual distance between neighbours: a probe's points may lie far apart."""
MOST_AWAY = 3.0
"""Farther than this many such widths from the middle is stray."""


MANY_PARTS, MANY_SHARE = 30, 0.003
"""So many loose parts, or such a share of a list's points, are no crumbs: the scanner saw what is not there."""


@dataclass(frozen=True)
class Cleaned:
    """A scan without its strays, welded, and how many parts and points were left out."""

    raw: Raw
    parts_dropped: int
    points_dropped: int


def without_strays(raw: Raw) -> Cleaned:
    """Return the scan without parts that are small beside the largest one and do not touch it."""
    points, merged = _welded(raw.points)
    faces = merged[raw.faces] if len(raw.faces) else no_faces()
    if len(faces):
        label = _labels(len(points), faces)
        size = np.bincount(label[faces[:, 0]], weights=_areas(points, faces), minlength=label.max() + 1)
        kept = size >= KEPT_SHARE * size.max()
        if size.max() > LEAST_LARGEST * size.sum() and size[kept].sum() > TOGETHER * size.sum():
            return _cut_down(points, faces, kept[label] & np.isin(np.arange(len(points)), faces), size)
        return _loose_triangles(points, faces)
    label = _cell_labels(points)
    size = np.bincount(label + 1)[1:]
    if len(size) == 0:
        return Cleaned(Raw(points, no_faces(), raw.unit), 0, 0)
    kept = np.append(size >= KEPT_SHARE * size.max(), False)
    return _cut_down(points, no_faces(), kept[label], size)


def with_specks(refusal: ValueRefusedError, clean: Cleaned, planes: int) -> ValueRefusedError:
    """Return a refusal that also says where a scan holds many points that no surface made: others may be left in it.

    `planes` of its surroundings were cut away, whose points count among those dropped.
    """
    share = clean.points_dropped / (clean.points_dropped + len(clean.raw.points))
    if clean.parts_dropped < MANY_PARTS and (planes or len(clean.raw.faces) or share < MANY_SHARE):
        return refusal
    words = str(refusal).removeprefix(f"{refusal.name} = {refusal.given}: ")
    return ValueRefusedError(
        refusal.name,
        refusal.given,
        words,
        f"but it also holds {clean.points_dropped} points that hang together with nothing, and those near the seat "
        "were taken for wood: first clear it of loose points in the program that made it",
    )


def _loose_triangles(points: Floats, faces: Ints) -> Cleaned:
    """Return of triangles that share no corners those that lie together in space."""
    width = float(np.max(np.diff(np.quantile(points, [0.02, 0.98], axis=0), axis=0)))
    if width == 0.0:
        return Cleaned(Raw(points, faces), 0, 0)
    samples, facet = facet_samples(points, faces, 0.5 * width / CELLS_ACROSS)
    label = _cell_labels(samples)
    size = np.bincount(label + 1)[1:]
    if len(size) == 0:
        return Cleaned(Raw(points, faces), 0, 0)
    kept = np.append(size >= KEPT_SHARE * size.max(), False)[label]
    whole = np.bincount(facet, weights=~kept, minlength=len(faces)) == 0
    used = np.isin(np.arange(len(points)), faces[whole])
    return _cut_down(points, faces[whole], used, size)


def _welded(points: Floats) -> tuple[Floats, Ints]:
    """Return the different points, and which of them each was: like NumPy's unique over rows, and faster."""
    ranks = [np.unique(points[:, i], return_inverse=True)[1].astype(np.int64) for i in range(3)]
    _, plan = np.unique(ranks[0] * len(points) + ranks[1], return_inverse=True)
    _, first, which = np.unique(
        plan.astype(np.int64) * len(points) + ranks[2], return_index=True, return_inverse=True
    )
    return points[first], np.asarray(which, dtype=np.int64)


def _labels(count: int, faces: Ints) -> Ints:
    start, end = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    graph = sp.coo_array((np.ones(len(start), dtype=np.int8), (start, end)), shape=(count, count))
    return np.asarray(connected_components(graph, directed=False)[1], dtype=np.int64)


def _areas(points: Floats, faces: Ints) -> Floats:
    a, b, c = (points[faces[:, i]] for i in range(3))
    return np.asarray(0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=1))


def _cell_labels(points: Floats) -> Ints:
    """Return which heap of touching cells each point lies in, -1 for points far off."""
    low, middle, high = np.quantile(points, [0.02, 0.5, 0.98], axis=0)
    width = float(np.max(high - low))
    near = np.all(np.abs(points - middle) <= MOST_AWAY * width, axis=1)
    label = np.full(len(points), -1, dtype=np.int64)
    if width == 0.0 or not near.any():
        return label
    size = max(width / CELLS_ACROSS, APART * spacing_of(points[near]))
    cell = np.floor((points[near] - middle) / size).astype(np.int64)
    cell -= cell.min(axis=0) - 1
    shape = cell.max(axis=0) + 2
    filled = np.zeros(tuple(shape), dtype=bool)
    filled[tuple(cell.T)] = True
    heaps, _ = ndimage.label(filled, structure=np.ones((3, 3, 3)))
    label[near] = heaps[tuple(cell.T)] - 1
    return label


def spacing_of(points: Floats) -> float:
    """Return the usual distance of a point from its nearest neighbour."""
    some = points[:: max(1, len(points) // 2000)]
    nearest = np.asarray(cKDTree(points).query(some, k=min(2, len(points)))[0])
    return float(np.median(nearest.reshape(len(some), -1)[:, -1]))


def _cut_down(points: Floats, faces: Ints, kept: Bools, size: Floats | Ints) -> Cleaned:
    number = np.cumsum(kept) - 1
    faces = number[faces[kept[faces[:, 0]]]] if len(faces) else faces
    dropped = int(np.count_nonzero(size < KEPT_SHARE * size.max()) - np.count_nonzero(size == 0))
    return Cleaned(Raw(points[kept], faces), max(dropped, 0), int(np.count_nonzero(~kept)))
