"""The search for the pose: every plane that may be the rim's, both faces up, every turn; one is borne out, or none."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from seatmesh.arrays import Floats
from seatmesh.reading.placing import Frame, Plane
from seatmesh.reading.pose.judged.evidence import Evidence, Plan, evidence
from seatmesh.reading.pose.judged.refusals import (
    refuse_against,
    refuse_ambiguous,
    refuse_directions,
    refuse_faults,
    refuse_no_rim,
    refuse_round,
    refuse_unlike,
)
from seatmesh.reading.pose.judged.same_seat import same_seat
from seatmesh.reading.pose.judged.verdict import Fault, PoseLimits, excludes, faults
from seatmesh.reading.pose.level import levelled
from seatmesh.reading.pose.outline_fit import fit_outline, near_the_edge
from seatmesh.reading.pose.rim_planes import Rim, axes_on, rim_planes
from seatmesh.reading.pose.toward import Toward
from seatmesh.reading.pose.turns import Turn, rotation, turns_onto
from seatmesh.wood.blank import Blank
from seatmesh.wood.outline.shapes import area_mm2

ABOVE_MM = 2.0
MOST_RIMS, MOST_TURNS = 8, 8
FEWEST = 50
UNDER_SHARE = 0.1
"""Of the thickness: so far above the underside the wall is looked for, clear of a table under it."""


def find_pose(
    points: Floats, samples: Floats, plan: Plan, toward: Toward, where: str, picked: Rim | None = None
) -> Evidence:
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
    picked
        The rim's plane, where the user picked points on it.

    Raises
    ------
    ValueRefusedError
        No way to lay it is borne out by outline, deck, gutter and underside; or several are, and make other seats.
    """
    rims = [picked] if picked else rim_planes(points, samples, area_mm2(plan.blank.polygon_mm()))[:MOST_RIMS]
    if not rims:
        refuse_no_rim(where)
    tried = [seen for rim in rims for seen in _laid(points, samples, rim, plan, toward, where)]
    if not tried:
        refuse_unlike(_standing(samples, rims[0].plane, plan.blank), plan.blank, where)
    best, same = _best_borne_out(samples, tried, plan, toward, where)
    for other in _forbidden(tried, plan.blank, toward):
        if excludes(other, best, plan.blank):
            refuse_against(other, where)
    # Of ways that make the same seat the one nearest to the file's own axes is the least surprising.
    return max(
        [best, *same], key=lambda seen: round(float(seen.frame.axes[2, 2] + 0.5 * seen.frame.axes[1, 1]), 3)
    )


def _best_borne_out(
    samples: Floats, tried: Sequence[Evidence], plan: Plan, toward: Toward, where: str
) -> tuple[Evidence, list[Evidence]]:
    """Return what is borne out best of what the user's words allow, and all else that would make the same seat."""
    limits = PoseLimits(underside=toward.up is None)
    judged = [(seen, faults(seen, plan.blank, limits)) for seen in tried if toward.allows(seen.frame)]
    possible = [seen for seen, found in judged if not found]
    if not possible:
        if not judged:
            refuse_directions(where)
        for other in _forbidden(tried, plan.blank, toward):
            refuse_against(other, where)
        refuse_faults(*min(judged, key=_badness), where)
    best = min(possible, key=_unlikeliness)
    others = [seen for seen in possible if seen is not best and not excludes(best, seen, plan.blank)]
    for other in others:
        if not same_seat(samples, best.frame, other.frame, best.scatter_mm, plan):
            refuse_ambiguous(best, other, where)
    return best, others


def _forbidden(tried: Sequence[Evidence], blank: Blank, toward: Toward) -> list[Evidence]:
    """Return what the scan bears out and the user's words forbid."""
    return [seen for seen in tried if not toward.allows(seen.frame) and not faults(seen, blank, PoseLimits())]


def _laid(
    points: Floats, samples: Floats, rim: Rim, plan: Plan, toward: Toward, where: str
) -> Iterator[Evidence]:
    """Yield what speaks for each turn in which the edge of a scan comes near the outline."""
    axes = axes_on(rim.plane.normal)
    standing = _standing(samples, rim.plane, plan.blank)
    if len(standing) < FEWEST:
        return
    edge = near_the_edge(standing)
    turns = turns_onto(edge, plan.blank)
    near: Sequence[Turn] = turns.near[:MOST_TURNS]
    if not turns.told and near:
        if toward.front is None:
            refuse_round(where)
        ahead = axes[:2] @ toward.front
        near = [turns.toward(float(0.5 * np.pi - np.arctan2(ahead[1], ahead[0])))]
    for turn in near:
        fit = fit_outline(edge, turn, plan.blank, plan.cell_mm, turns=turns.told)
        first = _frame(axes, rim.plane, fit.turn)
        frame, scatter = levelled(points, samples, first, rim.scatter_mm, plan)
        yield _settled(samples, frame, scatter, plan, turns=turns.told)


def _settled(samples: Floats, level: Frame, scatter_mm: float, plan: Plan, *, turns: bool) -> Evidence:
    """Lay the edge on the outline once more, now that the plane is known, and see what speaks for it."""
    local = level.into(samples)
    edge = near_the_edge(local[wall(local, plan.blank), :2])
    fit = fit_outline(edge, Turn(0.0, np.zeros(2), 0.0), plan.blank, plan.cell_mm, scatter_mm, turns=turns)
    frame = _frame(level.axes, Plane(level.axes[2], 0.0), fit.turn)
    return evidence(samples, Frame(level.origin + frame.origin, frame.axes), fit, scatter_mm, plan)


def _standing(samples: Floats, plane: Plane, blank: Blank) -> Floats:
    """Return the places on a plane of what stands as high as the wall, shape (n, 2)."""
    local = samples @ axes_on(plane.normal).T - [0.0, 0.0, plane.offset]
    return np.asarray(local[wall(local, blank), :2])


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
