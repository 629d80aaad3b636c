"""The search for the pose: every plane that may be the rim's, both faces up, every turn; one is borne out, or none is taken."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NoReturn

import numpy as np
from numpy.typing import NDArray

from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.reading.placing import Frame, Plane
from seatmesh.reading.pose.evidence import Evidence, Plan, evidence
from seatmesh.reading.pose.level import levelled
from seatmesh.reading.pose.outline_fit import fit_outline, near_the_edge
from seatmesh.reading.pose.rim_planes import Rim, axes_on, rim_planes
from seatmesh.reading.pose.same_seat import same_seat
from seatmesh.reading.pose.turns import Turn, rotation, turns_onto
from seatmesh.reading.pose.verdict import Fault, Limits, excludes, faults
from seatmesh.units import shown
from seatmesh.wood.blank import Blank
from seatmesh.wood.outline.shapes import area_mm2

Floats = NDArray[np.float64]

TOWARD = float(np.cos(np.radians(45.0)))
"""A direction that the user gives tells which of the ways is meant, not its last degree."""
ABOVE_MM = 2.0
MOST_RIMS, MOST_TURNS = 8, 8
FEWEST = 50
MOST_SCATTER_MM = 1.0
UNDER_SHARE = 0.1
"""Of the thickness: so far above the underside the wall is looked for, clear of a table under it."""


@dataclass(frozen=True)
class Toward:
    """Directions in the file that the user says point up out of the seat and to its front; None where not said."""

    up: Floats | None = None
    front: Floats | None = None

    @staticmethod
    def of(up: object, front: object) -> Toward:
        """Return directions that a user gave, made one long.

        Raises
        ------
        ValueRefusedError
            One is not three finite numbers, or none but zeros; or both point the same way.
        """
        one, other = _direction(up, "up"), _direction(front, "front")
        if one is not None and other is not None and abs(float(one @ other)) > TOWARD:
            raise ValueRefusedError(
                "front",
                shown(front),
                "up and front are square to one another",
                "give two directions of the file's axes",
            )
        return Toward(one, other)

    def allows(self, frame: Frame) -> bool:
        """Tell whether a frame points the way that was said."""
        front = self.front
        if self.up is not None and not frame.axes[2] @ self.up > TOWARD:
            return False
        if front is None:
            return True
        level = front - (front @ frame.axes[2]) * frame.axes[2]
        return bool(frame.axes[1] @ level > TOWARD * max(float(np.linalg.norm(level)), 1e-9))


def _direction(given: object, name: str) -> Floats | None:
    if given is None:
        return None
    try:
        way = np.asarray(given, dtype=float)
    except (TypeError, ValueError):
        way = np.zeros(0)
    if way.shape != (3,) or not np.isfinite(way).all() or not np.linalg.norm(way) > 0.0:
        raise ValueRefusedError(
            name, shown(given), "allowed are three finite numbers, not all 0", "give X,Y,Z, such as 0,0,1"
        )
    return np.asarray(way / np.linalg.norm(way))


def find_pose(points: Floats, samples: Floats, plan: Plan, toward: Toward, where: str) -> Evidence:
    """Return the frame of the blank in a scan, and what speaks for it.

    Parameters
    ----------
    points, samples
        The scan's own points, and points all over its surface, mm.
    plan
        The blank.
    toward
        What the user says of the pose.
    where
        The scan, as a message names it.

    Raises
    ------
    ValueRefusedError
        No way to lay it is borne out by outline, deck, gutter and underside; or several are, and make other seats.
    """
    rims = rim_planes(points, samples, area_mm2(plan.blank.polygon_mm()))[:MOST_RIMS]
    if not rims:
        raise ValueRefusedError(
            "pose",
            where,
            "no side of it lies flat enough to be the uncut rim and deck of a seat",
            "check that it is this seat; scan again with the deck and the rim",
        )
    limits = Limits(underside=toward.up is None)
    tried = [seen for rim in rims for seen in _laid(points, samples, rim, plan, toward)]
    if not tried:
        _refuse_unlike(samples, rims, plan, toward, where)
    judged = [(seen, faults(seen, plan.blank, limits)) for seen in tried]
    possible = [seen for seen, found in judged if not found]
    if not possible:
        refuse_faults(*min(judged, key=_badness), where)
    best = min(possible, key=_unlikeliness)
    others = [seen for seen in possible if seen is not best and not excludes(best, seen, plan.blank)]
    for other in others:
        if not same_seat(samples, best.frame, other.frame, best.scatter_mm, plan):
            _refuse_ambiguous(best, other, where)
    # Of ways that make the same seat the one nearest to the file's own axes is the least surprising.
    same = [best, *others]
    return max(same, key=lambda seen: round(float(seen.frame.axes[2, 2] + 0.5 * seen.frame.axes[1, 1]), 3))


def _laid(points: Floats, samples: Floats, rim: Rim, plan: Plan, toward: Toward) -> Iterator[Evidence]:
    """Yield what speaks for each turn in which the edge of a scan comes near the outline."""
    if toward.up is not None and not rim.plane.normal @ toward.up > TOWARD:
        return
    axes = axes_on(rim.plane.normal)
    local = samples @ axes.T - [0.0, 0.0, rim.plane.offset]
    standing = local[wall(local, plan.blank), :2]
    if len(standing) < FEWEST:
        return
    edge = near_the_edge(standing)
    turns = turns_onto(edge, plan.blank)
    near: Sequence[Turn] = turns.near[:MOST_TURNS]
    if not turns.told and near:
        if toward.front is None:
            raise ValueRefusedError(
                "pose",
                "no front",
                "the outline is as good as round, and does not tell where the front is",
                "say which way it points in the file's axes: --front X,Y,Z",
            )
        ahead = axes[:2] @ toward.front
        near = [turns.toward(float(0.5 * np.pi - np.arctan2(ahead[1], ahead[0])))]
    for turn in near:
        start = _frame(axes, rim.plane, turn)
        if toward.allows(start):
            fit = fit_outline(edge, turn, plan.blank, plan.cell_mm, turns=turns.told)
            first = _frame(axes, rim.plane, fit.turn)
            frame, scatter = levelled(points, samples, first, rim.scatter_mm, plan)
            yield _settled(samples, frame, scatter, plan, turns=turns.told)


def _settled(samples: Floats, level: Frame, scatter_mm: float, plan: Plan, *, turns: bool) -> Evidence:
    """Lay the edge on the outline once more, now that the plane is known, and see what speaks for it."""
    local = level.into(samples)
    edge = near_the_edge(local[wall(local, plan.blank), :2])
    fit = fit_outline(edge, Turn(0.0, np.zeros(2), 0.0), plan.blank, plan.cell_mm, turns=turns)
    frame = _frame(level.axes, Plane(level.axes[2], 0.0), fit.turn)
    return evidence(samples, Frame(level.origin + frame.origin, frame.axes), fit, scatter_mm, plan)


def wall(local: Floats, blank: Blank) -> NDArray[np.bool_]:
    """Tell which points stand as high as the wall round the blank; z is 0 on the rim."""
    foot = -(blank.thickness_mm - max(blank.under_bevel_height_mm, UNDER_SHARE * blank.thickness_mm))
    return np.asarray((local[:, 2] < ABOVE_MM) & (local[:, 2] > foot))


def _frame(axes: Floats, plane: Plane, turn: Turn) -> Frame:
    """Return the frame in which a point's plan on a plane is moved by a turn."""
    turned = rotation(turn.turn)
    origin = -turned.T @ turn.shift
    return Frame(
        origin @ axes[:2] + plane.offset * plane.normal, np.vstack([turned @ axes[:2], plane.normal])
    )


