from dataclasses import replace

import pytest

from seatmesh.errors import ValueRefusedError
from seatmesh.marks.mark import Mark, check_marks, check_thigh_lines
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
