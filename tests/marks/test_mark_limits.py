"""Limits of marks and of what is made of them: both sides of each."""

from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh.body.body import Measure
from seatmesh.body.measures import MEASURES
from seatmesh.body.survey.draw import DRAWN, joints_of
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.errors import InputError, ValueRefusedError
from seatmesh.marks import correction
from seatmesh.marks.known_points import KnownPoint, check_known_points
from seatmesh.marks.mark import Mark
from seatmesh.marks.parameters import MEASURED, PARAMETERS, prior_of, readings_of
from seatmesh.marks.question import unevenness
from seatmesh.marks.sides import across_mm, by_sign


def test_what_is_nearer_to_the_centre_line_than_a_twentieth_of_a_millimetre_lies_on_it():
    for away, on_line in ((0.049, True), (0.051, False)):
        assert (by_sign(away) == by_sign(-away) == "") == on_line
        if on_line:
            assert across_mm(away, "middle", "joint") == 0.0
        else:
            with pytest.raises(ValueRefusedError, match="lies on the centre line"):
                across_mm(away, "middle", "joint")


def point(name, x, y, at=None):
    """Return a point of a photograph taken square from above, 2 px to the millimetre, y downward."""
    return KnownPoint(name, (1000.0 + 2.0 * x, 900.0 - 2.0 * y), (x, y) if at is None else at)


CORNERS = [
    point(str(k), *at) for k, at in enumerate([(-240.0, 0.0), (240.0, 0.0), (240.0, 430.0), (-240.0, 430.0)])
]
CHECKS = [point(f"check {k}", -150.0 + 100.0 * k, 200.0) for k in range(4)]


def test_three_corners_make_a_triangle_from_a_fiftieth_of_its_longest_side_on():
    """A third corner 0.0196 and 0.0204 of 480 mm off the line of two others."""
    for share, allowed in ((0.0196, False), (0.0204, True)):
        low = point("low", 0.0, -480.0 * share)
        corners = [CORNERS[0], low, CORNERS[1], point("far", 0.0, 430.0)]
        if allowed:
            check_known_points(corners, CHECKS)
        else:
            with pytest.raises(InputError, match="lie on a line"):
                check_known_points(corners, CHECKS)


@pytest.mark.parametrize(("gap", "allowed"), [(14.8, False), (15.2, True)])
def test_a_check_point_is_15_mm_from_corners_and_others(gap, allowed):
    for near in ((-240.0 + gap, 0.0), (-150.0, 200.0 - gap)):
        checks = [*CHECKS, point("near", *near)]
        if allowed:
            check_known_points(CORNERS, checks)
        else:
            with pytest.raises(InputError, match="choose one further away"):
                check_known_points(CORNERS, checks)


def test_a_photograph_has_four_corners_and_four_check_points():
    for corners, checks in ((CORNERS[:3], CHECKS), ([*CORNERS, CHECKS[0]], CHECKS), (CORNERS, CHECKS[:3])):
        with pytest.raises(InputError, match="given"):
            check_known_points(corners, checks)
    check_known_points(CORNERS, CHECKS)


def test_thighs_splay_alike_within_six_degrees_and_each_within_three_more():
    """Standard errors from memory, each with its reason in the module."""
    root = prior_of(estimate_body("female", 1660.0, 64.0)).root
    covariance = root @ root.T
    left, right = PARAMETERS.index("splay_left_deg"), PARAMETERS.index("splay_right_deg")
    assert covariance[left, left] == pytest.approx(6.0**2 + 3.0**2)
    assert covariance[left, right] == pytest.approx(6.0**2)


def test_a_hip_ends_place_along_is_open_by_15_mm():
    """A rounded side is within 3 mm of its widest over some 25 mm each way; beside the error of the mark."""
    readings = readings_of([Mark("hip end", "left", -190.0, 160.0, 4.0)])
    assert readings.errors[~readings.along] == pytest.approx([np.hypot(4.0, 3.0)])
    assert readings.errors[readings.along] == pytest.approx([np.hypot(4.0, 15.0)])


