"""Where along the seat the lowest place lies: between the sit bones and the end of the spine, where it costs least.

Under the sit bones an upright sitter presses least there; farther back the tailbone of one who slouches is freer. Both
are pressed, in the postures in use, on seats whose lowest place lies here or there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from seatmesh.contact import Pose
from seatmesh.fit.bounded.programme import fairest
from seatmesh.fit.hollow import HollowFit, deepest
from seatmesh.fit.search.smooth_peak import InPosture
from seatmesh.fit.wished.target import leg_hollows
from seatmesh.seating.settle import settle
from seatmesh.surface import Seat

TRIED_MM = (0.0, 12.0, 24.0)
"""Distances behind the sit bones at which the lowest place is tried."""
FARTHEST_SHARE = 0.6
"""Of the way from sit bones to the tip of the tailbone: farther back nothing is tried."""
STEP_MM = 2.0
"""Between the places across at which a leg hollow is looked for."""
LEAST_BEND = 1e-6
"""Least second derivative, per mm^2, of a cost that is taken to have a least between the places tried."""


def with_lowest_place(fit: HollowFit, seated: Sequence[InPosture], depth_mm: float) -> HollowFit:
    """Return the fit with its lowest place where the peaks of all, in all postures, cost least together.

    A place that the maker wishes stays. Where the leg hollows lie is then seen on a seat that is nearly the fitted one.
    """
    if fit.wishes.form == "least pressure" or depth_mm <= 0.0:
        return fit
    placed = fit if fit.wishes.deepest_y_mm is not None else _placed(fit, seated, depth_mm)
    p, rough = fit.programme, _roughly(placed, depth_mm).hollow
    across = np.arange(0.0, p.x_mm[-1], STEP_MM)
    if rough is None:
        return placed
    _, aside = leg_hollows(rough(across[None, :], p.y_mm[:, None]), across)
    return replace(placed, leg_hollow_x_mm=aside[:, 0])


def _placed(fit: HollowFit, seated: Sequence[InPosture], depth_mm: float) -> HollowFit:
    bones = float(np.average([one.sit_bones_y_mm for one in fit.impressions], weights=fit.weights))
    tail = float(np.average([one.tailbone_y_mm for one in fit.impressions], weights=fit.weights))
    at_bones = bones - fit.lowest_y_mm
    poses: list[Pose | None] = [None] * len(seated)
    costs = [_cost(replace(fit, moved_mm=at_bones - back), seated, depth_mm, poses) for back in TRIED_MM]
    back = _least(costs, min(TRIED_MM[-1], FARTHEST_SHARE * (bones - tail)))
    return replace(fit, moved_mm=at_bones - back)


def _least(costs: Sequence[float], farthest_mm: float) -> float:
    """Return where a parabola through the costs at `TRIED_MM` is least, between 0 and `farthest_mm`."""
    if not np.all(np.isfinite(costs)):
        return 0.0
    step = TRIED_MM[1]
    bend = (costs[0] - 2.0 * costs[1] + costs[2]) / step**2
    slope = (costs[2] - costs[0]) / (2.0 * step)
    return float(np.clip(TRIED_MM[1] - slope / max(bend, LEAST_BEND), 0.0, max(farthest_mm, 0.0)))


def _cost(fit: HollowFit, seated: Sequence[InPosture], depth_mm: float, poses: list[Pose | None]) -> float:
    """Return what the peaks on a seat cost; `poses` are where each sitter's balance begins, and then ended."""
    seat, cost = _roughly(fit, depth_mm), 0.0
    for number, one in enumerate(seated):
        settled = settle(one.sitter, seat, start=poses[number])
        poses[number] = settled.solution.value if settled.solution.converged else None
        cost += one.weight * settled.peak_kpa
    return cost


def _roughly(fit: HollowFit, depth_mm: float) -> Seat:
    """Return the fairest seat, where bounds but those on single coefficients do not hold yet."""
    wanted = fit.wished(depth_mm)
    form = fit.form(wanted, depth_mm)
    springs = None if form is None else form.springs
    spline = fairest(fit.programme, wanted.depth_mm, wanted.weight, fit.fairness_mm, springs)
    held = np.minimum(spline.coefficients, fit.upper)
    shaped = replace(spline, coefficients=held)
    return replace(
        fit.seat, hollow=replace(shaped, coefficients=held * (depth_mm / max(deepest(shaped)[2], 1.0)))
    )
