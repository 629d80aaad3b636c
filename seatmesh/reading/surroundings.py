"""What stands round a seat in a scan is cut away, and named: a table, a floor, a wall, points that no surface made."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage
from scipy.spatial import cKDTree

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.formats.scan_contents import Raw, no_faces
from seatmesh.reading.placing import Plane
from seatmesh.reading.pose.rim_planes import axes_on, least_squares_plane
from seatmesh.reading.pose.samples import surface_samples, thinned
from seatmesh.reading.scan_size import greatest_length
from seatmesh.wood.blank import Blank

SEED = 5
STEP_MM = 6.0
MOST_SAMPLES = 40_000
SCORED = 3000
TRIES = 500
NEAR_MM = 250.0
"""Three points of one surface are drawn within this of one another."""
BANDS_MM = (4.0, 2.5, 1.5)
LEAST_SHARE = 0.03
"""A plane that fewer of the points lie on is none that a seat stands on."""
MOST_PLANES = 5
WIDER = 1.08
"""A flat patch longer than the blank by this is no face of it."""
LEAST_AREA = 0.08
"""Of the blank's plan: a patch with less is a strip."""
CELL_MM = 15.0
CLEAR_MM, CLEAR_SIGMAS = 1.5, 4.0
"""So near to such a plane everything is cut away."""
WINDOW_SPACINGS = 3.0
FEWEST_TOGETHER = 5
"""Fewer points in a window of nine spacings lie on no surface."""
MOST_CELLS = 12_000_000


@dataclass(frozen=True)
class Cleared:
    """A scan in mm without its surroundings: planes wider than the blank, and how many points were cut away."""

    raw: Raw
    planes: int
    points_cut: int


def without_surroundings(raw: Raw, mm: float, blank: Blank) -> Cleared:
    """Return a scan without planes that are wider than the blank, and a list without points that lie alone.

    `mm` is the length of the file's unit. What lies in such a plane, or so near to it that nobody can tell, is cut
    away; what stands on it is left.
    """
    points = raw.points * mm
    keep = np.ones(len(points), dtype=bool)
    if not len(raw.faces):
        keep = ~_lonely(points)
    planes = _wide_planes(points[keep] if not len(raw.faces) else points, raw.faces, blank)
    for plane, sigma in planes:
        keep &= np.abs(points @ plane.normal - plane.offset) > CLEAR_MM + CLEAR_SIGMAS * sigma
    if keep.all() or not keep.any():
        return Cleared(raw, 0, 0)
    number = np.cumsum(keep) - 1
    faces = number[raw.faces[keep[raw.faces].all(axis=1)]] if len(raw.faces) else no_faces()
    if len(raw.faces) and not len(faces):
        return Cleared(raw, 0, 0)
    return Cleared(Raw(raw.points[keep], faces, raw.unit), len(planes), int(np.count_nonzero(~keep)))


def plane_notes(planes: int) -> tuple[str, ...]:
    """Say that something flat and wider than the seat was cut away."""
    if planes == 0:
        return ()
    what = (
        "a flat surface wider than the seat" if planes == 1 else f"{planes} flat surfaces wider than the seat"
    )
    return (f"{what} (a table, a floor or a wall) was left out, with all that lies next to it",)


def _wide_planes(points: Floats, faces: Ints, blank: Blank) -> list[tuple[Plane, float]]:
    """Return the planes of a scan that reach farther than the blank, each with the scatter of its points."""
    left = thinned(surface_samples(points, faces, STEP_MM), MOST_SAMPLES)
    longest = greatest_length(np.column_stack([blank.polygon_mm(), np.zeros(len(blank.polygon_mm()))]))
    if len(left) < 100 or greatest_length(left) <= WIDER * longest:
        return []
    area = float(np.prod(blank.polygon_mm().max(axis=0) - blank.polygon_mm().min(axis=0)))
    rng, count = np.random.default_rng(SEED), len(left)
    found = []
    for _ in range(MOST_PLANES):
        plane = _fullest_plane(left, rng)
        if plane is None:
            break
        off = left @ plane.normal - plane.offset
        sigma = 1.4826 * float(np.median(np.abs(off[np.abs(off) < BANDS_MM[-1]])))
        own = np.abs(off) < CLEAR_MM + CLEAR_SIGMAS * sigma
        if np.count_nonzero(own) < LEAST_SHARE * count:
            break
        if _is_wide(left[own], plane, WIDER * longest, LEAST_AREA * area):
            found.append((plane, sigma))
        left = left[~own]
        if len(left) < 100:
            break
    return found


