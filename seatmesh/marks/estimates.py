"""What marks leave of each parameter: an estimate with its standard error, beside what was known before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.marks.parameters import PARAMETERS, Prior


@dataclass(frozen=True)
class Estimate:
    """One quantity after the marks and before them, in the unit that its name ends in.

    Attributes
    ----------
    value, standard_error
        After.
    before, before_error
        Before.
    """

    value: float
    standard_error: float
    before: float
    before_error: float


def estimates_of(
    prior: Prior, parameters: Floats, covariance: Floats, back_mm: float
) -> tuple[Mapping[str, Estimate], Floats]:
    """Return the estimates of all parameters and of what follows from them, and the covariance of all in that order.

    `parameters` and `covariance` are those after the marks; `back_mm` is the usual place of the back of the buttocks.
    """
    names, after, slope = _with_derived(parameters, back_mm)
    _, before, slope_before = _with_derived(prior.mean, back_mm)
    joint = slope @ covariance @ slope.T
    joint_before = slope_before @ prior.root @ prior.root.T @ slope_before.T
    errors, errors_before = np.sqrt(np.diag(joint)), np.sqrt(np.diag(joint_before))
    rows = np.stack([after, errors, before, errors_before], axis=1).tolist()
    return {name: Estimate(*row) for name, row in zip(names, rows, strict=True)}, joint


def _with_derived(parameters: Floats, back_mm: float) -> tuple[tuple[str, ...], Floats, Floats]:
    """Return names and values of parameters and what follows from them, and the derivatives of these by those."""
    at = dict(zip(PARAMETERS, parameters.tolist(), strict=True))
    breadth, share = at["hip_breadth_sitting_mm"], at["buttock_behind_share"]
    left, right = at["splay_left_deg"], at["splay_right_deg"]
    derived: dict[str, tuple[float, dict[str, float]]] = {
        "along_mm": (
            back_mm + share * breadth + at["forward_mm"],
            {"hip_breadth_sitting_mm": share, "buttock_behind_share": breadth, "forward_mm": 1.0},
        ),
        "splay_deg": (0.5 * (left + right), {"splay_left_deg": 0.5, "splay_right_deg": 0.5}),
        "splay_right_minus_left_deg": (right - left, {"splay_left_deg": -1.0, "splay_right_deg": 1.0}),
    }
    slopes = [[by.get(name, 0.0) for name in PARAMETERS] for _, by in derived.values()]
    values = np.append(parameters, [value for value, _ in derived.values()])
    return (*PARAMETERS, *derived), values, np.vstack([np.eye(len(PARAMETERS)), slopes])
