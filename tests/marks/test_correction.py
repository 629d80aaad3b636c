from dataclasses import replace

import numpy as np
import pytest

from seatmesh.body.body import Body, Habit, Measure
from seatmesh.body.figure.posture import Posture
from seatmesh.body.figure.seated import seat_body
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.errors import InputError, ValueRefusedError
from seatmesh.marks import correction
from seatmesh.marks.correction import Correction, correct
from seatmesh.marks.estimates import Estimate
from seatmesh.marks.mark import Mark
from seatmesh.marks.parameters import MEASURED, PARAMETERS, layout_of, prior_of, readings_of
from seatmesh.seating.place import Lie, marks_of, places
from seatmesh.wood.blank import Blank

BLANK = Blank(width_mm=500.0)
TRUE = {
    "sit_bone_spacing_mm": 131.0,
    "hip_breadth_sitting_mm": 392.0,
    "thigh_circumference_mm": 590.0,
    "lower_thigh_circumference_mm": 380.0,
    "thigh_clearance_mm": 150.0,
    "buttock_popliteal_length_mm": 488.0,
}


def known() -> Body:
    return estimate_body("female", 1660.0, 64.0)


def true_marks(
    error_mm: float = 3.0, turn: float = 0.0, splays: tuple[float, float] = (9.0, 15.0)
) -> list[Mark]:
    """Return marks of a body 5 mm to the right of its usual place and 12 mm ahead, by hand from the model's figures."""
    hip, half = 0.5 * TRUE["hip_breadth_sitting_mm"], 0.5 * TRUE["thigh_clearance_mm"]
    width = np.sqrt(2.0 * (TRUE["thigh_circumference_mm"] / (2.0 * np.pi)) ** 2 - half**2)
    knee_width, behind = TRUE["lower_thigh_circumference_mm"] / (2.0 * np.pi), 0.32 * 392.0
    long = TRUE["buttock_popliteal_length_mm"] - behind - 15.0
    points = [("end of the spine", "middle", 0.0, -65.0)]
    for side, sign, splay in (("left", -1.0, np.radians(splays[0])), ("right", 1.0, np.radians(splays[1]))):
        ahead = long * np.cos(splay)
        points += [("hip end", side, sign * hip, 0.0), ("sit bone", side, sign * 65.5, 0.0)]
        points.append(("knee-back line", side, sign * (hip - width + long * np.sin(splay)), 15.0 + ahead))
        for y in (70.0, 220.0):
            share = (y - 15.0) / ahead
            axis = hip - width + share * long * np.sin(splay)
            touching = 0.65 * (width + share * (knee_width - width))
            points.append(("inner thigh line", side, sign * (axis - touching), y))
            points.append(("outer thigh line", side, sign * (axis + touching), y))
    cos, sin = np.cos(turn), np.sin(turn)
    at_x, at_y = 5.0, 35.0 + behind + 12.0
    return [
        Mark(name, side, float(at_x + x * cos + y * sin), float(at_y + y * cos - x * sin), error_mm)  # type: ignore[arg-type]
        for name, side, x, y in points
    ]


def value(found: Correction, name: str) -> float:
    return found.estimates[name].value


def test_marks_read_without_error_give_body_and_place_back() -> None:
    loose = {name: replace(known().measures[name], standard_error=60.0) for name in MEASURED}
    body = replace(known(), measures={**known().measures, **loose})
    found = correct(body, true_marks(0.01, turn=np.radians(1.5)), BLANK)
    assert value(found, "sit_bone_spacing_mm") == pytest.approx(131.0, abs=0.1)
    assert value(found, "splay_left_deg") == pytest.approx(9.0, abs=0.05)
    assert value(found, "splay_right_deg") == pytest.approx(15.0, abs=0.05)
    assert value(found, "splay_right_minus_left_deg") == pytest.approx(6.0, abs=0.1)
    assert value(found, "turn_deg") == pytest.approx(1.5, abs=0.02)
    assert value(found, "along_mm") == pytest.approx(35.0 + 0.32 * 392.0 + 12.0, abs=0.1)
    assert found.body.habit.across_mm == pytest.approx(5.0, abs=0.05)
    assert found.questions == ()
    # The corrected body makes the same marks, but for its turn and the sides' difference.
    bone = next(
        place for place in places(found.body, BLANK) if place.name == "sit bone" and place.side == "right"
    )
    assert bone.points_mm[0] == pytest.approx((70.5, 172.44), abs=0.1)
    assert found.body.habit.splay_deg == pytest.approx(12.0, abs=0.05)