@pytest.mark.parametrize(("left", "origin"), [(0.89, "given"), (0.91, "estimated")])
def test_an_estimate_is_taken_as_given_from_a_tenth_less_of_error_on(left, origin):
    before = Measure(390.0, 20.0, "estimated")
    after = correction._sharpened(before, SimpleNamespace(value=395.0, standard_error=20.0 * left))
    assert (after.origin, after.value) == (origin, 395.0)


@pytest.mark.parametrize(("surprise", "kept"), [(3.95, True), (4.05, False)])
def test_a_reading_is_a_slip_from_four_standard_errors_on(monkeypatch, surprise, kept):
    fit = SimpleNamespace(surprise=lambda which: np.array([0.5, -surprise, 1.0]))
    monkeypatch.setattr(correction, "_fit", lambda *_: fit)
    which, _ = correction._without_slips(None, None, (), SimpleNamespace(values=np.zeros(3)))
    assert which.tolist() == [True, kept, True]


def test_left_and_right_are_told_apart_by_the_error_of_their_means():
    """Errors of 4 and 3 mm make a mean's of 5 / 2 mm; with the single mark's 6 mm on the other side 6.5 mm."""
    marks = [
        Mark("sit bone", "left", -61.0, 150.0, 4.0),
        Mark("sit bone", "left", -57.0, 154.0, 3.0),
        Mark("sit bone", "right", 66.0, 149.0, 6.0),
    ]
    readings = readings_of(marks)
    made = readings.values + np.where(readings.mark == 2, 1.0, 0.0)
    across, along = unevenness(marks, readings, made)
    assert across.standard_error_mm == pytest.approx(6.5)
    assert across.right_minus_left_mm == pytest.approx(66.0 - 59.0)
    assert across.explained_mm == pytest.approx(67.0 - 59.0)
    assert along.standard_error_mm == pytest.approx(6.5)
    assert along.right_minus_left_mm == pytest.approx(149.0 - 152.0)


@pytest.mark.parametrize("end", ["lowest", "highest"])
@pytest.mark.parametrize(("errors", "kept"), [(1.95, True), (2.05, False)])
def test_a_body_that_no_adult_has_is_refused_from_two_of_its_own_errors_on(end, errors, kept):
    body = estimate_body("female", 1660.0, 64.0)
    limit = getattr(MEASURES["sit_bone_spacing_mm"], end)
    beyond = limit + (errors if end == "highest" else -errors) * 3.0
    measures = {**body.measures, "sit_bone_spacing_mm": Measure(beyond, 3.0, "estimated")}
    estimates = {name: SimpleNamespace(standard_error=1.0) for name in ("splay_deg", "along_mm", "across_mm")}
    if kept:
        correction._check_plausible(measures, body.habit, estimates, ())
    else:
        with pytest.raises(ValueRefusedError, match="sit_bone_spacing_mm"):
            correction._check_plausible(measures, body.habit, estimates, ())


def test_errors_of_a_body_without_a_sex_are_tied_as_in_a_mixture_of_both():
    """Correlation of the measures by the law of total variance: within the sexes, and between their means."""
    body = estimate_body(None, 1700.0, 70.0)
    root = prior_of(body).root[: len(MEASURED), : len(MEASURED)]
    joints = joints_of(body)
    assert len(joints) == 2
    which = [DRAWN.index(name) for name in MEASURED]
    share = joints[0].weight
    within = sum(one.weight * one.covariance for one in joints)
    between = share * (1.0 - share) * np.outer(*[joints[0].mean - joints[1].mean] * 2)
    whole = (within + between)[np.ix_(which, which)]
    apart = np.sqrt(np.diag(whole))
    own = root @ root.T
    errors = np.sqrt(np.diag(own))
    assert own / np.outer(errors, errors) == pytest.approx(whole / np.outer(apart, apart), abs=1e-6)
