"""Tables [[mark]] of an order: how lengths and sides are read, and what is refused by name."""

import pytest

from seatmesh.design.orders.keys.mark import MARKS
from seatmesh.errors import MissingKeyError, UnknownKeyError, ValueRefusedError
from seatmesh.marks.mark import Mark


def read(tables: object) -> tuple[Mark, ...]:
    return tuple(one.mark for one in MARKS.read_all(tables, "order"))


def table(**changes: object) -> dict[str, object]:
    return {"name": "sit bone", "side": "left", "x_mm": 58, "y_mm": 150} | changes


def test_a_mark_on_the_left_lies_at_a_negative_x_however_it_is_written() -> None:
    for written in (58, -58, "58 mm", "-5.8 cm"):
        assert read([table(x_mm=written)]) == (Mark("sit bone", "left", -58.0, 150.0, 3.0),)
    assert read([table(side="right")])[0].x_mm == 58.0
    spine = {"name": "end of the spine", "x_mm": -4, "y_mm": 85}
    assert read([spine]) == (Mark("end of the spine", "middle", -4.0, 85.0),)


def test_fractions_of_inches_are_read() -> None:
    (mark,) = read([table(x_mm='2 1/4"', y_mm="6 in", standard_error_mm='1/16"')])
    assert (mark.x_mm, mark.y_mm, mark.standard_error_mm) == pytest.approx((-57.15, 152.4, 1.5875))


def test_unknown_names_and_sides_are_refused_with_the_nearest() -> None:
    with pytest.raises(
        UnknownKeyError, match=r"\[\[mark\]\] 2 name = 'sit bones': allowed are .*; did you mean 'sit bone'\?"
    ):
        read([table(), table(name="sit bones")])
    with pytest.raises(
        UnknownKeyError, match=r"'sit bone' side = 'lft': allowed are left, right; did you mean 'left'\?"
    ):
        read([table(side="lft")])
    with pytest.raises(ValueRefusedError, match="side = 'middle': allowed are left, right"):
        read([table(side="middle")])
    with pytest.raises(ValueRefusedError, match="'end of the spine' side = 'left': allowed are middle"):
        read([table(name="end of the spine")])
    with pytest.raises(UnknownKeyError, match="did you mean 'y_mm'"):
        read([table(ymm=3)])
    with pytest.raises(ValueRefusedError, match="name = 3: allowed are hip end, sit bone"):
        read([table(name=3)])
    with pytest.raises(ValueRefusedError, match="allowed is a list of tables"):
        read(["sit bone"])


def test_what_is_missing_is_named() -> None:
    for key in ("name", "x_mm", "y_mm", "side"):
        without = {name: value for name, value in table().items() if name != key}
        with pytest.raises(MissingKeyError, match=f"'{key}' is missing"):
            read([without])


def test_a_minus_on_the_right_is_refused() -> None:
    with pytest.raises(
        ValueRefusedError, match=r"'sit bone' right x_mm = -58: .* 58 mm to the sitter's left"
    ):
        read([table(side="right", x_mm=-58)])


def test_lengths_that_are_none_and_errors_that_no_tape_has_are_refused() -> None:
    with pytest.raises(
        ValueRefusedError, match="'sit bone' left x_mm = 'two inches': allowed are a plain number"
    ):
        read([table(x_mm="two inches")])
    for error in (0, 1e-200, -1, 101):
        with pytest.raises(ValueRefusedError, match=r"standard_error_mm = .*allowed are 0\.01 to 100 mm"):
            read([table(standard_error_mm=error)])


@pytest.mark.parametrize("key", ["x_mm", "y_mm"])
def test_a_place_on_no_chair_is_refused(key: str) -> None:
    with pytest.raises(
        ValueRefusedError, match=f"{key} = 1e.160: allowed are -1000 to 1000 mm; check its unit"
    ):
        read([table(**{key: 1e160})])