def _fullest_plane(points: Floats, rng: np.random.Generator) -> Plane | None:
    """Return of planes through three points near one another, drawn at random, the one that most points lie on."""
    some = points[rng.choice(len(points), min(SCORED, len(points)), replace=False)]
    tree = cKDTree(some)
    best, most = None, 0
    for first in rng.choice(len(some), TRIES):
        around = tree.query_ball_point(some[first], NEAR_MM)
        if len(around) < 3:
            continue
        a, (b, c) = some[first], some[rng.choice(around, 2)]
        normal = np.cross(b - a, c - a)
        length = float(np.linalg.norm(normal))
        if length < 1000.0:
            continue
        normal /= length
        count = int(np.count_nonzero(np.abs(some @ normal - normal @ a) < BANDS_MM[0]))
        if count > most:
            best, most = Plane(normal, float(normal @ a)), count
    if best is None:
        return None
    for band in BANDS_MM:
        own = np.abs(points @ best.normal - best.offset) < band
        if np.count_nonzero(own) < 12:
            return None
        best = least_squares_plane(points[own], best.normal)
    return best


def _is_wide(points: Floats, plane: Plane, length_mm: float, area_mm2: float) -> bool:
    """Tell whether the largest patch of points on a plane is longer and larger than a blank's face can be."""
    plan = points @ axes_on(plane.normal)[:2].T
    cell = np.floor((plan - plan.min(axis=0)) / CELL_MM).astype(np.int64)
    filled = np.zeros(cell.max(axis=0) + 1, dtype=bool)
    filled[cell[:, 0], cell[:, 1]] = True
    heaps, count = ndimage.label(filled, structure=np.ones((3, 3)))
    if count == 0:
        return False
    size = np.bincount(heaps.ravel())[1:]
    own = np.argwhere(heaps == 1 + int(np.argmax(size))) * CELL_MM
    flat = np.column_stack([own, np.zeros(len(own))])
    return bool(size.max() * CELL_MM**2 > area_mm2 and greatest_length(flat) + CELL_MM > length_mm)


def _lonely(points: Floats) -> Bools:
    """Tell which points of a list have hardly any others round them: no surface made them."""
    low, high = np.quantile(points[:: max(1, len(points) // 100_000)], [0.005, 0.995], axis=0)
    width = float((high - low).max())
    near = np.all((points >= low - width) & (points <= high + width), axis=1)
    some = points[near]
    if len(some) < 100:
        return np.asarray(~near)
    width = WINDOW_SPACINGS * _spacing(some)
    span = np.ptp(some, axis=0)
    while np.prod(span / width + 3.0) > MOST_CELLS:
        width *= 1.2
    cell = np.floor((some - some.min(axis=0)) / width).astype(np.int64)
    count = np.zeros(cell.max(axis=0) + 1, dtype=np.float32)
    np.add.at(count, tuple(cell.T), 1.0)
    around = ndimage.uniform_filter(count, 3, mode="constant") * 27.0
    out = ~near
    out[near] = around[tuple(cell.T)] < FEWEST_TOGETHER - 0.5
    return np.asarray(out)


def _spacing(points: Floats) -> float:
    """Return the distance to the sixth neighbour over the square root of two, of most points of a list."""
    some = points[:: max(1, len(points) // 2000)]
    away = np.asarray(cKDTree(points).query(some, k=min(7, len(points)))[0])[:, -1]
    return float(np.quantile(away, 0.7) / np.sqrt(2.0))
