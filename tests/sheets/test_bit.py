"""Bits as makers name them, and how far their points reach."""

from __future__ import annotations

from math import radians, tan

import pytest

from seatmesh.errors import InputError, ValueRefusedError
from seatmesh.sheets.holes.bit import Bit, as_typed, bit_words, read_bit, told, usual_bit, usual_tip_mm


@pytest.mark.parametrize(
    ("text", "kind", "diameter", "tip", "sold_in"),
    [
        ("brad point 6 mm", "brad point", 6.0, 3.0, "mm"),
        ("6 mm brad point", "brad point", 6.0, 3.0, "mm"),
        ("Brad-Point bit 8mm", "brad point", 8.0, 4.0, "mm"),
        ('1/4" brad point', "brad point", 6.35, 3.175, "in"),
        ("brad point 1/4 in", "brad point", 6.35, 3.175, "in"),
        ("lip and spur 10 mm", "brad point", 10.0, 5.0, "mm"),
        ("twist drill 6 mm", "twist", 6.0, 1.8026, "mm"),
        ("twist 0.25 inch", "twist", 6.35, 1.9077, "in"),
        ("25 mm Forstner", "Forstner", 25.0, 3.0, "mm"),
        ("FORSTNER 1 3/8 in", "Forstner", 34.925, 3.4925, "in"),
        ("Forstner 25 mm, tip 2.2 mm", "Forstner", 25.0, 2.2, "mm"),
        ('brad point 6 mm tip 3/32"', "brad point", 6.0, 2.38125, "mm"),
        ("brad point 6 mm, point 2.5 mm", "brad point", 6.0, 2.5, "mm"),
        ("twist bit 6 mm, tip of 0 mm", "twist", 6.0, 0.0, "mm"),
    ],
)
def test_a_bit_is_read_as_makers_write_it(text, kind, diameter, tip, sold_in) -> None:
    bit = read_bit(text)
    assert (bit.kind, bit.sold_in) == (kind, sold_in)
    assert bit.diameter_mm == pytest.approx(diameter, abs=1e-9)
    assert bit.tip_mm == pytest.approx(tip, abs=1e-4)
    assert bit.tip_is_measured == ("tip" in text or ", point" in text)


@pytest.mark.parametrize(
    "text",
    ["", "6 mm", "brad point", "brad point 6", "spade 20 mm", "twist Forstner 6 mm", "twist 6 mm, tip 2",
     "twist 6 mm, tip", "brad point six mm", "brad point 6 mm 8 mm", "twist nan mm", "twist inf in",
     "Forstner 25 mm, 3 mm", "twist 6 furlongs", "brad point 1 mm", "Forstner 41 mm", "twist 6 mm, tip -1 mm",
     "twist 6 mm, tip 31 mm", "twist 1/0 in"],
)  # fmt: skip
def test_what_names_no_bit_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        read_bit(text)


def test_a_length_without_its_unit_is_named() -> None:
    with pytest.raises(InputError, match=r"the length '2\.5' has no unit; write it like 6 mm"):
        read_bit("twist 6 mm, tip 2.5")


def test_a_twist_drill_s_point_is_that_of_118_degrees() -> None:
    """By trigonometry: half of the diameter over the tangent of half of the angle (common practice: 118 degrees)."""
    assert usual_tip_mm("twist", 6.0) == pytest.approx(3.0 / tan(radians(59.0)))
    assert usual_tip_mm("twist", 6.0) == pytest.approx(1.803, abs=0.0005)


@pytest.mark.parametrize(
    ("bit", "units", "words"),
    [
        (read_bit("brad point 6 mm"), "mm", "brad point 6 mm, point 3 mm at most"),
        (read_bit("brad point 6 mm"), "in", 'brad point 0.237" (6 mm), point 1/8" at most'),
        (read_bit("brad point 1/4 in"), "in", 'brad point 1/4", point 1/8" at most'),
        (read_bit("brad point 1/4 in"), "mm", 'brad point 6.35 mm (1/4"), point 3.2 mm at most'),
        (read_bit("twist 6 mm"), "mm", "twist 6 mm, point 1.9 mm at most"),
        (usual_bit("mm"), "mm", "brad point 8 mm, point 4 mm at most"),
        (usual_bit("in"), "in", 'brad point 5/16", point 5/32" at most'),
    ],
)
def test_a_bit_speaks_the_order_s_units_and_its_own(bit: Bit, units: str, words: str) -> None:
    assert bit_words(told(bit, units), units) == words


@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_point_is_never_told_shorter_than_it_is(units: str) -> None:
    step = 0.1 if units == "mm" else 25.4 / 64
    for number in range(300):
        bit = Bit("brad point", 8.0, 0.1 * number)
        longer = told(bit, units).tip_mm - bit.tip_mm
        assert -1e-6 <= longer < step


@pytest.mark.parametrize("text", ["brad point 6 mm", 'twist 1/4"', "Forstner 1 3/8 in"])
def test_what_the_sheets_say_to_type_names_the_same_bit(text: str) -> None:
    bit = read_bit(text)
    again = read_bit(f"{as_typed(bit)}, tip 2 mm")
    assert (again.kind, again.diameter_mm, again.sold_in) == (bit.kind, bit.diameter_mm, bit.sold_in)
    assert again.tip_mm == 2.0


def test_a_bit_that_is_none_is_refused_at_once() -> None:
    with pytest.raises(ValueRefusedError, match="bit kind"):
        Bit("spade", 6.0, 2.0)  # type: ignore[arg-type]
    with pytest.raises(ValueRefusedError, match="bit diameter"):
        Bit("twist", float("nan"), 2.0)
    with pytest.raises(ValueRefusedError, match="bit tip"):
        Bit("twist", 6.0, float("inf"))