def _badness(judged: tuple[Evidence, tuple[Fault, ...]]) -> tuple[float, float]:
    return sum(np.log1p(fault.badness) for fault in judged[1]), judged[0].outline.off_mm


def _unlikeliness(seen: Evidence) -> float:
    return (
        seen.outline.off_mm
        + 20.0 * (seen.deck_carved or 0.0)
        + 20.0 * (seen.underside_off or 0.0)
        + 5.0 * (seen.gutter_missing or 0.0)
        - 5.0 * (seen.holes_found or 0.0)
    )


def refuse_faults(seen: Evidence, found: Sequence[Fault], where: str, *, given: bool = False) -> NoReturn:
    """Refuse a scan for what speaks against the way that is nearest to fit.

    Raises
    ------
    ValueRefusedError
        Always.
    """
    refuse_scatter(seen.scatter_mm, where)
    words = "; ".join(fault.found for fault in found[:2])
    first = "laid as it was given" if given else "laid on the blank in the way that fits it best"
    raise ValueRefusedError("pose", where, f"{first}, {words}", found[0].todo)


def refuse_scatter(scatter_mm: float, where: str) -> None:
    """Refuse a scan whose points scatter too much to tell a hollow from noise.

    Raises
    ------
    FileRefusedError
        With what to do.
    """
    if scatter_mm > MOST_SCATTER_MM:
        raise FileRefusedError(
            f"{where}: its points scatter by {scatter_mm:.1f} mm; allowed is {MOST_SCATTER_MM:g} mm; scan again, from "
            "nearer or with matt spray, or read the seat with a gauge."
        )


