from dataclasses import replace

import pytest

from seatmesh.body.figure.marked_places import Side
from seatmesh.errors import ValueRefusedError
from seatmesh.marks.mark import KINDS, Mark, check_marks, check_thigh_lines
from seatmesh.marks.sides import across_mm, by_sign
from seatmesh.wood.blank import Blank

BLANK = Blank()  # 480 x 430 mm, corners rounded with 60 mm


def test_a_mark_off_the_blank_is_refused_with_the_nearest_place() -> None:
    with pytest.raises(
        ValueRefusedError, match=r"'sit bone' left = \(-250, 150\) mm.*by 10 mm.*\(-240, 150\) mm"
    ):
        check_marks([Mark("sit bone", "left", -250.0, 150.0)], BLANK)
    with pytest.raises(ValueRefusedError, match="'sit bone' left = "):  # the corner is cut off round
        check_marks([Mark("sit bone", "left", -235.0, 425.0)], BLANK)
    check_marks([Mark("sit bone", "left", -240.0, 150.0)], BLANK)


def test_the_back_of_the_knees_may_be_ahead_of_the_wood_but_not_behind_or_far_off() -> None:
    for y in (400.0, 425.0, 505.0, 680.0):
        check_marks([Mark("knee-back line", "left", -235.0, y)], BLANK)
    for x, y in ((-235.0, 5.0), (-235.0, 681.0), (-241.0, 500.0)):
        with pytest.raises(ValueRefusedError, match="outside the blank"):
            check_marks([Mark("knee-back line", "left", x, y)], BLANK)
    with pytest.raises(ValueRefusedError, match="outside the blank"):
        check_marks([Mark("outer thigh line", "left", -180.0, 505.0)], BLANK)


@pytest.mark.parametrize("error", [0.0, 1e-200, -1.0, 101.0])
def test_an_error_that_no_tape_has_is_refused(error: float) -> None:
    with pytest.raises(ValueRefusedError, match=r"standard_error_mm.*allowed are 0\.01 to 100 mm"):
        check_marks([Mark("sit bone", "left", -58.0, 150.0, error)], BLANK)


def test_numbers_that_are_none_are_refused() -> None:
    with pytest.raises(ValueRefusedError, match="finite"):
        check_marks([Mark("sit bone", "left", float("nan"), 150.0)], BLANK)


def test_thigh_lines_whose_names_are_swapped_are_refused_by_side() -> None:
    """The thigh lies between its two lines, wherever along it either is marked."""
    inner, outer = (
        Mark(f"{name} thigh line", "left", x, 300.0) for name, x in (("inner", -60.0), ("outer", -160.0))
    )
    check_thigh_lines([inner, outer, Mark("inner thigh line", "right", 170.0, 300.0)])
    swapped = [replace(inner, x_mm=-160.0), replace(outer, x_mm=-60.0)]
    with pytest.raises(
        ValueRefusedError, match=r"'inner thigh line' left x_mm = 160: the outer thigh line .* at 60"
    ):
        check_thigh_lines(swapped)


@pytest.mark.parametrize(
    ("name", "error", "across"),
    # 10 mm for a sitter who sits aside, 20 mm for the line that lies next to the centre, and three standard errors.
    [
        ("sit bone", 3.0, 19.0),
        ("outer thigh line", 1.0, 13.0),
        ("inner thigh line", 3.0, 29.0),
        ("hip end", 0.01, 10.03),
    ],
)
@pytest.mark.parametrize(("side", "sign"), [("left", 1.0), ("right", -1.0)])
def test_how_far_over_the_centre_line_a_mark_may_lie(
    name: str, error: float, across: float, side: Side, sign: float
) -> None:
    check_marks([Mark(name, side, sign * (across - 0.2), 200.0, error)], BLANK)
    with pytest.raises(ValueRefusedError, match=f"side = '{side}'"):
        check_marks([Mark(name, side, sign * (across + 0.2), 200.0, error)], BLANK)


def test_a_mark_is_good_to_three_millimetres_unless_the_maker_says() -> None:
    """Common practice, a hand, a pencil and a tape; it stands in the guide, and weighs against the body's own error."""
    assert Mark("sit bone", "left", -58.0, 150.0).standard_error_mm == 3.0
    for error, allowed in ((0.0101, True), (0.0099, False), (99.0, True), (101.0, False)):
        mark = Mark("sit bone", "left", -58.0, 150.0, error)
        if allowed:
            check_marks([mark], BLANK)
        else:
            with pytest.raises(ValueRefusedError, match="standard_error_mm"):
                check_marks([mark], BLANK)


def test_what_lies_within_a_twentieth_of_a_millimetre_lies_on_the_centre_line() -> None:
    assert [by_sign(x) for x in (0.049, -0.049, 0.051, -0.051)] == ["", "", "right", "left"]
    assert across_mm(0.049, "middle", "mark") == 0.0
    with pytest.raises(ValueRefusedError, match="centre line"):
        across_mm(0.051, "middle", "mark")


def test_the_body_itself_leaves_open_where_some_marks_lie() -> None:
    """A rounded side is within 3 mm of its widest over some 25 mm each way: as wide as a normal error of 15 mm."""
    hip = KINDS["hip end"]
    assert (hip.across, hip.along) == (3.0, 15.0)
    # Over 50 mm of equal chance the standard deviation is 50 / sqrt(12).
    assert hip.along == pytest.approx(50.0 / 12.0**0.5, rel=0.04)
    assert (KINDS["end of the spine"].across, KINDS["end of the spine"].along) == (3.0, 8.0)
    assert KINDS["knee-back line"].across is None
    assert KINDS["inner thigh line"].along is KINDS["outer thigh line"].along is None
