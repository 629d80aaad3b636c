"""A maker's own outline: a closed curve, checked, and brought to the right half that a blank keeps."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from scipy.interpolate import CubicSpline

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.refused import Piece, mm, said
from seatmesh.wood.outline.shapes import ARC_STEP_MM

Pairs = tuple[tuple[float, float], ...]

FEWEST_POINTS = 3
MOST_POINTS = 2_000
BETWEEN = ("a curve", "straight lines")
"""What may join the points of an outline, the usual one first."""
UNEVEN_MM = 1.0
"""How far the two sides of a whole curve may part, and its middle or rear edge lie off the frame: a pencil line."""
WIDTHS_MM = (200.0, 900.0)
DEPTHS_MM = (200.0, 700.0)
SAME_MM = 1e-6
APART_MM = 0.1
"""Points nearer to one another than this would bend a curve out of its way."""


def smooth_outline(points_mm: Sequence[Sequence[float]], name: str) -> Pairs:
    """Return the right half of the smooth closed curve through points, from rear to front end of the centre line.

    Points follow one another round the seat, either way round, x to the sitter's right and y forward from the
    rearmost line of the seat; where none lies on the left they are the right half and are mirrored. The curve is a
    closed cubic spline over the square root of the chords.

    Raises
    ------
    ValueRefusedError
        Too few points or too many, two alike in a row, a curve that crosses itself, is too small or too large, or
        does not lie evenly around the centre line; `name` is the key that it names.
    """
    points = _distinct(np.asarray(points_mm, dtype=float), name)
    given_half = bool(points[:, 0].min() > -SAME_MM)
    if given_half:
        points = _mirrored_points(points, name)
    ring = _closed_spline(points)
    half = right_half(ring, name)
    _refuse_off_the_rear_edge(points, ring, name)
    return half


def straight_outline(points_mm: Sequence[Sequence[float]], name: str) -> Pairs:
    """Return the right half of the closed line of straight stretches through points, as `smooth_outline`.

    What this returns comes back from it as it is, to the last digit.
    """
    points = _distinct(np.asarray(points_mm, dtype=float), name, SAME_MM)
    if points[:, 0].min() > -SAME_MM:
        points = _mirrored_points(points, name)
    half = right_half(points, name)
    _refuse_off_the_rear_edge(points, points, name)
    return half


def few_enough(half_mm: Pairs) -> Pairs:
    """Return the points of a right half, fewer within some hundredths of a millimetre where an order takes no more."""
    tolerance = 0.001
    while len(half_mm) > MOST_POINTS:
        line = shapely.simplify(shapely.LineString(half_mm), tolerance)
        half_mm = tuple((float(x), float(y)) for x, y in shapely.get_coordinates(line))
        tolerance *= 2.0
    return half_mm


def right_half(ring_mm: Floats, name: str) -> Pairs:
    """Return the right half of a closed curve, shape (n, 2), moved so that its rearmost line is y = 0.

    Raises
    ------
    ValueRefusedError
        See `smooth_outline`.
    """
    whole = shapely.Polygon(ring_mm)
    _refuse_crossing(whole, name)
    left, rear, right, front = whole.bounds
    _refuse_size(right - left, front - rear, name)
    _refuse_uneven(whole, name)
    moved = shapely.Polygon(np.asarray(ring_mm) - np.array([0.0, rear]))
    side = shapely.intersection(moved, shapely.box(0.0, -1.0, right + 1.0, front - rear + 1.0))
    if side.geom_type != "Polygon":
        raise ValueRefusedError(
            name,
            "a curve that leaves the centre line and comes back to it",
            "one that meets the centre line once in front and once at the rear",
            "close it between the two",
        )
    return _chain(np.asarray(shapely.get_coordinates(side.exterior))[:-1], name)


def _refuse_off_the_rear_edge(points: Floats, ring: Floats, name: str) -> None:
    """Refuse a curve whose rearmost line is not y = 0: other lengths in the order are taken from there."""
    x, low = (float(value) for value in ring[int(np.argmin(ring[:, 1]))])
    if abs(low) <= UNEVEN_MM:
        return
    first = float(points[:, 1].min())
    off = _told(low, f"{low:.1f}")
    todo = said("take {} from every y", off)
    if abs(first) <= UNEVEN_MM:
        hold = _told(abs(x), f"x = {abs(x):.0f}")
        todo = said("add points near {} to hold it, or take {} from every y", hold, off)
    raise ValueRefusedError(
        name,
        said("a curve whose rearmost line is {}", _told(low, f"y = {low:.1f}")),
        said("it is the rear edge, y = 0 to within {}", mm(UNEVEN_MM)),
        todo,
    )


def _chain(ring: Floats, name: str) -> Pairs:
    """Return a half ring's points without its straight side, from rear to front of the centre line, going right."""
    on_line = np.flatnonzero(np.abs(ring[:, 0]) < SAME_MM)
    rear, front = (int(on_line[pick(ring[on_line, 1])]) for pick in (np.argmin, np.argmax))
    forward = np.roll(ring, -rear, axis=0)
    steps = (front - rear) % len(ring)
    chain = forward[: steps + 1]
    if np.all(np.abs(chain[:, 0]) < SAME_MM):
        backward = np.roll(ring[::-1], rear + 1, axis=0)
        chain = backward[: (rear - front) % len(ring) + 1]
    chain = np.where(np.abs(chain) < SAME_MM, 0.0, chain)
    if np.any(chain[1:-1, 0] <= 0.0):
        raise ValueRefusedError(
            name, "a curve that touches the centre line", "only its ends lie on it", "widen it there"
        )
    return tuple((float(x), float(y)) for x, y in chain)


