"""Marks of a photograph through a camera that was found with them: places, how surely, and what would make them surer.

All of it holds for the top face alone: a mark in a hollow shows aside by its depth times the slant, and nothing in the
picture betrays that.

Where the known points cannot tell how the lens bends, or where a slip of one of them could hide, a mark is not called
sure, whatever the residuals say.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import InputError, ValueRefusedError
from seatmesh.marks.camera import PLANE, Camera, found_camera
from seatmesh.marks.camera_slips import PointFit, check_layout, check_slips, hidden_slip_mm
from seatmesh.marks.known_points import APART_MM, KnownPoint, check_pixel, check_places, checked_size
from seatmesh.marks.mark import MARK_ERROR_MM, Mark, check_marks
from seatmesh.marks.photograph import SeenMark, placed_mark
from seatmesh.marks.seen_points import SeenPoints
from seatmesh.wood.blank import Blank

NEARLY_ALL = 3.03
"""Radius, in standard errors, of the circle that holds 99 of 100 normal errors in a plane: sqrt(-2 ln 0.01)."""
SURE_MM = 1.5
"""A mark is sure that lies within this in 99 of 100 cases: half of what a mark scatters by itself."""
HIDDEN_SLIP_MM = 2.5
"""A mark is sure only if no slip of one reading that would go unseen moves it farther; chosen so that four corners and
one cross are not enough, and four corners and four are."""
MOST_KNOWN, MOST_EDGE, MOST_MARKS = 40, 60, 100
OFF_FACE_MM = 2.0
"""A mark farther outside of the outline than this is not on the top face."""
WORSE = 1.5
"""Residuals this much larger than pointing and measuring explain are worth a word."""


@dataclass(frozen=True)
class CameraMark:
    """A mark, and how far the photograph can be trusted about it.

    Attributes
    ----------
    mark
        Its standard error holds that of the mark itself and that of the photograph.
    within_mm
        So near to the place of the pixel that was pointed at it lies in 99 of 100 cases.
    sure
        Whether that is little enough, and the known points check one another well enough to say it.
    """

    mark: Mark
    within_mm: float
    sure: bool


@dataclass(frozen=True)
class CameraMarks:
    """Marks of a photograph.

    Attributes
    ----------
    marks
        In the order given.
    points
        How each known point, then each edge point, fits all others.
    rms_mm, worst_mm, worst
        Root mean square and greatest of those distances, and whose that is; None where nothing checks anything.
    bend_percent, bend_error_percent
        How much farther out the lens shows the corners of the image than a straight one would (barrel: negative).
    lens_told
        Whether the points tell the lens well enough for every mark.
    doubts
        What is not sure, and what to do about it; empty where all is sure.
    """

    marks: tuple[CameraMark, ...]
    points: tuple[PointFit, ...]
    rms_mm: float | None
    worst_mm: float | None
    worst: str | None
    bend_percent: float
    bend_error_percent: float
    lens_told: bool
    doubts: tuple[str, ...]


def camera_marks(
    known: Sequence[KnownPoint],
    edge_pixels: Sequence[tuple[float, float]],
    seen: Sequence[SeenMark],
    blank: Blank,
    image_size_px: tuple[float, float],
) -> CameraMarks:
    """Return the places of marks in a whole photograph of the blank's top face.

    Parameters
    ----------
    known
        Four points or more whose places on the blank are known.
    edge_pixels
        Points anywhere on the outline of the top face.

    Raises
    ------
    InputError
        Too few points, or ones in a line, mixed up, mirrored or far off; a pixel outside the image; a mark off the top
        face or refused by `seatmesh.marks.mark.check_marks`.
    NotSolvedError
        No camera fits.
    """
    size = checked_size(image_size_px)
    _check_counts(known, edge_pixels, seen)
    names = [one.name for one in known] + [f"edge point {k}" for k in range(1, len(edge_pixels) + 1)]
    pixels = [*(one.pixel for one in known), *edge_pixels]
    for name, pixel in zip(names, pixels, strict=True):
        check_pixel(name, pixel, size)
    for one in seen:
        check_pixel(one.name, one.pixel, size)
    check_places(known)
    _check_apart(known)
    check_layout(known)
    camera = found_camera(
        SeenPoints(
            size,
            np.array([one.pixel for one in known], dtype=float),
            np.array([one.at_mm for one in known], dtype=float),
            np.array(edge_pixels, dtype=float).reshape(-1, 2),
            blank.polygon_mm(),
        )
    )
    points = check_slips(camera, names)
    marks = tuple(_placed(camera, one) for one in seen)
    check_marks([one.mark for one in marks], blank, "photograph")
    _check_on_face(camera, [one.mark for one in marks])
    return _told(camera, marks, points, seen)


def _told(
    camera: Camera, marks: tuple[CameraMark, ...], points: tuple[PointFit, ...], seen: Sequence[SeenMark]
) -> CameraMarks:
    off = [(one.off_mm, one.name) for one in points if one.off_mm is not None]
    worst = max(off) if off else (None, None)
    rms = float(np.sqrt(np.mean([gap**2 for gap, _ in off]))) if off else None
    bends = camera.unknowns[PLANE] + camera.unknowns[PLANE + 1]
    both = np.zeros(len(camera.unknowns))
    both[PLANE : PLANE + 2] = 1.0
    error = camera.scale * float(np.sqrt(both @ camera.covariance @ both))
    by_lens = [
        not one.sure and _within(camera, np.array(mark.pixel), camera.plane_covariance) <= SURE_MM
        for one, mark in zip(marks, seen, strict=True)
    ]
    return CameraMarks(
        marks,
        points,
        rms,
        worst[0],
        worst[1],
        100.0 * bends,
        100.0 * error,
        not any(by_lens),
        _doubts(camera, marks, by_lens),
    )


def _doubts(camera: Camera, marks: Sequence[CameraMark], by_lens: Sequence[bool]) -> tuple[str, ...]:
    doubtful = [one for one in marks if not one.sure]
    out = []
    if doubtful:
        worst = max(one.within_mm for one in doubtful)
        out.append(
            f"{len(doubtful)} of {len(marks)} marks {'is' if len(doubtful) == 1 else 'are'} not sure: within "
            f"{worst:.1f} mm at worst, where {SURE_MM:g} mm is wanted."
        )
    if any(one.within_mm > SURE_MM and lens for one, lens in zip(marks, by_lens, strict=True)):
        out.append(
            "The points given cannot tell how the lens bends the picture: add points along the edges of the blank, "
            "ends and middles of its sides, or crosses that you measured, well inside and near the marks."
        )
    elif any(one.within_mm <= SURE_MM for one in doubtful):
        out.append(
            "Too few points check one another, so that a slip of one could hide: add four more, far apart, "
            "such as crosses that you measured or points along the edges of the blank."
        )
    elif doubtful and camera.scale <= WORSE:
        out.append(
            "The picture is too small or taken from too far: let the blank fill it, nearer and more from above; or add "
            "more points near the marks."
        )
    if camera.scale > WORSE:
        out.append(
            f"The points agree {camera.scale:.1f} times worse than pointing and measuring explain: move those that are "
            "off farthest, with the picture enlarged, and measure the blank again."
        )
    return tuple(out)


def _placed(camera: Camera, seen: SeenMark) -> CameraMark:
    pixel = np.array(seen.pixel, dtype=float)
    x, y = camera.to_mm(pixel[None, :])[0].tolist()
    within = _within(camera, pixel, camera.covariance)
    error = float(np.hypot(MARK_ERROR_MM, within / NEARLY_ALL))
    sure = within <= SURE_MM and hidden_slip_mm(camera, camera.slope(pixel)) <= HIDDEN_SLIP_MM
    return CameraMark(placed_mark(seen, x, y, error), within, sure)


def _within(camera: Camera, pixel: Floats, covariance: Floats) -> float:
    """Return the radius that holds the place of a pixel in 99 of 100 cases, mm."""
    slope, by_pixel = camera.slope(pixel), camera.per_pixel(pixel)
    spread = camera.scale**2 * slope @ covariance @ slope.T
    spread = spread + camera.seen.pixel_error**2 * by_pixel @ by_pixel.T
    return NEARLY_ALL * float(np.sqrt(np.linalg.eigvalsh(spread)[-1]))


def _check_counts(
    known: Sequence[KnownPoint], edge_pixels: Sequence[tuple[float, float]], seen: Sequence[SeenMark]
) -> None:
    for what, given, most in (
        ("known points", known, MOST_KNOWN),
        ("edge points", edge_pixels, MOST_EDGE),
        ("marks", seen, MOST_MARKS),
    ):
        if len(given) > most:
            raise InputError(f"photograph: {len(given)} {what} given, allowed are {most}; leave some out.")


def _check_apart(known: Sequence[KnownPoint]) -> None:
    for i, point in enumerate(known):
        for other in known[:i]:
            gap = float(np.hypot(point.at_mm[0] - other.at_mm[0], point.at_mm[1] - other.at_mm[1]))
            if gap < APART_MM:
                raise InputError(
                    f"photograph: '{point.name}' is {gap:.0f} mm from '{other.name}', allowed is {APART_MM:g} mm or "
                    "more; leave one of them out."
                )


def _check_on_face(camera: Camera, marks: Sequence[Mark]) -> None:
    """Refuse a mark that does not lie on the wood: a photograph maps the top face alone."""
    places = np.array([(mark.x_mm, mark.y_mm) for mark in marks]).reshape(-1, 2)
    for mark, off in zip(marks, camera.seen.off_outline_mm(places).tolist(), strict=True):
        if off > OFF_FACE_MM + NEARLY_ALL * mark.standard_error_mm:
            raise ValueRefusedError(
                f"photograph '{mark.name}' {mark.side}",
                f"({mark.x_mm:.0f}, {mark.y_mm:.0f}) mm",
                f"it lies {off:.0f} mm outside of the top face, and only what is on it can be placed",
                "point at it again, or take it with a tape",
            )


__all__ = ["CameraMark", "CameraMarks", "camera_marks"]
