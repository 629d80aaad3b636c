"""Notes about the wood: glue lines under places that matter, and what they hold."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh.design.report.wood_notes import pommel_mm, wood_notes
from seatmesh.fit.hollow import deepest
from seatmesh.surface import flat_seat
from seatmesh.wood.joint import Joint


def with_blank(seat, **fields):
    return replace(seat, blank=replace(seat.blank, **fields))


def _moved(seat):
    """Coefficients of a hollow with its deepest places on either side of the centre line."""
    c = seat.hollow.coefficients
    across = np.linspace(-240.0, 240.0, len(c))
    return c - 3.0 * np.exp(-((across / 40.0) ** 2))[:, None]


def test_glue_lines_under_pommel_and_deepest_point(carved_seat):
    assert pommel_mm(carved_seat) > 4.0
    # The advice for a line under the pommel is the same that a line beside it gets.
    for x, todo in ((0.0, "choose boards alike"), (6.0, "put it on the centre line")):
        (note,) = (one for one in wood_notes(with_blank(carved_seat, glue_lines_mm=(x,))) if "pommel" in one)
        assert "under the pommel" in note
        assert todo in note
        assert "25 mm or more from the crest" in note
        inches = wood_notes(replace(with_blank(carved_seat, glue_lines_mm=(x,)), units="in"))
        # 25 mm are 31.5/32 in: as little as that is kept clear, and no less.
        assert any('1" or more from the crest' in one for one in inches)
    assert wood_notes(with_blank(carved_seat, glue_lines_mm=(-100.0, 100.0))) == []
    aside = replace(carved_seat, hollow=replace(carved_seat.hollow, coefficients=_moved(carved_seat)))
    x = deepest(aside.hollow)[0]
    assert x > 20.0
    notes = wood_notes(with_blank(aside, glue_lines_mm=(-x - 4.0, x + 60.0)))
    assert len(notes) == 1
    assert "left of the centre line lies under the deepest point" in notes[0]
    assert wood_notes(flat_seat()) == []


@pytest.mark.parametrize(("depth", "word"), [(30.0, None), (22.0, "leaves"), (15.0, "cuts into")])
def test_a_tongue_too_near_the_surface(carved_seat, depth, word):
    seat = with_blank(
        carved_seat,
        glue_lines_mm=(-100.0, 100.0),
        glue_joint="loose tongue",
        glue_joint_depth_mm=depth,
        glue_joint_thickness_mm=6.0,
    )
    notes = wood_notes(seat)
    if word is None:
        assert notes == []
        return
    assert len(notes) == 2
    assert word in notes[0]
    if word == "leaves":
        y = np.arange(0.0, 430.0, 2.0)
        left = depth - 3.0 - seat.depth_mm(np.array([[-112.0], [-100.0], [-88.0]]), y).max()
        assert f"leaves {left:.1f}".rstrip("0").rstrip(".") in notes[0]


def test_a_mortise_deeper_than_the_floor_lets_it_be_is_noted(carved_seat):
    """Of 45 mm of wood, upright, a mortise 28 mm deep leaves 17 where the floor asks for 20."""
    leg = Joint("leg mortise", x_mm=180.0, y_mm=380.0, diameter_mm=26.0, depth_mm=28.0)
    notes = wood_notes(with_blank(carved_seat, joints=(leg,)))
    assert len(notes) == 1
    assert "3 mm less over it than the floor of 20 mm" in notes[0]
    for fitting in (replace(leg, depth_mm=25.0), replace(leg, keep_mm=17.0), replace(leg, depth_mm=None)):
        assert wood_notes(with_blank(carved_seat, joints=(fitting,))) == []
    # Leaning by 12 degrees there is 1 / cos(12 deg) as much wood along it.
    leaning = replace(leg, angle_deg=12.0, keep_mm=20.0)
    assert leaning.short_of_mm(carved_seat.blank.wood()) == pytest.approx(
        48.0 - 45.0 / np.cos(np.radians(12.0))
    )


@pytest.mark.parametrize(("x", "words"), [(216.0, None), (220.0, "leaves 7 mm to"), (235.0, "breaks out of")])
def test_a_mortise_near_the_edge_is_noted(carved_seat, x, words):
    """Of 240 mm to the side, a mortise 26 mm across takes 13; 10 mm are to stay round it unless told."""
    leg = Joint("leg mortise", x_mm=x, y_mm=215.0, diameter_mm=26.0, depth_mm=20.0)
    notes = wood_notes(with_blank(carved_seat, joints=(leg,)))
    assert [words in note for note in notes] == ([] if words is None else [True])
    assert wood_notes(with_blank(carved_seat, joints=(replace(leg, kind="circle"),))) == []


def test_a_high_ridge_is_measured_from_hollows_far_apart(carved_seat):
    """A hollow level but for a trough 5 mm deep, 140 mm to either side."""
    knots_x, knots_y = carved_seat.hollow.knots_x, carved_seat.hollow.knots_y
    middles = (knots_x[1:-3] + knots_x[2:-2] + knots_x[3:-1]) / 3.0
    across = 5.0 + 5.0 * np.exp(-(((np.abs(middles) - 140.0) / 30.0) ** 2))
    hollow = replace(carved_seat.hollow, coefficients=np.tile(across[:, None], (1, len(knots_y) - 4)))
    assert pommel_mm(replace(carved_seat, hollow=hollow)) == pytest.approx(4.8, abs=0.2)


def test_a_ridge_is_measured_on_wood_alone(carved_seat):
    """A trough beyond the round front of a D deepens the formula there, and no wood."""
    knots_x, knots_y = carved_seat.hollow.knots_x, carved_seat.hollow.knots_y
    x, y = ((k[1:-3] + k[2:-2] + k[3:-1]) / 3.0 for k in (knots_x, knots_y))
    off_wood = 9.0 * np.exp(
        -(((np.abs(x[:, None]) - 150.0) / 20.0) ** 2) - ((y[None, :] - 425.0) / 20.0) ** 2
    )
    seat = replace(carved_seat, hollow=replace(carved_seat.hollow, coefficients=5.0 + off_wood))
    assert pommel_mm(seat) > 7.0
    assert pommel_mm(with_blank(seat, outline="D-shaped")) < 0.5


def test_mortises_that_run_into_each_other_are_noted(carved_seat):
    """Two upright holes of 20 mm 19 mm apart share wood, 21 mm apart they do not; nor one above the other's end."""
    leg = Joint("leg mortise", 150.0, 345.0, 20.0, depth_mm=20.0)

    def noted(*joints):
        return [note for note in wood_notes(with_blank(carved_seat, joints=joints)) if "runs into" in note]

    assert len(noted(leg, replace(leg, y_mm=326.0))) == 1
    assert "joint 1" in noted(leg, replace(leg, y_mm=326.0))[0]
    assert "joint 2" in noted(leg, replace(leg, y_mm=326.0))[0]
    assert noted(leg, replace(leg, y_mm=324.0)) == []
    # Of 45 mm, a hole 20 mm deep from below and one 24 mm deep from above leave 1 mm between their ends.
    assert noted(leg, replace(leg, kind="spindle", depth_mm=24.0)) == []
    assert len(noted(leg, replace(leg, kind="spindle", depth_mm=26.0))) == 1
    # Upright and 26 mm apart, but leaning by 20 deg toward it the second comes 20 tan 20 deg = 7.3 mm nearer.
    lean = replace(leg, y_mm=319.0, angle_deg=20.0, sight_line_deg=180.0)
    assert len(noted(leg, lean)) == 1
    assert noted(leg, replace(lean, sight_line_deg=0.0)) == []
    assert "its mirror image" in noted(replace(leg, x_mm=9.0))[0]
    assert noted(replace(leg, x_mm=9.0, side="one")) == []
    assert noted(replace(leg, kind="circle"), leg) == []