def _distinct(points: Floats, name: str, apart_mm: float = APART_MM) -> Floats:
    """Return points without a last one that repeats the first; no two in a row may be nearer than `apart_mm`."""
    shown = f"{len(points)} points" if points.ndim == 2 else "something else"
    if points.ndim != 2 or points.shape[1] != 2 or not FEWEST_POINTS <= len(points) <= MOST_POINTS:
        allowed = f"allowed are {FEWEST_POINTS} to {MOST_POINTS} points [x, y]"
        raise ValueRefusedError(name, shown, allowed, "give the outline's points in order round the seat")
    if np.allclose(points[0], points[-1], rtol=0.0, atol=SAME_MM):
        points = points[:-1]
    chords = np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1)
    if np.any(chords < apart_mm):
        at = points[int(np.argmin(chords))]
        raise ValueRefusedError(
            name,
            said("({}, {}) twice in a row", *(_told(one, f"{one:g}") for one in at)),
            "points apart from one another",
            "leave one out",
        )
    return points


def _mirrored_points(points: Floats, name: str) -> Floats:
    """Return the whole of a right half, its points in order from one end of the centre line to the other."""
    # The longest gap round the seat is the one along the centre line: the half starts after it.
    on_line = np.abs(points[:, 0]) < SAME_MM
    if on_line.sum() > 2:
        raise ValueRefusedError(
            name, f"{on_line.sum()} points on the centre line", "at most two", "leave those between out"
        )
    own = points[~on_line]
    start, end = points[0], points[-1]
    if len(own) < 2:
        raise ValueRefusedError(name, f"{len(own)} points off the centre line", "two or more", "add some")
    if start[1] > end[1]:
        points = points[::-1]
    inner = points[~(np.abs(points[:, 0]) < SAME_MM)]
    ends = [p for p in (points[0], points[-1]) if abs(p[0]) < SAME_MM]
    if len(ends) != on_line.sum():
        raise ValueRefusedError(
            name, "a point of the centre line among the others", "first and last only", "put it at an end"
        )
    left = inner[::-1] * np.array([-1.0, 1.0])
    rear = [points[:1]] if abs(points[0, 0]) < SAME_MM else []
    front = [points[-1:]] if abs(points[-1, 0]) < SAME_MM else []
    return np.vstack([*rear, inner, *front, left])


def _closed_spline(points: Floats) -> Floats:
    """Return points of the closed cubic spline through `points`, close enough together to show no corner."""
    closed = np.vstack([points, points[:1]])
    chord = np.linalg.norm(np.diff(closed, axis=0), axis=1)
    at = np.concatenate([[0.0], np.cumsum(np.sqrt(chord))])
    curve = CubicSpline(at, closed, bc_type="periodic")
    pieces = []
    for start, end, length in zip(at[:-1], at[1:], chord, strict=True):
        steps = max(8, int(np.ceil(1.3 * length / ARC_STEP_MM)))
        pieces.append(start + (end - start) * np.arange(steps) / steps)
    return np.asarray(curve(np.concatenate(pieces)), dtype=float)


def _told(value: float, text: str) -> Piece:
    """Return a length that the message says without its unit."""
    return Piece(None, float(value), "mm", text=text)


def _refuse_crossing(whole: shapely.Polygon, name: str) -> None:
    if whole.is_valid and whole.area > 0.0:
        return
    crossings = shapely.get_coordinates(shapely.node(whole.exterior))
    seen, counts = np.unique(np.round(crossings, 6), axis=0, return_counts=True)
    at = seen[int(np.argmax(counts))]
    raise ValueRefusedError(
        name,
        said("a curve that crosses itself near ({}, {})", *(_told(one, f"{one:.1f}") for one in at)),
        "one closed curve that does not",
        "put its points in order round the seat, or draw it anew there",
    )


def _refuse_size(width: float, depth: float, name: str) -> None:
    for word, size, (least, most) in (("wide", width, WIDTHS_MM), ("deep", depth, DEPTHS_MM)):
        if not least <= size <= most:
            raise ValueRefusedError(
                name,
                said(f"a curve {{}} {word}", mm(size, ".1f")),
                said("allowed are {} to {}", _told(least, f"{least:g}"), mm(most)),
                "check its unit, or draw it to size",
            )


def _refuse_uneven(whole: shapely.Polygon, name: str) -> None:
    other = shapely.transform(whole, lambda xy: xy * np.array([-1.0, 1.0]))
    apart = float(shapely.hausdorff_distance(whole.exterior, other.exterior))
    if apart > UNEVEN_MM:
        left, _, right, _ = whole.bounds
        off = 0.5 * (left + right)
        todo = (
            said("take {} from every x", _told(off, f"{off:.1f}"))
            if abs(off) > UNEVEN_MM
            else "give its right half only"
        )
        raise ValueRefusedError(
            name,
            said("a curve whose sides lie {} from one another's mirror image", mm(apart, ".1f")),
            said("one around the centre line, its sides alike to {}", mm(UNEVEN_MM)),
            todo,
        )