def test_marks_of_a_turned_uneven_lie_are_those_made_by_hand() -> None:
    loose = {name: Measure(TRUE[name], 5.0, "measured") for name in MEASURED}
    layout = layout_of(replace(known(), measures={**known().measures, **loose}), BLANK)
    at = dict(zip(PARAMETERS, prior_of(layout.body).mean, strict=True))
    at |= {
        "splay_left_deg": 9.0,
        "splay_right_deg": 15.0,
        "across_mm": 5.0,
        "forward_mm": 12.0,
        "turn_deg": 2.0,
    }
    marks = true_marks(turn=np.radians(2.0))
    readings = readings_of(marks)
    expected = layout.predicted(np.array(list(at.values())), marks, readings)
    assert np.allclose(expected, readings.values, atol=1e-6)
    assert len(readings.values) == 2 * 5 + 1 * 10


def test_one_pure_function_makes_the_marks_of_body_and_plan() -> None:
    body = replace(known(), habit=Habit(splay_deg=14.0, pelvis_tilt_deg=6.0, forward_mm=9.0))
    seated = seat_body(body, Posture())
    splay = float(np.radians(14.0))
    lie = Lie(
        seated.anatomy,
        seated.hip[1],
        seated.tailbone_tip[1],
        (0.0, 44.0 - seated.anatomy.buttock_back),
        (splay,) * 2,
    )
    made = marks_of(lie)
    assert {(place.name, place.side): place.points_mm for place in places(body, BLANK)} == made
    half = seated.anatomy.thigh_half_widths[1]
    y = 44.0 - seated.anatomy.buttock_back + seated.knee_back_y
    expected = ((-seated.knee_x + half, y), (-seated.knee_x - half, y))
    assert np.allclose(made["knee-back line", "left"], expected)


def test_errors_fall_and_what_marks_do_not_tell_stays() -> None:
    body = known()
    found = correct(body, [mark for mark in true_marks() if mark.name == "sit bone"], BLANK)
    spacing = found.body.measures["sit_bone_spacing_mm"]
    before = body.measures["sit_bone_spacing_mm"]
    # Two readings of 3 mm make a distance of 3 sqrt 2; precisions add up.
    weight, weight_before = 1.0 / 18.0, 1.0 / before.standard_error**2
    assert spacing.standard_error == pytest.approx((weight + weight_before) ** -0.5, rel=0.01)
    assert spacing.value == pytest.approx(
        (131.0 * weight + before.value * weight_before) / (weight + weight_before), abs=0.2
    )
    assert spacing.origin == "given"
    girth = found.body.measures["thigh_circumference_mm"]
    assert (girth.origin, girth.standard_error) == (
        "estimated",
        pytest.approx(body.measures["thigh_circumference_mm"].standard_error, rel=0.05),
    )
    assert found.body.measures["stature_mm"] == body.measures["stature_mm"]
    across = found.estimates["across_mm"]
    assert across.standard_error == pytest.approx((1.0 / 4.5 + 1.0 / 25.0) ** -0.5, rel=0.01)
    assert across.value == pytest.approx(5.0 * (1.0 / 4.5) / (1.0 / 4.5 + 1.0 / 25.0), abs=0.05)


def test_covariance_is_the_curvature_of_the_sum_of_squares() -> None:
    """Marks where they are expected leave no residuals, and then the curvature holds no second derivatives."""
    body, deep = known(), Blank(width_mm=500.0, depth_mm=560.0)
    marks = [
        Mark(place.name, place.side, *point) for place in places(body, deep) for point in place.points_mm
    ]
    found = correct(body, marks, deep)
    layout, prior, readings = layout_of(body, deep), prior_of(body), readings_of(marks)
    middle = np.array([value(found, name) for name in PARAMETERS])
    inverse = np.linalg.inv(prior.root @ prior.root.T)

    def half_squares(at: np.ndarray) -> float:
        off = (readings.values - layout.predicted(at, marks, readings)) / readings.errors
        return float(0.5 * off @ off + 0.5 * (at - prior.mean) @ inverse @ (at - prior.mean))

    covariance = found.covariance[: len(PARAMETERS), : len(PARAMETERS)]
    errors = np.sqrt(np.diag(covariance))
    assert errors == pytest.approx([found.estimates[name].standard_error for name in PARAMETERS])
    least = half_squares(middle)
    assert least == pytest.approx(0.0, abs=1e-6)
    # A standard error along each axis of the covariance raises half the squares by a half; a third, by a ninth of it.
    lengths, axes = np.linalg.eigh(covariance / np.outer(errors, errors))
    for length, axis in zip(lengths, axes.T, strict=True):
        step = np.sqrt(length) * errors * axis / 3.0
        risen = 0.5 * (half_squares(middle + step) + half_squares(middle - step)) - least
        assert risen == pytest.approx(0.5 / 9.0, rel=0.01)


