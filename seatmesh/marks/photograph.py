"""Marks from a photograph of the marked blank, taken from above: pixels of known points and of marks -> mm.

Only what lies on the top face is mapped: a knee-back line ahead of the front edge is measured with a tape.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seatmesh.body.figure.marked_places import Side
from seatmesh.marks.homography import Mapping2D, fitted_mapping
from seatmesh.marks.known_points import KnownPoint, check_known_points, check_pixel, checked_size
from seatmesh.marks.mark import MARK_ERROR_MM, Mark, check_marks
from seatmesh.wood.blank import Blank


@dataclass(frozen=True)
class SeenMark:
    """A mark in the photograph: name and side as in `seatmesh.marks.mark.Mark`, and its pixel."""

    name: str
    side: Side
    pixel: tuple[float, float]


@dataclass(frozen=True)
class PhotographedMarks:
    """Marks in mm, and how far the photograph can be trusted.

    Attributes
    ----------
    marks
        In the order given; their standard error holds that of the check points.
    check_errors_mm
        Distance of each check point, as the photograph shows it, from its known place.
    check_rms_mm, check_worst_mm, check_worst
        Root mean square and greatest of them, and the check point that has it.
    mapping
        Pixels to mm.
    """

    marks: tuple[Mark, ...]
    check_errors_mm: tuple[float, ...]
    check_rms_mm: float
    check_worst_mm: float
    check_worst: str
    mapping: Mapping2D


def marks_from_photograph(
    corners: Sequence[KnownPoint],
    check_points: Sequence[KnownPoint],
    seen: Sequence[SeenMark],
    blank: Blank,
    *,
    image_size_px: tuple[float, float] | None = None,
) -> PhotographedMarks:
    """Return the marks that a photograph shows, and its error at the check points.

    Four corners alone make the mapping, and the check points are kept out of it; the lens is taken for a straight one.
    `camera_marks` finds the lens too.

    Raises
    ------
    InputError
        Not four corners, three of them in a line, out of order or mirrored; fewer than four check points, or
        one close to another point; a point outside the image; a mark that `seatmesh.marks.mark.check_marks` refuses.
    NotSolvedError
        No mapping fits.
    """
    check_known_points(corners, check_points)
    size = None if image_size_px is None else checked_size(image_size_px)
    named = [*((p.name, p.pixel) for p in (*corners, *check_points)), *((m.name, m.pixel) for m in seen)]
    for name, pixel in named:
        check_pixel(name, pixel, size)
    mapping = _fit(corners)
    errors = np.array([_error_mm(mapping, point) for point in check_points])
    rms, worst = float(np.sqrt(np.mean(errors**2))), int(np.argmax(errors))
    # A distance in the plane has two parts; a mark's error is that of one of them.
    error = float(np.hypot(MARK_ERROR_MM, rms / np.sqrt(2.0)))
    places = mapping.to_mm(np.array([one.pixel for one in seen]).reshape(-1, 2)).tolist()
    marks = tuple(placed_mark(one, x, y, error) for one, (x, y) in zip(seen, places, strict=True))
    check_marks(marks, blank, "photograph")
    return PhotographedMarks(
        marks, tuple(errors.tolist()), rms, float(errors[worst]), check_points[worst].name, mapping
    )


def placed_mark(seen: SeenMark, x: float, y: float, error: float) -> Mark:
    """Return a mark; one that lies across the centre line by no more than its own error is put on the line."""
    across = x if seen.side == "left" else -x if seen.side == "right" else 0.0
    return Mark(seen.name, seen.side, 0.0 if 0.0 < across <= error else x, y, error)


def _fit(points: Sequence[KnownPoint]) -> Mapping2D:
    return fitted_mapping(
        np.array([one.pixel for one in points], dtype=float),
        np.array([one.at_mm for one in points], dtype=float),
    )


def _error_mm(mapping: Mapping2D, point: KnownPoint) -> float:
    return float(np.linalg.norm(mapping.to_mm(np.array([point.pixel]))[0] - point.at_mm))


__all__ = ["KnownPoint", "PhotographedMarks", "SeenMark", "marks_from_photograph", "placed_mark"]
