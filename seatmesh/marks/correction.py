"""Marks correct body and place: Bayesian least squares on what was read and on what was known before.

The parameters are the mean of what is known before plus `root` @ z, z of standard normal numbers. With r(z) the
readings less their prediction, each over its standard error, |r|^2 + |z|^2 is made least; its curvature J^T J + 1 there
is the inverse of the covariance of z (Tarantola 2005, *Inverse Problem Theory*, ch. 3; from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import least_squares

from seatmesh.arrays import Bools, Floats
from seatmesh.body.body import Body, Habit, Measure
from seatmesh.body.figure.anatomy import BUTTOCK_BEHIND_PER_HIP_BREADTH
from seatmesh.body.habit_keys import HABIT_RANGES
from seatmesh.body.measures import MEASURES
from seatmesh.errors import InputError, NotSolvedError, ValueRefusedError
from seatmesh.marks.estimates import Estimate, estimates_of
from seatmesh.marks.mark import Mark, check_marks
from seatmesh.marks.parameters import (
    MEASURED,
    MarkReadings,
    ParameterOrder,
    Prior,
    layout_of,
    prior_of,
    readings_of,
)
from seatmesh.marks.question import QUESTIONED, Question, Uneven, questions_of, unevenness
from seatmesh.wood.blank import Blank

SET_ASIDE = 4.0
"""A reading this many standard errors off what all others say is no reading but a slip, and is left out."""
SHARPENED = 0.9
"""An estimated measure whose error falls below this share of what it was is no mere estimate any more."""
STEP = 1e-4
"""Step of the differences for the curvature, in standard errors known before."""


@dataclass(frozen=True)
class Correction:
    """What marks say of a sitter.

    Attributes
    ----------
    body
        The body with its measures, their errors and its habit of splay and place (ahead, across) corrected.
    estimates
        By name, each of `seatmesh.marks.parameters.PARAMETERS`, then "along_mm" (the middle between the sit bones
        ahead of the rear edge), "splay_deg" (mean of both thighs) and "splay_right_minus_left_deg".
    covariance
        Of all estimates in that order, shape (n, n).
    uneven
        How far left and right differ, pair by pair.
    questions
        Readings more than two standard errors off what all others say of them, worst first.
    iterations, residual
        Evaluations that the solver took; root mean square of the residuals kept, in standard errors.
    """

    body: Body
    estimates: Mapping[str, Estimate]
    covariance: Floats
    uneven: tuple[Uneven, ...]
    questions: tuple[Question, ...]
    iterations: int
    residual: float


@dataclass(frozen=True)
class _Fit:
    z: Floats
    jacobian: Floats
    off: Floats
    evaluations: int

    def covariance(self, kept: Bools) -> Floats:
        """Return the covariance of z from the readings kept."""
        seen = self.jacobian[kept]
        return np.asarray(np.linalg.inv(np.eye(len(self.z)) + seen.T @ seen))

    def surprise(self, kept: Bools) -> Floats:
        """Return by how many standard errors each reading is off what all other kept ones say.

        The variance of a kept residual is 1 - h, h its leverage; that of one left out is 1 + h.
        """
        leverage = np.einsum("ij,jk,ik->i", self.jacobian, self.covariance(kept), self.jacobian)
        return np.asarray(self.off / np.sqrt(np.where(kept, 1.0 - leverage, 1.0 + leverage)))


def correct(body: Body, marks: Sequence[Mark], blank: Blank) -> Correction:
    """Return body and place as marks on the bare blank correct them.

    A reading far off (`SET_ASIDE`) what all others and the body say is left out, worst first, and questioned.

    Raises
    ------
    InputError
        No mark, an unknown one or one off the blank (see `seatmesh.marks.mark.check_marks`); or the marks make a
        body that is not plausible.
    NotSolvedError
        The solver found no least squares.
    """
    if not marks:
        raise InputError("marks: none given; give at least one, such as both sit bones.")
    check_marks(marks, blank)
    layout, prior, readings = layout_of(body, blank), prior_of(body), readings_of(marks)
    kept, fit = _without_slips(layout, prior, marks, readings)
    parameters = prior.mean + prior.root @ fit.z
    covariance = prior.root @ fit.covariance(kept) @ prior.root.T
    estimates, joint = estimates_of(prior, parameters, covariance, layout.back_mm)
    expected = readings.values - readings.errors * fit.off
    questions = questions_of(marks, readings, fit.off, fit.surprise(kept), kept)
    return Correction(
        body=_corrected(body, estimates, layout.back_mm, questions),
        estimates=estimates,
        covariance=joint,
        uneven=unevenness(marks, readings, expected),
        questions=questions,
        iterations=fit.evaluations,
        residual=float(np.sqrt(np.mean(fit.off[kept] ** 2))),
    )


def _without_slips(
    layout: ParameterOrder, prior: Prior, marks: Sequence[Mark], readings: MarkReadings
) -> tuple[Bools, _Fit]:
    """Return which readings are kept, and the fit to them; one slip at a time, so that none drags others out."""
    kept = np.ones(len(readings.values), dtype=bool)
    while True:
        fit = _fit(layout, prior, marks, readings, kept)
        surprise = np.where(kept, np.abs(fit.surprise(kept)), 0.0)
        worst = int(np.argmax(surprise))
        if surprise[worst] <= SET_ASIDE or np.count_nonzero(kept) == 1:
            return kept, fit
        kept[worst] = False


def _fit(
    layout: ParameterOrder, prior: Prior, marks: Sequence[Mark], readings: MarkReadings, kept: Bools
) -> _Fit:
    def off(z: Floats) -> Floats:
        parameters = prior.mean + prior.root @ z
        return (readings.values - layout.predicted(parameters, marks, readings)) / readings.errors

    def kept_and_known(z: Floats) -> Floats:
        return np.append(off(z)[kept], z)

    found = least_squares(kept_and_known, np.zeros(len(prior.mean)), method="lm", max_nfev=4000)
    if found.status <= 0:
        raise NotSolvedError(
            f"marks: {found.message}; check the readings, or correct the body's measures first."
        )
    z = np.asarray(found.x, dtype=float)
    steps = STEP * np.eye(len(z))
    jacobian = np.stack([(off(z + step) - off(z - step)) / (2.0 * STEP) for step in steps], axis=1)
    return _Fit(z, jacobian, off(z), int(found.nfev))


def _corrected(
    body: Body, estimates: Mapping[str, Estimate], back_mm: float, questions: tuple[Question, ...]
) -> Body:
    measures = {
        **body.measures,
        **{name: _sharpened(body.measures[name], estimates[name]) for name in MEASURED},
    }
    behind = BUTTOCK_BEHIND_PER_HIP_BREADTH * measures["hip_breadth_sitting_mm"].value
    habit = Habit(
        splay_deg=estimates["splay_deg"].value,
        pelvis_tilt_deg=body.habit.pelvis_tilt_deg,
        # A body has one proportion of the buttocks; the place of the sit bones is what the marks are surest of.
        forward_mm=estimates["along_mm"].value - back_mm - behind,
        across_mm=estimates["across_mm"].value,
    )
    _check_plausible(measures, habit, estimates, questions)
    return replace(body, measures=measures, habit=habit)


def _check_plausible(
    measures: Mapping[str, Measure],
    habit: Habit,
    estimates: Mapping[str, Estimate],
    questions: tuple[Question, ...],
) -> None:
    """Refuse a body that no adult has, as far as the marks' own error does not account for it."""
    rows = [
        (
            name,
            measures[name].value,
            measures[name].standard_error,
            MEASURES[name].lowest,
            MEASURES[name].highest,
        )
        for name in MEASURED
    ]
    for name, error_of in (
        ("splay_deg", "splay_deg"),
        ("forward_mm", "along_mm"),
        ("across_mm", "across_mm"),
    ):
        plausible = HABIT_RANGES[name]
        error = estimates[error_of].standard_error
        rows.append((name, getattr(habit, name), error, plausible.lowest, plausible.highest))
    for name, value, error, low, high in rows:
        if not low - QUESTIONED * error <= value <= high + QUESTIONED * error:
            todo = questions[0].text() if questions else "recheck the marks and the body's measures"
            raise ValueRefusedError(
                f"{name} from marks", f"{value:.0f}", f"plausible are {low:g} to {high:g}", todo
            )


def _sharpened(measure: Measure, estimate: Estimate) -> Measure:
    """Return the measure as the marks leave it; one that they say nothing of stays as it was."""
    if measure.standard_error == 0.0:
        return measure
    sharper = estimate.standard_error < SHARPENED * measure.standard_error
    origin = "given" if sharper and measure.origin == "estimated" else measure.origin
    return Measure(estimate.value, estimate.standard_error, origin)


__all__ = ["QUESTIONED", "SET_ASIDE", "Correction", "correct"]
