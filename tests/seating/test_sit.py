"""Sitting: sides, places, refusals and verdicts."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh import Blank, Chair, InputError, Seat, estimate_body, flat_seat, sit
from seatmesh.body.body import Habit
from seatmesh.errors import NotSolvedError
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over

BODY = estimate_body("male", 1760.0, 78.0)
FLAT = flat_seat()


def test_a_symmetric_sitter_presses_alike_on_both_sides():
    sitting = sit(BODY, FLAT)
    assert sitting.pressure_kpa == pytest.approx(sitting.pressure_kpa[:, ::-1], abs=1e-6)
    share = sitting.figures.load_share
    assert share.left_sit_bone == pytest.approx(share.right_sit_bone, abs=1e-9)
    assert sum(share.values()) == pytest.approx(1.0)


def test_shifting_right_loads_the_right_of_the_blank():
    sitting = sit(BODY, FLAT, at_mm=(15.0, 0.0))
    centre = (sitting.pressure_kpa * sitting.x_mm).sum() / sitting.pressure_kpa.sum()
    assert centre == pytest.approx(15.0, abs=0.5)


def test_postures_and_places_add_up():
    posture = sit(BODY, FLAT, posture="shifted left")
    place = sit(BODY, FLAT, at_mm=(-20.0, 0.0))
    assert posture.pressure_kpa == pytest.approx(place.pressure_kpa, abs=1e-9)


def test_right_leg_crossed_mirrors_left_leg_crossed():
    right, left = (sit(BODY, FLAT, posture=f"{side} leg crossed") for side in ("right", "left"))
    assert right.converged
    assert right.pressure_kpa == pytest.approx(left.pressure_kpa[:, ::-1], abs=1e-6)
    share = right.figures.load_share
    assert share.left_sit_bone + share.left_thigh > share.right_sit_bone + share.right_thigh + 0.05
    assert share.right_thigh < 0.5 * share.left_thigh


def test_slouching_brings_the_tailbone_nearer():
    upright, slouched = (sit(BODY, FLAT, posture=name).figures for name in ("upright", "slouched"))
    assert slouched.tailbone_clearance_mm < upright.tailbone_clearance_mm - 5


def test_pressure_and_skin_belong_together():
    sitting = sit(BODY, FLAT)
    pressed = (sitting.skin_mm < 0) & (sitting.wood > 0)
    assert np.all((sitting.pressure_kpa > 0) == pressed)


@pytest.mark.parametrize(("spacing_mm", "near"), [(2.0, 0.015), (8.0, 0.05)])
def test_another_grid_says_the_same(spacing_mm, near):
    usual = sit(BODY, FLAT).figures
    other = press(lay_over(BODY, FLAT, spacing_mm=spacing_mm), FLAT).figures
    for key in ("peak_kpa", "contact_area_cm2", "mean_kpa", "hottest_8_percent_share"):
        assert other[key] == pytest.approx(usual[key], rel=near)


def test_a_high_front_edge_and_a_deep_seat_are_warned_of():
    high = sit(BODY, Seat(chair=Chair(front_height_mm=520.0)))
    assert any("front edge stands" in note for note in high.figures.notes)
    deep = sit(BODY, Seat(blank=Blank(depth_mm=600.0)))
    assert any("too deep" in note for note in deep.figures.notes)
    inches = sit(BODY, Seat(chair=Chair(front_height_mm=520.0), units="in")).figures.notes
    assert all('"' in note and " mm" not in note.removeprefix(BODY.name) for note in inches)
    ahead = sit(BODY, flat_seat(Blank(deck_mm=160.0)))
    assert any("hardly borne" in note for note in ahead.figures.notes)
    assert sit(BODY, FLAT).figures.notes == ()


def test_a_sitter_off_the_blank_gets_a_verdict_not_a_figure():
    off = sit(BODY, FLAT, at_mm=(1000.0, 0.0))
    assert not off.converged
    assert "topples" in off.verdict or "misses" in off.verdict
    assert list(off.figures) == ["load_n", "converged", "residual"]
    with pytest.raises(NotSolvedError, match=r"no peak_kpa.*(topples|misses)"):
        _ = off.figures.peak_kpa
    assert np.all(np.isfinite(off.pressure_kpa))


def test_too_great_a_load_is_said_to_press_through():
    heavy = sit(BODY, FLAT, load_n=4900.0)
    assert not heavy.converged
    assert "tissue" in heavy.verdict


@pytest.mark.parametrize("load", [0.0, -3.0, float("nan"), float("inf"), 1e9])
def test_refused_loads(load):
    with pytest.raises(InputError, match="load_n"):
        sit(BODY, FLAT, load_n=load)


def test_refused_places_and_postures():
    with pytest.raises(InputError, match="at_mm"):
        sit(BODY, FLAT, at_mm=(float("nan"), 0.0))
    with pytest.raises(InputError, match="upright"):
        sit(BODY, FLAT, posture="uprigth")


def test_a_habit_moves_the_sitter_forward():
    forward = replace(BODY, habit=Habit(forward_mm=30.0))
    near, far = (sit(one, FLAT).figures.load_point_mm.y_mm for one in (BODY, forward))
    assert far - near == pytest.approx(30.0)


def test_who_sits_off_the_centre_line_presses_there():
    aside = replace(BODY, habit=Habit(across_mm=8.0))
    seat = flat_seat()
    middle, moved = sit(BODY, seat), sit(aside, seat)
    x, pressure = moved.x_mm, moved.pressure_kpa
    assert (pressure.sum(axis=0) * x).sum() / pressure.sum() == pytest.approx(8.0, abs=0.1)
    assert moved.figures.peak_kpa == pytest.approx(middle.figures.peak_kpa, rel=0.03)


def test_the_bones_of_a_sitter_who_sits_aside_lie_where_the_sitter_sits():
    """Tips of the sit bones are the lowest of all bone: half of their spacing to either side of the sitter's middle."""
    sitter = lay_over(BODY, flat_seat(), "upright", (24.0, -16.0))
    sitting = press(sitter, flat_seat())
    x, y = sitter.at_mm
    for sign in (-1.0, 1.0):
        near = (
            np.hypot(
                sitting.x_mm[None, :] - x - sign * sitter.seated.anatomy.sit_bone_x, sitting.y_mm[:, None] - y
            )
            < 60.0
        )
        row, column = np.unravel_index(np.argmin(np.where(near, sitting.bone_mm, np.inf)), near.shape)
        # The body leans a little in its balance: within two cells.
        assert sitting.x_mm[column] == pytest.approx(x + sign * sitter.seated.anatomy.sit_bone_x, abs=8.0)
        assert sitting.y_mm[row] == pytest.approx(y, abs=8.0)