def _refuse_unlike(samples: Floats, rims: Sequence[Rim], plan: Plan, toward: Toward, where: str) -> NoReturn:
    blank = plan.blank
    allowed = [rim for rim in rims if toward.up is None or rim.plane.normal @ toward.up > TOWARD]
    if not allowed or toward.front is not None:
        raise ValueRefusedError(
            "pose",
            where,
            "no way to lay it on the blank points as --up and --front say",
            "check both directions, which are the file's axes, or leave them out to have them found",
        )
    sizes = []
    for rim in allowed:
        local = samples @ axes_on(rim.plane.normal).T - [0.0, 0.0, rim.plane.offset]
        sizes.append(_size(local[wall(local, blank), :2]))
    raise ValueRefusedError(
        "pose",
        where,
        f"its outline, {_words(sizes[0])} mm seen from above, does not fit the blank's, "
        f"{blank.width_mm:g} x {blank.depth_mm:g} mm, in any turn",
        "give the order of this very seat; check unit and scale, and that nothing else stands in the scan",
    )


def _size(plan: Floats) -> tuple[float, float]:
    """Return the sides of the smallest rectangle round places, the longer first."""
    import shapely  # noqa: PLC0415

    rectangle = shapely.MultiPoint(plan[:: max(1, len(plan) // 20_000)]).minimum_rotated_rectangle
    corners = shapely.get_coordinates(rectangle)
    if len(corners) < 4:
        return 0.0, 0.0
    sides = np.linalg.norm(np.diff(corners[:3], axis=0), axis=1)
    return float(sides.max()), float(sides.min())


def _words(size: tuple[float, float]) -> str:
    return f"{size[0]:.0f} x {size[1]:.0f}"


def direction_words(axis: Floats) -> str:
    """Return a direction in the file as --front and --up take it."""
    return ",".join(f"{value + 0.0:.2g}" for value in np.round(axis, 2) + 0.0)


def _refuse_ambiguous(one: Evidence, other: Evidence, where: str) -> NoReturn:
    up = [direction_words(seen.frame.axes[2]) for seen in (one, other)]
    front = [direction_words(seen.frame.axes[1]) for seen in (one, other)]
    if one.frame.axes[2] @ other.frame.axes[2] > TOWARD:
        raise ValueRefusedError(
            "pose",
            where,
            f"its front may point along {front[0]} or along {front[1]}: neither outline nor deck tells, and the two "
            "make different seats",
            f"say where the front is, in the file's axes: --front {front[0]} or --front {front[1]}",
        )
    raise ValueRefusedError(
        "pose",
        where,
        f"its upper face may look along {up[0]} or along {up[1]}: nothing in it tells, and the two make different seats",
        f"say which way is up, in the file's axes: --up {up[0]} or --up {up[1]}",
    )
