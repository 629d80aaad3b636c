"""What marks can tell of a sitter: the parameters, what is known of them beforehand, and the marks that they make."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from seatmesh.arrays import Floats
from seatmesh.body.body import Body
from seatmesh.body.figure.anatomy import BUTTOCK_BEHIND_PER_HIP_BREADTH, anatomy_of
from seatmesh.body.figure.posture import Posture
from seatmesh.body.figure.seated import seat_body
from seatmesh.body.survey.draw import DRAWN, joints_of
from seatmesh.marks.mark import KINDS, Mark
from seatmesh.seating.place import (
    PART_ERROR,
    PLACE_ERROR_MM,
    TOUCHING,
    TOUCHING_ERROR,
    Lie,
    marks_of,
    usual_back_mm,
)
from seatmesh.seating.sureness.uncertainty import SIDE_ERROR_MM
from seatmesh.wood.blank import Blank

MEASURED = (
    "sit_bone_spacing_mm",
    "hip_breadth_sitting_mm",
    "thigh_circumference_mm",
    "lower_thigh_circumference_mm",
    "thigh_clearance_mm",
    "buttock_popliteal_length_mm",
)
"""The body measures that marks depend on."""
PARAMETERS = (
    *MEASURED,
    "splay_left_deg",
    "splay_right_deg",
    "across_mm",
    "forward_mm",
    "turn_deg",
    "buttock_behind_share",
    "touching_share",
)
"""Body measures, then: splay of each thigh; the middle between the sit bones to the right of the centre line; the back
of the buttocks ahead of its usual place; turn to the right; back of the buttocks behind the sit bones over hip breadth;
half-width of a thigh on the board over its own."""
SPLAY_ERROR_DEG = 6.0
"""Standard error of a habit of splay that both thighs share; from memory."""
SPLAY_SIDE_ERROR_DEG = 3.0
"""Standard error of each thigh's own splay about it; from memory."""
EXACT_MM = 1e-6
"""A measure with a standard error no greater is taken for exact."""
TURN_ERROR_DEG = 2.0
"""Standard error of how straight a person sits down; from memory."""


@dataclass(frozen=True)
class Prior:
    """What is known before any mark: normal with `mean`, shape (13,), and covariance `root` @ `root`.T.

    With z of standard normal numbers, mean + root @ z are the parameters. A measure known exactly has a row of zeros.
    """

    mean: Floats
    root: Floats


@dataclass(frozen=True)
class MarkReadings:
    """All numbers read of all marks, mm.

    Attributes
    ----------
    mark
        Index of the mark, shape (n,).
    along
        Whether the number is the distance from the rear edge, shape (n,); else that from the centre line.
    values, errors
        What was read, and one standard error of it, shape (n,); the error holds what the body leaves open.
    """

    mark: NDArray[np.int64]
    along: NDArray[np.bool_]
    values: Floats
    errors: Floats


def prior_of(body: Body) -> Prior:
    """Return what a body says of the parameters: its measures with their errors, its habits with the usual ones.

    The measures go together as in the survey, so that broad hips on the wood say something of the thighs.
    """
    habit = body.habit
    share = BUTTOCK_BEHIND_PER_HIP_BREADTH
    mean = [*(body.value(name) for name in MEASURED), habit.splay_deg, habit.splay_deg]
    mean += [habit.across_mm, habit.forward_mm, 0.0, share, TOUCHING]
    errors = [SIDE_ERROR_MM, PLACE_ERROR_MM, TURN_ERROR_DEG, PART_ERROR * share, TOUCHING_ERROR]
    root = np.diag([0.0] * (len(MEASURED) + 2) + errors)
    root[: len(MEASURED), : len(MEASURED)] = _root_of_measures(body)
    left = PARAMETERS.index("splay_left_deg")
    both = np.full((2, 2), SPLAY_ERROR_DEG**2) + np.diag([SPLAY_SIDE_ERROR_DEG**2] * 2)
    root[left : left + 2, left : left + 2] = np.linalg.cholesky(both)
    return Prior(np.asarray(mean, dtype=float), root)


