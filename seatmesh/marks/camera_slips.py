"""Points that no camera fits together with the others: mixed up, mirrored, in a line, or one of them far off.

A residual is held against what all *other* points say of that point: with H the hat matrix, e the residuals and H_ii
the block of one point, (1 - H_ii)^-1 e_i is that difference (leaving one out; the same law as in `correction`). How
much a slip can hide that no residual would betray is the reliability of Baarda (1968, *A testing procedure for use in
geodetic networks*; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import InputError, NotSolvedError
from seatmesh.marks.camera import BELIEVED, NO_CAMERA, Camera, found_camera
from seatmesh.marks.known_points import LEAST_TRIANGLE, KnownPoint, turn
from seatmesh.marks.seen_points import SeenPoints

FAR_OFF = 4.0
"""A point this many standard errors off what all others say is a slip."""
TOO_BENT = 3.5
"""A lens this many standard errors off a straight one is none: points that do not fit have bent it."""
CHECKED_SHARE = 0.02
"""A point of whose residual the others leave less than this is checked by nothing."""
ALIKE = 1.3
"""Points without which the rest fits equally well, within this factor: any of them may be the slip."""
LEAST_KNOWN, EXTREME = 4, 9
"""A plane needs four points; so many of the outermost ones are tried for four of which no three lie in a line."""


@dataclass(frozen=True)
class PointFit:
    """How one known or edge point fits the others.

    Attributes
    ----------
    off_mm
        How far it is from where all others put it; None where they do not say.
    surprise
        The same in standard errors.
    """

    name: str
    off_mm: float | None
    surprise: float


def check_layout(points: Sequence[KnownPoint]) -> None:
    """Refuse known points that are too few, lie in a line, or do not run round as those of the blank do.

    Raises
    ------
    InputError
        It names what is wrong and, where points are mixed up, the likeliest one.
    """
    if len(points) < LEAST_KNOWN:
        raise InputError(
            f"photograph: {len(points)} known points given, at least {LEAST_KNOWN} are needed; give the four corners, "
            "or other points whose places you know."
        )
    pixels = np.array([one.pixel for one in points], dtype=float)
    places = np.array([one.at_mm for one in points], dtype=float)
    for where, what in ((places, "on the blank"), (pixels, "in the picture")):
        if not _spread(where):
            raise InputError(
                f"photograph: no four of the known points {what} are without three in a line, so they make no plane; "
                "give four far apart, such as the corners."
            )
    _check_turns(points, pixels, places)


def _spread(at: Floats) -> bool:
    """Tell whether four of the points are in no line, three by three."""
    chosen = [int(np.argmax(np.hypot(*(at - at.mean(axis=0)).T)))]
    while len(chosen) < min(EXTREME, len(at)):
        gaps = np.min([np.hypot(*(at - at[i]).T) for i in chosen], axis=0)
        chosen.append(int(np.argmax(gaps)))
    return any(
        min(abs(turn(at[list(trio)])) for trio in combinations(four, 3)) >= LEAST_TRIANGLE
        for four in combinations(dict.fromkeys(chosen), LEAST_KNOWN)
    )


def _check_turns(points: Sequence[KnownPoint], pixels: Floats, places: Floats) -> None:
    """Refuse points whose triangles do not turn over as they do from blank to image: y is up there and down here."""
    wrong, seen = np.zeros(len(points), dtype=int), 0
    for trio in combinations(range(len(points)), 3):
        by_px, by_mm = turn(pixels[list(trio)]), turn(places[list(trio)])
        if min(abs(by_px), abs(by_mm)) < 5.0 * LEAST_TRIANGLE:
            continue
        seen += 1
        if by_px * by_mm > 0.0:
            wrong[list(trio)] += 1
    if not wrong.any():
        return
    if wrong.sum() == 3 * seen:
        raise InputError(
            "photograph: the points run round the other way than on the blank, so left and right would change places; "
            "the picture is mirrored, or left and right of the points are exchanged (left and right are the sitter's)."
        )
    worst = [points[i].name for i in np.flatnonzero(wrong == wrong.max()).tolist()]
    raise InputError(
        f"photograph: the points are mixed up: their pixels do not follow one another as on the blank; look at "
        f"{_either(worst)} first, and put each on its own place."
    )


def check_slips(camera: Camera, names: Sequence[str]) -> tuple[PointFit, ...]:
    """Return how each point fits the others, known points first; one far off is refused.

    Raises
    ------
    InputError
        A point is farther off than errors of measuring and pointing explain; it is named with the distance, or those
        are between which nothing decides.
    NotSolvedError
        The points fit, but the solver came to no end.
    """
    fits = point_fits(camera, names)
    if max(one.surprise for one in fits) <= FAR_OFF and camera.lens_surprise <= TOO_BENT:
        if not camera.converged:
            raise NotSolvedError(NO_CAMERA)
        return fits
    without = [_without(camera.seen, i) for i in range(len(names))]
    left = np.array([np.inf if one is None else one.misfit for one in without])
    if not np.isfinite(left).any():
        worst = max(fits, key=lambda one: one.surprise)
        raise InputError(
            f"photograph: the known points do not fit together; look at '{worst.name}' first, and give more points."
        )
    best = int(np.argmin(left))
    alike = np.flatnonzero(left <= ALIKE * left[best] + 2.0).tolist()
    fitting = without[best]
    gap = 0.0 if fitting is None else _gap(camera.seen, best, fitting)
    if len(alike) > 1:
        words = (
            f"do not fit together, and {_either([names[i] for i in alike[:4]])} may be the one that is off"
        )
        todo = "check the place and the pixel of each, or add a point"
    else:
        words = f"agree but for '{names[best]}', which is {gap:.0f} mm from where all others put it"
        todo = "move it in the picture, measure it again, or remove it"
    raise InputError(f"photograph: the points {words}; {todo}.")


def point_fits(camera: Camera, names: Sequence[str]) -> tuple[PointFit, ...]:
    """Return how each point fits the others, known points first, then edge points."""
    known, total = len(camera.seen.pixels), float(camera.residuals @ camera.residuals)
    out = []
    for i, name in enumerate(names):
        rows = [2 * i, 2 * i + 1] if i < known else [known + i]
        own = np.eye(len(rows)) - camera.hat[np.ix_(rows, rows)]
        if np.linalg.eigvalsh(own)[0] < CHECKED_SHARE:
            out.append(PointFit(name, None, 0.0))
            continue
        away = np.asarray(np.linalg.solve(own, camera.residuals[rows]), dtype=float)
        square = float(camera.residuals[rows] @ away)
        others = (max(total - square, 0.0) + BELIEVED) / (
            max(camera.free - float(np.trace(own)), 0.0) + BELIEVED
        )
        surprise = float(np.sqrt(max(square, 0.0) / len(rows) / max(1.0, others)))
        out.append(PointFit(name, _in_mm(camera, i, away), surprise))
    return tuple(out)


def hidden_slip_mm(camera: Camera, slope: Floats) -> float:
    """Return how far a place moves, by `slope` (2, 12), with the greatest slip of one reading that would go unseen."""
    checked = np.maximum(1.0 - np.diag(camera.hat), 1e-9)
    return float((np.hypot(*(slope @ camera.gain)) * FAR_OFF * camera.scale / np.sqrt(checked)).max())


def _in_mm(camera: Camera, i: int, away: Floats) -> float:
    """Return a difference in standard errors of point i as a distance, mm."""
    roots, edge_errors = camera.roots_mm
    if i < len(roots):
        return float(np.linalg.norm(roots[i] @ away))
    return float(abs(edge_errors[i - len(roots)] * away[0]))


def _without(seen: SeenPoints, i: int) -> Camera | None:
    known = len(seen.pixels)
    if i < known:
        fewer = replace(
            seen, pixels=np.delete(seen.pixels, i, axis=0), places_mm=np.delete(seen.places_mm, i, axis=0)
        )
        if len(fewer.pixels) < LEAST_KNOWN or not _spread(fewer.places_mm):
            return None
    else:
        fewer = replace(seen, edge_pixels=np.delete(seen.edge_pixels, i - known, axis=0))
    try:
        camera = found_camera(fewer)
    except (NotSolvedError, np.linalg.LinAlgError):
        return None
    return camera if camera.converged else None


def _gap(seen: SeenPoints, i: int, others: Camera) -> float:
    known = len(seen.pixels)
    if i < known:
        return float(np.linalg.norm(others.to_mm(seen.pixels[i : i + 1])[0] - seen.places_mm[i]))
    return abs(float(seen.off_outline_mm(others.to_mm(seen.edge_pixels[i - known : i - known + 1]))[0]))


def _either(names: Sequence[str]) -> str:
    quoted = [f"'{name}'" for name in names]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} or {quoted[-1]}"


__all__ = ["PointFit", "check_layout", "check_slips", "hidden_slip_mm"]