@pytest.mark.parametrize(
    ("number", "shift", "tape", "read"),
    [
        (3, (14.0, 0.0), "centre line", 75.5 - 19.0),
        (3, (0.0, 12.0), "rear edge", 184.44),
        (4, (0.0, 40.0), "rear edge", 0),
    ],
)
def test_a_slip_is_questioned_at_the_right_end_of_the_tape(
    number: int, shift: tuple[float, float], tape: str, read: float
) -> None:
    marks = true_marks()
    slipped = marks[number - 1]
    assert slipped.side == "left"
    marks[number - 1] = replace(slipped, x_mm=slipped.x_mm + shift[0], y_mm=slipped.y_mm + shift[1])
    first = correct(known(), marks, BLANK).questions[0]
    assert (first.number, first.name, first.side, first.tape_from) == (number, slipped.name, "left", tape)
    assert abs(first.surprise) > 2.0
    if number == 3:
        expected = -slipped.x_mm if tape == "centre line" else slipped.y_mm
        assert first.read_mm == pytest.approx(-marks[2].x_mm if tape == "centre line" else read, abs=0.01)
        assert first.expected_mm == pytest.approx(expected, abs=4.0)
    assert f"recheck the tape from the {tape}" in first.text()
    assert '"' in first.text("in")


def test_what_is_expected_of_a_questioned_reading_is_what_all_others_say() -> None:
    """Left out by hand, it leaves the very expectation, up to the model's bend."""
    marks = true_marks()
    marks[2] = replace(marks[2], y_mm=marks[2].y_mm + 10.0)
    first = correct(known(), marks, BLANK).questions[0]
    vague = [*marks[:2], replace(marks[2], standard_error_mm=100.0), *marks[3:]]
    found = correct(known(), vague, BLANK)
    lie = layout_of(known(), BLANK).lie(np.array([value(found, name) for name in PARAMETERS]))
    assert not first.left_out
    assert first.expected_mm == pytest.approx(marks_of(lie)["sit bone", "left"][0][1], abs=0.2)
    assert first.standard_error_mm > 3.0


def test_a_gross_slip_is_left_out_and_drags_nothing_else_along() -> None:
    marks = true_marks()
    clean = correct(known(), marks, BLANK)
    marks[2] = replace(marks[2], x_mm=marks[2].x_mm - 60.0)
    found = correct(known(), marks, BLANK)
    assert found.questions[0].left_out
    assert found.questions[0].text().endswith("left out of the correction")
    assert len(found.questions) == 1
    for name, one in found.estimates.items():
        assert abs(one.value - clean.estimates[name].value) < one.standard_error, name
    assert (
        found.estimates["sit_bone_spacing_mm"].standard_error
        > clean.estimates["sit_bone_spacing_mm"].standard_error
    )


def test_left_and_right_are_compared() -> None:
    found = correct(known(), true_marks(turn=np.radians(2.0)), BLANK)
    bones = next(one for one in found.uneven if one.name == "sit bone" and one.tape_from == "centre line")
    along = next(one for one in found.uneven if one.name == "sit bone" and one.tape_from == "rear edge")
    assert bones.right_minus_left_mm == pytest.approx(10.0, abs=1e-6)
    assert bones.standard_error_mm == pytest.approx(3.0 * np.sqrt(2.0))
    assert bones.explained_mm == pytest.approx(2.0 * found.body.habit.across_mm, abs=1e-3)
    assert along.right_minus_left_mm == pytest.approx(-131.0 * np.sin(np.radians(2.0)), abs=1e-6)
    turned = np.radians(value(found, "turn_deg"))
    assert along.explained_mm == pytest.approx(
        -value(found, "sit_bone_spacing_mm") * np.sin(turned), abs=1e-6
    )
    assert {one.name for one in found.uneven} == {"sit bone", "hip end"} | {"knee-back line"}
    assert value(found, "splay_right_minus_left_deg") == pytest.approx(6.0, abs=2.0)
    alone = [mark for mark in true_marks() if mark.side != "left"]
    assert correct(known(), alone, BLANK).uneven == ()


