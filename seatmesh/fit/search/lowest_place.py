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
from seatmesh.fit.hollow import Guest, HollowFit, deepest
from seatmesh.fit.search.smooth_peak import InPosture, in_postures
from seatmesh.fit.wished.target import leg_hollows
from seatmesh.seating.settle import settle
from seatmesh.surface import Seat

TRIED_MM = (0.0, 12.0, 24.0)
"""Distances behind the sit bones at which the lowest place is tried."""
FARTHEST_SHARE = 0.6
"""Of the way from sit bones to the tip of the tailbone: farther back nothing is tried."""
COARSE_MM = 8.0
"""Cells on which the places are compared: peaks are lower on them, alike on all places."""
STEP_MM = 2.0
"""Between the places across at which a leg hollow is looked for."""
LEAST_BEND = 1e-6
"""Least second derivative, per mm^2, of a cost that is taken to have a least between the places tried."""


def with_lowest_place(fit: HollowFit, guests: Sequence[Guest], depth_mm: float) -> HollowFit:
    """Return the fit with its lowest place where the peaks of all, in all postures, cost least together.

    A place that the maker wishes stays. Where the leg hollows lie is then seen on a seat that is nearly the fitted one.
    """
    if fit.wishes.form == "least pressure" or depth_mm <= 0.0:
        return fit
    if fit.wishes.deepest_y_mm is not None:
        return _with_leg_hollows(fit, _roughly(fit, depth_mm))
    bones = float(np.average([one.sit_bones_y_mm for one in fit.impressions], weights=fit.weights))
    tail = float(np.average([one.tailbone_y_mm for one in fit.impressions], weights=fit.weights))
    at_bones = bones - fit.lowest_y_mm
    seats = [_roughly(replace(fit, moved_mm=at_bones - back), depth_mm) for back in TRIED_MM]
    seated = in_postures(guests, fit.seat, COARSE_MM)
    back = _least(_costs(seated, seats), min(TRIED_MM[-1], FARTHEST_SHARE * (bones - tail)))
    nearest = seats[int(np.argmin(np.abs(np.array(TRIED_MM) - back)))]
    return _with_leg_hollows(replace(fit, moved_mm=at_bones - back), nearest)


def _with_leg_hollows(fit: HollowFit, rough: Seat) -> HollowFit:
    p = fit.programme
    if rough.hollow is None:
        return fit
    across = np.arange(0.0, p.x_mm[-1], STEP_MM)
    _, aside = leg_hollows(rough.hollow(across[None, :], p.y_mm[:, None]), across)
    return replace(fit, leg_hollow_x_mm=aside[:, 0])


def _least(costs: Sequence[float], farthest_mm: float) -> float:
    """Return where a parabola through the costs at `TRIED_MM` is least, between 0 and `farthest_mm`."""
    if not np.all(np.isfinite(costs)):
        return 0.0
    step = TRIED_MM[1]
    bend = (costs[0] - 2.0 * costs[1] + costs[2]) / step**2
    slope = (costs[2] - costs[0]) / (2.0 * step)
    return float(np.clip(TRIED_MM[1] - slope / max(bend, LEAST_BEND), 0.0, max(farthest_mm, 0.0)))


def _costs(seated: Sequence[InPosture], seats: Sequence[Seat]) -> list[float]:
    """Return what the peaks on each seat cost."""
    costs = [0.0] * len(seats)
    for one in seated:
        pose: Pose | None = None
        for number, seat in enumerate(seats):
            settled = settle(one.sitter, seat, start=pose)
            pose = settled.solution.value if settled.solution.converged else None
            costs[number] += one.weight * settled.peak_kpa
    return costs


def _roughly(fit: HollowFit, depth_mm: float) -> Seat:
    """Return the fairest seat, where bounds but those on single coefficients do not hold yet."""
    wanted = fit.wished(depth_mm)
    springs = fit.springs(wanted, depth_mm)
    spline = fairest(fit.programme, wanted.depth_mm, wanted.weight, fit.fairness_mm, springs)
    held = np.minimum(spline.coefficients, fit.upper)
    shaped = replace(spline, coefficients=held)
    return replace(
        fit.seat, hollow=replace(shaped, coefficients=held * (depth_mm / max(deepest(shaped)[2], 1.0)))
    )