def test_bone_and_skin_go_down_together():
    """Bone stands as far above skin as in the body unpressed, and above the wood."""
    sitter = lay_over(estimate_body("male", 1740.0, 69.0), flat_seat())
    sitting = press(sitter, flat_seat())
    x, y = sitter.cells_mm
    apart = sitter.seated.bone(x - sitter.at_mm[0], y - sitter.at_mm[1]) - sitter.fields.skin
    there = np.isfinite(apart)
    assert (sitting.bone_mm - sitting.skin_mm).ravel()[there] == pytest.approx(apart[there])
    assert sitting.bone_mm.min() > 10.0


@pytest.mark.parametrize("posture", ["upright", "slouched", "left leg crossed", "legs apart"])
@pytest.mark.parametrize("width_mm", [448.0, 452.0])
def test_skin_and_bone_over_the_cells_are_the_body_s_on_both_sides(posture, width_mm):
    """An odd and an even number of columns; what mirrors itself is reckoned on one side alone."""
    seat = flat_seat(Blank(width_mm=width_mm))
    sitter = lay_over(estimate_body("male", 1760.0, 78.0), seat, posture)
    x, y = (one - at for one, at in zip(sitter.cells_mm, sitter.at_mm, strict=True))
    assert sitter.skin == pytest.approx(sitter.seated.skin(x, y), abs=1e-10)
    assert sitter.bone == pytest.approx(sitter.seated.bone(x, y), abs=1e-10)
    assert sitter.again().bone is sitter.bone
