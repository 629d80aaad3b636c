from dataclasses import replace

import pytest

from seatmesh.errors import MissingKeyError, UnknownKeyError, ValueRefusedError
from seatmesh.marks.mark import Mark, check_marks, check_thigh_lines, marks_from_tables
from seatmesh.wood.blank import Blank

BLANK = Blank()  # 480 x 430 mm, corners rounded with 60 mm


def table(**changes: object) -> dict[str, object]:
    return {"name": "sit bone", "side": "left", "x_mm": 58, "y_mm": 150} | changes


def test_a_mark_on_the_left_lies_at_a_negative_x_however_it_is_written() -> None:
    for written in (58, -58, "58 mm", "-5.8 cm"):
        assert marks_from_tables([table(x_mm=written)], BLANK) == (
            Mark("sit bone", "left", -58.0, 150.0, 3.0),
        )
    assert marks_from_tables([table(side="right")], BLANK)[0].x_mm == 58.0
    spine = {"name": "end of the spine", "x_mm": -4, "y_mm": 85}
    assert marks_from_tables([spine], BLANK) == (Mark("end of the spine", "middle", -4.0, 85.0),)


def test_fractions_of_inches_are_read() -> None:
    (mark,) = marks_from_tables([table(x_mm='2 1/4"', y_mm="6 in", standard_error_mm='1/16"')], BLANK)
    assert (mark.x_mm, mark.y_mm, mark.standard_error_mm) == pytest.approx((-57.15, 152.4, 1.5875))


def test_unknown_names_and_sides_are_refused_with_the_nearest() -> None:
    with pytest.raises(
        UnknownKeyError, match=r"\[\[mark\]\] 2 name: unknown key 'sit bones'; did you mean 'sit bone'"
    ):
        marks_from_tables([table(), table(name="sit bones")], BLANK)
    with pytest.raises(UnknownKeyError, match="'sit bone' side: unknown key 'lft'; did you mean 'left'"):
        marks_from_tables([table(side="lft")], BLANK)
    with pytest.raises(ValueRefusedError, match="side = 'middle': allowed are left, right"):
        marks_from_tables([table(side="middle")], BLANK)
    with pytest.raises(ValueRefusedError, match="'end of the spine' side = 'left': allowed are middle"):
        marks_from_tables([table(name="end of the spine")], BLANK)
    with pytest.raises(UnknownKeyError, match="did you mean 'y_mm'"):
        marks_from_tables([table(ymm=3)], BLANK)
    with pytest.raises(ValueRefusedError, match="name = 3: allowed is text"):
        marks_from_tables([table(name=3)], BLANK)
    with pytest.raises(ValueRefusedError, match="allowed is a table"):
        marks_from_tables(["sit bone"], BLANK)  # type: ignore[list-item]


def test_what_is_missing_is_named() -> None:
    for key in ("name", "x_mm", "y_mm", "side"):
        without = {name: value for name, value in table().items() if name != key}
        with pytest.raises(MissingKeyError, match=f"'{key}' is missing"):
            marks_from_tables([without], BLANK)


@pytest.mark.parametrize(
    ("side", "x_mm", "words"),
    [
        ("right", -58, r"58 mm to the sitter's left .* side = 'right' .* x_mm = 58 if the side is right"),
        ("right", '-2 1/4"', r"57\.15 mm to the sitter's left"),
        ("left", "+58 mm", r"58 mm to the sitter's right .* side = 'left'"),
    ],
)
def test_a_sign_against_a_side_is_refused_with_both_readings(side, x_mm, words) -> None:
    with pytest.raises(ValueRefusedError, match=f"'sit bone' {side} x_mm = .*{words}"):
        marks_from_tables([table(side=side, x_mm=x_mm)], BLANK)


def test_a_mark_beyond_its_own_error_on_the_other_side_is_refused() -> None:
    for side, sign in (("left", 1.0), ("right", -1.0)):
        check_marks([Mark("inner thigh line", side, sign * 2.9, 250.0)], BLANK)
        with pytest.raises(ValueRefusedError, match=f"its sign puts it 3.1 mm .*side = '{side}'"):
            check_marks([Mark("inner thigh line", side, sign * 3.1, 250.0)], BLANK)
    check_marks([Mark("end of the spine", "middle", 8.0, 85.0)], BLANK)


def test_a_mark_off_the_blank_is_refused_with_the_nearest_place() -> None:
    with pytest.raises(
        ValueRefusedError, match=r"'sit bone' left = \(-250, 150\) mm.*by 10 mm.*\(-240, 150\) mm"
    ):
        marks_from_tables([table(x_mm=250)], BLANK)
    with pytest.raises(ValueRefusedError, match="'sit bone' left = "):  # the corner is cut off round
        marks_from_tables([table(x_mm=235, y_mm=425)], BLANK)
    check_marks([Mark("sit bone", "left", -240.0, 150.0)], BLANK)


def test_the_back_of_the_knees_may_be_ahead_of_the_wood_but_not_behind_or_far_off() -> None:
    for y in (400.0, 425.0, 505.0, 680.0):
        check_marks([Mark("knee-back line", "left", -235.0, y)], BLANK)
    for x, y in ((-235.0, 5.0), (-235.0, 681.0), (-241.0, 500.0)):
        with pytest.raises(ValueRefusedError, match="outside the blank"):
            check_marks([Mark("knee-back line", "left", x, y)], BLANK)
    with pytest.raises(ValueRefusedError, match="outside the blank"):
        check_marks([Mark("outer thigh line", "left", -180.0, 505.0)], BLANK)


@pytest.mark.parametrize("error", [0.0, -1.0, 101.0])
def test_an_error_that_no_tape_has_is_refused(error: float) -> None:
    with pytest.raises(ValueRefusedError, match=r"standard_error_mm.*above 0, at most 100"):
        check_marks([Mark("sit bone", "left", -58.0, 150.0, error)], BLANK)


def test_numbers_that_are_none_are_refused() -> None:
    with pytest.raises(ValueRefusedError, match="finite"):
        check_marks([Mark("sit bone", "left", float("nan"), 150.0)], BLANK)
    with pytest.raises(ValueRefusedError, match="allowed are a plain number of mm"):
        marks_from_tables([table(x_mm="two inches")], BLANK)


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
