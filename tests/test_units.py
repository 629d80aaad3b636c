"""Lengths in mm and in inches with fractions: what is read, what is written, what is refused."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import constants

from seatmesh import units
from seatmesh.errors import ValueRefusedError
from seatmesh.units import (
    format_area,
    format_change,
    format_length,
    format_mass,
    format_no_less,
    format_no_more,
    format_size,
    format_volume,
    in_inches,
    parse_length_mm,
    parse_mass_kg,
    peak_square,
    real_number,
    shown,
    wrapped,
)

# By the definition of the inch (25.4 mm exactly, 1959), worked out by hand.
READ = [
    (412, 412.0),
    (412.5, 412.5),
    (np.float64(3.5), 3.5),
    (np.int64(7), 7.0),
    ("412", 412.0),
    (" 412 mm ", 412.0),
    ("412.mm", 412.0),
    (".5 mm", 0.5),
    ("41.2 cm", 412.0),
    ("1.7 m", 1700.0),
    ('16 3/16"', 411.1625),
    ("16-3/16 in", 411.1625),
    ("16 - 3/16 inches", 411.1625),
    ("16.19 in", 411.226),
    ('1 3/16"', 30.1625),
    ("3/16 in.", 4.7625),
    ("19/16 IN", 30.1625),
    ("1 inch", 25.4),
    ("16 3/16″", 411.1625),
    ("-12", -12.0),
    ('-1 3/16"', -30.1625),
    ("−3/16 in", -4.7625),
    ("+5 mm", 5.0),
    ("41,2 cm", 412.0),
    ("0,125 in", 3.175),
    ("1,65 m", 1650.0),
    ("5' 6 1/2\"", 1689.1),
    ("5'6\"", 1676.4),
    ("5’ 6.5″", 1689.1),
    ("5 ft 6 in", 1676.4),
    ("5 feet 6-1/2 inches", 1689.1),
    ("5'", 1524.0),
    ("12 ft", 3657.6),
    ("-1' 2\"", -355.6),
    ("5' 6", 1676.4),
]

NO_LENGTH: list[object] = [
    "",
    "   ",
    "mm",
    "long",
    "1,650",
    "12,345 mm",
    "1,",
    "1,5,2",
    "1 2",
    "1e3",
    "nan",
    "inf",
    "5' 6 mm",
    "5' 12\"",
    "5 ft 6 ft",
    "'",
    "5.5'",
    "12 mmm",
    "--3",
    "٣ mm",
    "9" * 5000,
]
NO_FRACTION: list[object] = [
    "16 3/16",
    "3/4 mm",
    "3/4 cm",
    '1 5/3"',
    '1/0"',
    "1//2 in",
    "1/2/3 in",
    '16"3',
    f"1/{'9' * 5000} in",
]
NO_NUMBER: list[object] = [None, True, [1], {}, b"12", 1j, math.nan, math.inf, -math.inf, 10**400]

WRITTEN = [
    (412, "mm", "412 mm"),
    (412.04, "mm", "412 mm"),
    (412.25, "mm", "412.2 mm"),
    (400.0, "mm", "400 mm"),
    (-0.04, "mm", "0 mm"),
    (-30.16, "mm", "-30.2 mm"),
    (411.1625, "in", '16 3/16"'),
    (412, "in", '16 7/32"'),
    (25.4, "in", '1"'),
    (0, "in", '0"'),
    (-0.1, "in", '0"'),
    (12.7, "in", '1/2"'),
    (-30.1625, "in", '-1 3/16"'),
    (25.39, "in", '1"'),
]


@pytest.mark.parametrize(("given", "mm"), READ)
def test_reads_a_length(given: object, mm: float) -> None:
    assert parse_length_mm(given) == mm


@pytest.mark.parametrize(
    ("given", "mm"), [("1 3/16", 30.1625), ("2", 50.8), (2, 50.8), ("50 mm", 50.0), ("0,5", 12.7)]
)
def test_text_without_a_unit_may_be_inches(given: object, mm: float) -> None:
    assert parse_length_mm(given, bare="in") == pytest.approx(mm, abs=1e-12)


# 1 lb = 0.45359237 kg exactly (international pound, 1959); 14 lb make a stone.
@pytest.mark.parametrize(
    ("given", "kg"),
    [
        (76, 76.0),
        ("76", 76.0),
        ("76,2 kg", 76.2),
        ("168 lb", 76.20351816),
        ("168lbs.", 76.20351816),
        ("12 st", 76.20351816),
        ("12 st 4 lb", 78.01788764),
        ("12 stone 4 pounds", 78.01788764),
        ("62000 g", 62.0),
    ],
)
def test_reads_a_mass(given: object, kg: float) -> None:
    assert parse_mass_kg(given) == pytest.approx(kg, rel=1e-12)


@pytest.mark.parametrize(
    "given", ["", "kg", "12 st 4", "12 st 14 lb", "12 st 4 kg", "1,650", "-3 kg", "12 oz", None, True]
)
def test_refuses_what_is_no_mass(given: object) -> None:
    with pytest.raises(ValueRefusedError, match="mass_kg"):
        parse_mass_kg(given, "mass_kg")


def test_a_comma_that_may_mean_thousands_is_asked_about() -> None:
    with pytest.raises(ValueRefusedError, match=r"write 1650, or 1\.650"):
        parse_length_mm("1,650 mm")


@settings(derandomize=True, max_examples=300)
@given(st.floats(-2000, 2000), st.sampled_from([8, 16, 32, 64]))
def test_no_more_and_no_less_lie_on_their_sides(mm: float, step: int) -> None:
    less, more = (parse_length_mm(one(mm, "in", step)) for one in (format_no_more, format_no_less))
    assert mm - 25.4 / step - 1e-9 <= less <= mm + 1e-4 * 25.4 / step + 1e-9
    assert mm + 25.4 / step + 1e-9 >= more >= mm - 1e-4 * 25.4 / step - 1e-9
    assert format_no_more(mm, "mm") == format_length(mm, "mm")


@pytest.mark.parametrize("given", NO_LENGTH + NO_FRACTION + NO_NUMBER, ids=lambda given: type(given).__name__)
def test_refuses_what_is_no_length_and_names_the_key(given: object) -> None:
    with pytest.raises(
        ValueRefusedError, match=r"^depth_mm = .*(allowed|inches|fraction|thousands).*; "
    ) as refused:
        parse_length_mm(given, "depth_mm")
    assert len(str(refused.value)) < 300


def test_a_fraction_without_inches_is_told_what_to_add() -> None:
    with pytest.raises(ValueRefusedError, match='add " or in'):
        parse_length_mm("16 3/16")


@pytest.mark.parametrize(("mm", "units", "text"), WRITTEN)
def test_writes_a_length(mm: float, units: str, text: str) -> None:
    assert format_length(mm, units) == text


def test_steps_and_decimals_may_be_chosen() -> None:
    assert format_length(412, "in", step=16) == '16 1/4"'
    assert format_length(412, "in", step=1) == '16"'
    assert format_length(412.3456, "mm", decimals=3) == "412.346 mm"
    assert format_length(410, "mm", decimals=0) == "410 mm"


@pytest.mark.parametrize(
    ("mm", "units", "options"),
    [
        (1, "cm", {}),
        (1, "IN", {}),
        (math.nan, "mm", {}),
        (True, "mm", {}),
        ("1", "mm", {}),
        (1, "in", {"step": 0}),
        (1, "in", {"step": 1.5}),
        (1, "in", {"step": True}),
        (1, "in", {"step": 1001}),
        (1, "mm", {"decimals": -1}),
        (1, "mm", {"decimals": 7}),
    ],
)
def test_refuses_to_write_in_other_ways(mm: float, units: str, options: dict[str, Any]) -> None:
    with pytest.raises(ValueRefusedError):
        format_length(mm, units, **options)


@settings(derandomize=True, max_examples=300)
@given(st.floats(-2000, 2000), st.sampled_from([1, 2, 8, 10, 16, 32, 64, 128]))
def test_inches_read_back_within_half_a_step_and_in_lowest_terms(mm: float, step: int) -> None:
    text = format_length(mm, "in", step=step)
    assert abs(parse_length_mm(text) - mm) <= 25.4 / step / 2 + 1e-9
    fraction = re.search(r"(\d+)/(\d+)", text)
    if fraction:
        top, bottom = int(fraction[1]), int(fraction[2])
        assert math.gcd(top, bottom) == 1
        assert 0 < top < bottom
        assert step % bottom == 0


@settings(derandomize=True, max_examples=200)
@given(st.floats(-2000, 2000), st.integers(0, 6))
def test_millimetres_read_back_within_half_their_last_place(mm: float, decimals: int) -> None:
    text = format_length(mm, "mm", decimals=decimals)
    assert abs(parse_length_mm(text) - mm) <= 0.5 * 10.0**-decimals + 1e-9


def test_a_number_keeps_its_key_in_the_refusal() -> None:
    assert real_number("rake_deg", 3) == 3.0
    with pytest.raises(ValueRefusedError, match="rake_deg = 'steep'"):
        real_number("rake_deg", "steep")


def test_units_are_those_of_a_second_library() -> None:
    """International yard and pound, 1959, as SciPy has them."""
    assert pytest.approx(1000.0 * constants.inch, rel=1e-12) == units.MM_PER_INCH
    assert pytest.approx(1000.0 * constants.foot, rel=1e-12) == units.MM_PER_FOOT
    assert pytest.approx(constants.pound, rel=1e-12) == units.KG_PER_POUND
    assert pytest.approx(constants.stone, rel=1e-12) == units.KG_PER_STONE
    for text, factor in (("1 mm", 1.0), ("1 cm", 10.0), ("1 m", 1000.0)):
        assert parse_length_mm(text) == factor


def test_no_fraction_is_torn_from_its_inches() -> None:
    words = 'ease 1 3/16" over a radius of 2 1/4" and then 3/8" more'
    for width in range(12, 40):
        lines = wrapped(words, width, first="- ", then="  ")
        assert max(map(len, lines)) <= width
        assert all(not line.strip().startswith(("3/16", "1/4")) for line in lines)
        assert "".join(lines).replace(" ", "") == "-" + words.replace(" ", "")


# 1 in = 25.4 mm (1959): 200 mm is 7.874 in, 7 7/8 is the next 1/32 above it; 900 mm is 35.433, 35 13/32 the one below.
IN_WORDS = [
    ("allowed are 200 to 900 mm", 'allowed are 7 7/8" to 35 13/32"'),
    ("allowed is above 0, at most 900 mm", 'allowed is above 0", at most 35 13/32"'),
    ("a blank of 508 x 406.4 x 50.8 mm", 'a blank of 20" x 16" x 2"'),
    ("between 25.4 and 50.8 mm", 'between 1" and 2"'),
    ("nearest is (-50.8, 254) mm", 'nearest is (-2", 10")'),
    ("point 12, 25.4 mm too deep", 'point 12, 1" too deep'),
    ("it lies 0.12 mm off, 0.4 mm at most, 0 mm here", 'it lies 0.005 in off, 1/32" at most, 0" here'),
    ("3/4 mm, 1,650 mm and 5-6 mm stay", "3/4 mm, 1,650 mm and 5-6 mm stay"),
]


@pytest.mark.parametrize(("words", "said"), IN_WORDS)
def test_words_speak_inches(words: str, said: str) -> None:
    assert in_inches(words) == said


TYPED = [
    "5' 6 mm",
    "5 mm",
    "5' 6\" 5 mm",
    '16" 5 mm',
    "Anna's 5 mm",
    "'5 mm'",
    "x" * 70 + " 5 mm",
    "a 5 mm " * 12,
]


@pytest.mark.parametrize("typed", TYPED)
def test_what_was_typed_stays_as_typed_and_so_does_what_may_be(typed: str) -> None:
    """Whatever quotes it holds, the words around it speak inches."""
    said = in_inches(
        f"depth_mm = {shown(typed)}: allowed are 254 to 508 mm, the seat's own; as '{typed}' 25.4 mm"
    )
    assert f"depth_mm = {shown(typed)}: allowed are 10\" to 20\", the seat's own; as '" in said
    assert said.endswith(' 1"')
    assert len(shown(typed)) <= 60


@pytest.mark.parametrize("typed", ["5' 6 mm", "5 mmm", "1/3 mm", "1,650 mm"])
def test_a_refused_length_is_told_with_the_ways_to_write_one_as_they_are(typed: str) -> None:
    with pytest.raises(ValueRefusedError) as refusal:
        parse_length_mm(typed)
    assert in_inches(str(refusal.value)) == str(refusal.value)


def test_masses_volumes_areas_and_changes_are_worded_here() -> None:
    """1 lb = 0.45359237 kg; 1 cu in = 16.387064 cm3; 1 sq in = 6.4516 cm2, by the pound and the inch of 1959."""
    assert (format_mass(3.19, "mm"), format_mass(3.19, "in"), format_mass(61.2, "in", 0)) == (
        "3.2 kg",
        "7.0 lb",
        "135 lb",
    )
    assert (format_volume(941.4, "mm"), format_volume(941.4, "in")) == ("941 cm3", "57.4 cu in")
    assert [format_area(cm2, "in") for cm2 in (9.0, 64.0, 645.16)] == ["1.4 sq in", "9.9 sq in", "100 sq in"]
    assert (format_change(-1.93, "mm"), format_change(1.93, "in")) == ("-1.9 mm", "+0.076 in")
    assert (format_size(-1.93, "mm"), format_size(1.93, "mm", 2)) == ("1.9 mm", "1.93 mm")
    assert (format_size(-1.93, "in"), format_size(0.01, "mm")) == ("0.076 in", "0.0 mm")
    # A square of 10 mm; 3/8 in is 9.525 mm.
    assert (peak_square("mm"), peak_square("in")) == ("1 cm2", '3/8" square')


@pytest.mark.parametrize(
    "worded", [r"KG_PER_POUND:\.", r"MM_PER_INCH\*\*[23]", r"lstrip\(.\+", r"over 1 cm", '3/8" square']
)
def test_nobody_words_them_again(worded: str) -> None:
    """In code; docstrings may say what a peak is."""
    for path in Path(units.__file__).parents[1].rglob("*.py"):
        if path.parent.name != "units":
            code = re.sub(r'"""(?:.|\n)*?"""', "", path.read_text("utf-8"))
            assert not re.search(worded, code), path