def test_the_mirror_image_of_all_marks_mirrors_the_sitter() -> None:
    other = {"left": "right", "right": "left", "middle": "middle"}
    marks = true_marks(turn=0.02)
    mirrored = [replace(mark, side=other[mark.side], x_mm=-mark.x_mm) for mark in marks]  # type: ignore[arg-type]
    one, two = correct(known(), marks, BLANK), correct(known(), mirrored, BLANK)
    assert value(one, "splay_left_deg") == pytest.approx(value(two, "splay_right_deg"), abs=1e-4)
    assert value(one, "turn_deg") == pytest.approx(-value(two, "turn_deg"), abs=1e-4)
    assert one.body.habit.across_mm == pytest.approx(-two.body.habit.across_mm, abs=1e-4)
    assert value(one, "thigh_circumference_mm") == pytest.approx(
        value(two, "thigh_circumference_mm"), abs=1e-3
    )


def test_a_measure_known_exactly_stays() -> None:
    body = estimate_body("male", 1780.0, 77.0, hip_breadth_sitting_mm=Measure(380.0, 0.0, "measured"))
    found = correct(body, true_marks(), BLANK)
    assert found.body.measures["hip_breadth_sitting_mm"] == Measure(380.0, 0.0, "measured")
    assert found.estimates["hip_breadth_sitting_mm"].standard_error == 0.0


def test_no_mark_and_marks_of_nobody_are_refused() -> None:
    with pytest.raises(InputError, match="none given"):
        correct(known(), [], BLANK)
    with pytest.raises(ValueRefusedError, match="outside the blank"):
        correct(known(), [Mark("sit bone", "left", -260.0, 150.0)], BLANK)
    vague = replace(known().measures["sit_bone_spacing_mm"], standard_error=200.0)
    body = replace(known(), measures={**known().measures, "sit_bone_spacing_mm": vague})
    far = [Mark("sit bone", "left", -150.0, 150.0), Mark("sit bone", "right", 150.0, 150.0)]
    with pytest.raises(
        ValueRefusedError, match=r"sit_bone_spacing_mm from marks = .*plausible are 70 to 190"
    ):
        correct(body, far, BLANK)


@pytest.mark.parametrize(("shift_mm", "left_out"), [(-25.0, False), (-45.0, True)])
def test_a_question_states_what_the_other_mark_says_and_how_surely(shift_mm: float, left_out: bool) -> None:
    """By hand: left = across - half, right = across + half, each normal beforehand; the left one given the right."""
    spacing = known().measures["sit_bone_spacing_mm"]
    half_variance = 0.25 * spacing.standard_error**2
    own, together = 25.0 + half_variance, 25.0 - half_variance
    share = together / (own + 9.0)
    error = np.sqrt(own - share * together + 9.0)
    expected = 0.5 * spacing.value - share * (60.0 - 0.5 * spacing.value)
    y = 35.0 + 0.32 * known().value("hip_breadth_sitting_mm")
    marks = [Mark("sit bone", "left", -expected + shift_mm, y), Mark("sit bone", "right", 60.0, y)]
    (question,) = correct(known(), marks, BLANK).questions
    assert (question.name, question.side, question.tape_from) == ("sit bone", "left", "centre line")
    assert question.left_out == left_out
    assert question.read_mm == pytest.approx(expected - shift_mm)
    assert question.expected_mm == pytest.approx(expected, abs=0.05)
    assert question.standard_error_mm == pytest.approx(error, rel=0.003)
    assert question.surprise == pytest.approx(-shift_mm / error, rel=0.01)


def test_what_is_known_before_is_the_bodys_own_errors_tied_as_in_the_survey() -> None:
    body = estimate_body("male", 1780.0, 77.0, hip_breadth_sitting_mm=372.0)
    prior = prior_of(body)
    covariance = prior.root @ prior.root.T
    errors = np.sqrt(np.diag(covariance))
    assert prior.mean[: len(MEASURED)] == pytest.approx([body.value(name) for name in MEASURED])
    assert errors[: len(MEASURED)] == pytest.approx([body.measures[name].standard_error for name in MEASURED])
    tied = covariance / np.outer(errors, errors)
    girth, lower = (
        PARAMETERS.index("thigh_circumference_mm"),
        PARAMETERS.index("lower_thigh_circumference_mm"),
    )
    assert tied[girth, lower] > 0.3
    assert np.abs(tied[PARAMETERS.index("sit_bone_spacing_mm"), girth]) < 1e-9
    left, right = PARAMETERS.index("splay_left_deg"), PARAMETERS.index("splay_right_deg")
    assert covariance[left, right] == pytest.approx(36.0)
    assert covariance[left, left] == pytest.approx(45.0)
    assert errors[left + 2 :] == pytest.approx([5.0, 6.0, 2.0, 0.08 * 0.32, 0.08])
    unstated = prior_of(estimate_body(None, 1700.0, 70.0))
    assert np.linalg.norm(unstated.root[0]) == pytest.approx(
        estimate_body(None, 1700.0, 70.0).measures["sit_bone_spacing_mm"].standard_error
    )


