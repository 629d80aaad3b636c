"""The seated body against published anatomy; ids are those of the table of check values."""

import numpy as np
import pytest

from seatmesh.body.body_file import bodies_folder, read_body
from seatmesh.body.figure.anatomy import HIP_ABOVE_SIT_BONE_MM, anatomy_of
from seatmesh.body.figure.posture import POSTURES, posture_named
from seatmesh.body.figure.seated import PARTS, seat_body
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.errors import UnknownKeyError

NAMES = sorted(path.stem for path in bodies_folder().glob("*.toml"))


def body(name):
    return read_body(bodies_folder() / f"{name}.toml")


def at(seated, x, y):
    return seated.fields(np.atleast_1d(float(x)), np.atleast_1d(float(y)))


@pytest.mark.parametrize("name", NAMES)
def test_lengths_lie_in_published_bands(name):
    anatomy = anatomy_of(body(name))
    seated = seat_body(body(name), POSTURES["upright"])
    # B6; a BMI of 36 passes its end a little.
    assert 25 <= anatomy.tissue <= (61 if name == "viola" else 60)
    assert 95 <= -anatomy.buttock_back <= 150  # B11, from memory: 100 to 140 mm
    assert 75 <= HIP_ABOVE_SIT_BONE_MM <= 80  # B9
    assert 50 <= -seated.tailbone_tip[1] <= 80  # B11, from memory
    assert 20 <= seated.tailbone_tip[2] <= 45  # B11, from memory
    assert 45 <= anatomy.sit_bone_x <= 72.5  # B3


@pytest.mark.parametrize("name", NAMES)
def test_skin_under_the_sit_bones_is_as_far_as_the_tissue_is_thick(name):
    seated = seat_body(body(name), POSTURES["upright"])
    under = at(seated, seated.anatomy.sit_bone_x, 0.0)
    assert under.skin == pytest.approx(-seated.anatomy.tissue, abs=0.01)
    tip = np.array([seated.anatomy.sit_bone_x]), np.zeros(1)
    assert seated.bone(*tip) == pytest.approx(0.0, abs=1e-9)
    assert under.tissue == pytest.approx(seated.anatomy.tissue, abs=0.5)


@pytest.mark.parametrize("posture", ["upright", "slouched", "legs apart", "legs together", "leaning forward"])
def test_left_mirrors_right(posture):
    seated = seat_body(body("cello"), posture_named(posture))
    rng = np.random.default_rng(1)
    x, y = rng.uniform(0, 230, 400), rng.uniform(-140, 300, 400)
    right, left = seated.fields(x, y), seated.fields(-x, y)
    assert left.skin == pytest.approx(right.skin, abs=1e-9)
    assert left.tissue == pytest.approx(right.tissue, abs=1e-9)


def test_tissue_is_the_nearest_distance_not_the_height_of_a_column():
    seated = seat_body(body("viola"), POSTURES["upright"])
    x = seated.anatomy.sit_bone_x + np.array([0.0, 10.0, 17.0])
    fields = seated.fields(x, np.zeros(3))
    column = seated.bone(x, np.zeros(3)) - fields.skin
    assert fields.tissue[0] == pytest.approx(column[0], abs=0.1)
    assert np.all(fields.tissue[1:] < column[1:])


def test_the_slope_of_the_skin_is_that_of_its_heights():
    """sin^2 of the slope by differences of another step."""
    seated = seat_body(body("cello"), POSTURES["upright"])
    x, y = (one.ravel() for one in np.meshgrid(np.linspace(20.0, 150.0, 12), np.linspace(-80.0, 300.0, 20)))
    by_x, by_y = (
        (seated.fields(x + dx, y + dy).skin - seated.fields(x - dx, y - dy).skin) / 0.2
        for dx, dy in ((0.1, 0.0), (0.0, 0.1))
    )
    rise = seated.fields(x, y).backing.rise
    assert rise == pytest.approx(np.sin(np.arctan(np.hypot(by_x, by_y))) ** 2, abs=2e-3)
    assert rise.max() > 0.3


def test_flesh_is_held_above_at_the_height_of_the_hips():
    """Beside the bones, behind a buttock, what holds the flesh is nearer straight above than any bone."""
    seated = seat_body(body("cello"), POSTURES["upright"])
    fields = at(seated, 150.0, -110.0)
    held = seated.hip[2] - fields.skin
    assert float(held[0]) < float(fields.tissue[0])
    assert fields.backing.nearest == pytest.approx(held)
    # Between the thighs the skin rises above the hips: it counts as held 30 mm away.
    assert at(seated, 0.0, 300.0).backing.nearest == pytest.approx(30.0)