def _root_of_measures(body: Body) -> Floats:
    """Return R with R R^T the covariance of `MEASURED`: errors as the body states them, tied as in the survey."""
    joints = joints_of(body)
    which = [DRAWN.index(name) for name in MEASURED]
    middle = sum(joint.weight * joint.mean for joint in joints)
    covariance = np.zeros((len(which),) * 2)
    for joint in joints:
        off = (joint.mean - middle)[which]
        covariance += joint.weight * (joint.covariance[np.ix_(which, which)] + np.outer(off, off))
    scale = np.sqrt(np.maximum(np.diag(covariance), EXACT_MM**2))
    values, vectors = np.linalg.eigh(covariance / np.outer(scale, scale))
    errors = np.array([body.measures[name].standard_error for name in MEASURED])
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    # The survey's errors are close to the body's; what it takes for exact has none of either.
    length = np.maximum(np.linalg.norm(root, axis=1), 1e-12)
    return np.asarray((errors / length)[:, None] * root)


def readings_of(marks: Sequence[Mark]) -> MarkReadings:
    """Return the numbers that checked marks state: two of a point, one of a line."""
    rows = [
        (i, along, mark.y_mm if along else mark.x_mm, float(np.hypot(mark.standard_error_mm, own)))
        for i, mark in enumerate(marks)
        for along, own in ((False, KINDS[mark.name].across), (True, KINDS[mark.name].along))
        if own is not None
    ]
    which, along, values, errors = zip(*rows, strict=True)
    return MarkReadings(np.array(which), np.array(along), np.array(values), np.array(errors))


@dataclass(frozen=True)
class ParameterOrder:
    """A sitter over a blank whose parameters are still open."""

    body: Body
    back_mm: float
    hip_y: float
    tailbone_y: float

    def lie(self, parameters: Floats) -> Lie:
        """Return how the sitter lies on the blank with these parameters, shape (13,)."""
        at = dict(zip(PARAMETERS, parameters.tolist(), strict=True))
        behind = at["buttock_behind_share"] * at["hip_breadth_sitting_mm"]
        anatomy = replace(
            anatomy_of(with_measures(self.body, at)),
            buttock_back=-behind,
            knee_back=at["buttock_popliteal_length_mm"] - behind,
        )
        return Lie(
            anatomy,
            self.hip_y,
            self.tailbone_y,
            at=(at["across_mm"], self.back_mm + behind + at["forward_mm"]),
            splays=(float(np.radians(at["splay_left_deg"])), float(np.radians(at["splay_right_deg"]))),
            turn=float(np.radians(at["turn_deg"])),
            touching=at["touching_share"],
        )

    def predicted(self, parameters: Floats, marks: Sequence[Mark], readings: MarkReadings) -> Floats:
        """Return what should have been read, mm, shape of the readings; a line is met where the mark is on it."""
        expected = marks_of(self.lie(parameters))
        out = []
        for i, along in zip(readings.mark.tolist(), readings.along.tolist(), strict=True):
            mark = marks[i]
            points = expected[mark.name, mark.side]
            if len(points) == 1:
                out.append(points[0][1 if along else 0])
                continue
            (x0, y0), (x1, y1) = points[0], points[1]
            if along:
                out.append(y0 + (y1 - y0) * (mark.x_mm - x0) / (x1 - x0))
            else:
                out.append(x0 + (x1 - x0) * (mark.y_mm - y0) / (y1 - y0))
        return np.asarray(out, dtype=float)


def layout_of(body: Body, blank: Blank) -> ParameterOrder:
    """Return a body over a blank, sitting upright."""
    seated = seat_body(body, Posture())
    return ParameterOrder(body, usual_back_mm(blank), seated.hip[1], seated.tailbone_tip[1])


def with_measures(body: Body, values: Mapping[str, float]) -> Body:
    """Return the body with other values of `MEASURED`."""
    changed = {name: replace(body.measures[name], value=values[name]) for name in MEASURED}
    return replace(body, measures={**body.measures, **changed})