def test_what_follows_from_the_parameters_has_its_error_from_theirs() -> None:
    found = correct(known(), true_marks(), BLANK)
    n = len(PARAMETERS)
    middle, covariance = np.array([value(found, name) for name in PARAMETERS]), found.covariance[:n, :n]
    drawn = np.random.default_rng(4).multivariate_normal(np.zeros(n), covariance, 200)
    at = {name: middle[i] + 1e-3 * drawn[:, i] for i, name in enumerate(PARAMETERS)}
    along = 35.0 + at["buttock_behind_share"] * at["hip_breadth_sitting_mm"] + at["forward_mm"]
    splay = 0.5 * (at["splay_left_deg"] + at["splay_right_deg"])
    apart = at["splay_right_deg"] - at["splay_left_deg"]
    by_hand = np.column_stack([along, splay, apart])
    slope, *_ = np.linalg.lstsq(
        1e-3 * drawn, by_hand - [value(found, name) for name in list(found.estimates)[n:]]
    )
    for i, name in enumerate(list(found.estimates)[n:]):
        error = np.sqrt(slope[:, i] @ covariance @ slope[:, i])
        assert found.estimates[name].standard_error == pytest.approx(error, rel=1e-3)
    before = found.estimates["along_mm"].before_error
    breadth = known().measures["hip_breadth_sitting_mm"]
    parts = (6.0, 0.08 * 0.32 * breadth.value, 0.32 * breadth.standard_error)
    assert before == pytest.approx(np.linalg.norm(parts), rel=1e-6)


def test_what_is_known_before_any_mark_is_as_written() -> None:
    """From memory, each with its reason in the module: how people sit down, and one thigh beside the other."""
    prior = prior_of(known())
    covariance = prior.root @ prior.root.T
    errors = dict(zip(PARAMETERS, np.sqrt(np.diag(covariance)), strict=True))
    left, right = (PARAMETERS.index(f"splay_{side}_deg") for side in ("left", "right"))
    assert covariance[left, right] == pytest.approx(6.0**2)
    assert [covariance[k, k] for k in (left, right)] == pytest.approx([6.0**2 + 3.0**2] * 2)
    expected = {
        "across_mm": 5.0,
        "forward_mm": 6.0,
        "turn_deg": 2.0,
        "buttock_behind_share": 0.08 * 0.32,
        "touching_share": 0.08,
    }
    assert {name: errors[name] for name in expected} == pytest.approx(expected)
    for name in MEASURED:
        assert errors[name] == pytest.approx(known().measures[name].standard_error, rel=1e-6)


@pytest.mark.parametrize(("error", "origin"), [(8.9, "given"), (9.1, "estimated")])
def test_an_estimate_that_marks_sharpen_by_a_tenth_is_given(error: float, origin: str) -> None:
    measure = Measure(400.0, 10.0, "estimated")
    after = correction._sharpened(measure, Estimate(390.0, error, 400.0, 10.0))
    assert after == Measure(390.0, error, origin)
    exact = Measure(400.0, 0.0, "given")
    assert correction._sharpened(exact, Estimate(390.0, 5.0, 400.0, 10.0)) is exact


@pytest.mark.parametrize(("off", "kept"), [(3.95, True), (4.05, False)])
def test_a_reading_four_standard_errors_off_is_left_out(
    off: float, kept: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Fit:
        def surprise(self, kept: np.ndarray) -> np.ndarray:
            return np.array([0.5, -off, 1.0])

    monkeypatch.setattr(correction, "_fit", lambda *_: Fit())
    readings = readings_of(
        [Mark("sit bone", "left", -58.0, 150.0), Mark("knee-back line", "left", -90.0, 400.0)]
    )
    assert len(readings.values) == 3
    which, _ = correction._without_slips(None, None, [], readings)  # type: ignore[arg-type]
    assert which.tolist() == [True, kept, True]