def test_the_tailbone_holds_as_its_bare_axis():
    """By hand: under its tip the axis lies the radius of the tip, 8 mm, above the bone's underside."""
    seated = seat_body(body("violin-1"), posture_named("slouched"))
    tip = at(seated, 0.0, seated.tailbone_tip[1])
    assert fields_part(tip) == "tailbone"
    assert float(tip.backing.nearest[0] - tip.tissue[0]) == pytest.approx(8.0, abs=0.3)


def fields_part(fields):
    return PARTS[int(fields.part[0])]


def test_skin_covers_bone_everywhere():
    for name in NAMES:
        seated = seat_body(body(name), POSTURES["upright"])
        x, y = (one.ravel() for one in np.meshgrid(np.linspace(-200, 200, 81), np.linspace(-120, 380, 101)))
        skin, bone = seated.fields(x, y).skin, seated.bone(x, y)
        assert np.all(bone[np.isfinite(bone)] > skin[np.isfinite(bone)]), name


def radius_under(seated, x):
    """Return the radius of the skin across at y = 0, from three points 20 mm apart."""
    left, middle, right = seated.fields(x + np.array([-20.0, 0.0, 20.0]), np.zeros(3)).skin
    return 400.0 / (left - 2.0 * middle + right)


@pytest.mark.parametrize("percent", [75.0, 125.0])
def test_a_flatter_underside_has_a_larger_radius_and_the_same_tissue(percent):
    man = estimate_body("male", 1740, 69)
    usual = seat_body(man, POSTURES["upright"])
    other = seat_body(
        estimate_body("male", 1740, 69, underside_flatness_percent=percent), POSTURES["upright"]
    )
    # Off the blend with the thigh, where the buttock alone is the skin.
    x = usual.anatomy.sit_bone_x + 15.0
    assert radius_under(other, x) / radius_under(usual, x) == pytest.approx(percent / 100.0, rel=0.06)
    under = usual.anatomy.sit_bone_x
    assert at(other, under, 0.0).skin == pytest.approx(at(usual, under, 0.0).skin, abs=0.02)
    thigh = usual.anatomy.thigh_x
    assert at(other, thigh, 150.0).skin == pytest.approx(at(usual, thigh, 150.0).skin, abs=1.5)


def test_tilting_the_pelvis_lowers_the_tailbone_and_moves_the_hips_back():
    upright = seat_body(body("cello"), POSTURES["upright"])
    slouched = seat_body(body("cello"), POSTURES["slouched"])
    assert slouched.tailbone_tip[2] < upright.tailbone_tip[2] - 10
    assert slouched.hip[1] < upright.hip[1] - 10
    # A rigid pelvis keeps the distance from sit bone to hip.
    assert np.hypot(*slouched.hip[1:]) == pytest.approx(np.hypot(*upright.hip[1:]))


def test_splay_turns_the_thighs_outward():
    apart = seat_body(body("violin-2"), POSTURES["legs apart"])
    together = seat_body(body("violin-2"), POSTURES["legs together"])
    assert apart.knee_x > together.knee_x + 40


def test_a_crossed_leg_leaves_the_seat():
    upright = seat_body(body("violin-2"), POSTURES["upright"])
    crossed = seat_body(body("violin-2"), POSTURES["right leg crossed"])
    x = upright.anatomy.thigh_x + 20.0
    assert at(crossed, x, 200.0).skin[0] > at(upright, x, 200.0).skin[0] + 40
    assert at(crossed, -x, 200.0).skin[0] == pytest.approx(at(upright, -x, 200.0).skin[0], abs=3.0)


def test_a_crossed_thigh_is_lifted_at_the_hip_and_twice_as_much_at_the_knee():
    """A thigh is some 90 mm high where it crosses the other one; common practice."""
    upright, crossed = (
        seat_body(body("violin-2"), POSTURES[name]).bones["right_thigh"]
        for name in ("upright", "right leg crossed")
    )
    assert crossed.start[2] - upright.start[2] == pytest.approx(45.0, abs=0.5)
    assert crossed.end[2] - upright.end[2] == pytest.approx(90.0, abs=1.0)


def test_parts_have_their_places():
    seated = seat_body(body("viola"), POSTURES["upright"])
    x = np.array([-50.0, 50.0, -100.0, 100.0, 0.0])
    y = np.array([0.0, 0.0, 200.0, 200.0, -75.0])
    assert list(seated.fields(x, y).part) == [PARTS.index(name) for name in PARTS]


def test_unknown_posture_is_refused_with_the_nearest():
    with pytest.raises(UnknownKeyError, match="slouched"):
        posture_named("slouch")
