"""The page's own tables and arithmetic against the library that they have to agree with."""

import re

import numpy as np
import pytest
from seatmesh_service.tasks.seats import pressure_grid

from seatmesh import estimate_body, flat_seat, sit
from seatmesh.design.orders.keys.blank import BLANK
from seatmesh.design.orders.keys.chair import CHAIR
from seatmesh.design.orders.keys.joint import JOINT
from seatmesh.design.orders.keys.wishes import WISHES
from seatmesh.design.report.seat_report import CAUTIONS
from seatmesh.errors import InputError
from seatmesh.files.keys.words import WordKind
from seatmesh.marks.mark import KINDS
from seatmesh.picture.contact.pressure_field import drawn_pressure
from seatmesh.picture.contact.pressure_scale import STEPS_KPA, pressure_scale
from seatmesh.picture.style import WOOD
from seatmesh.units import format_length, in_inches, parse_length_mm, parse_mass_kg
from seatmesh.units.known import ALLOWED_LENGTH
from seatmesh.wood.blank import Blank
from seatmesh.wood.outline.shapes import OUTLINES
from seatmesh.wood.species import SPECIFIC_GRAVITY

from .conftest import shaped
from .jobs import ONE

TYPED = [
    "412", "412.5", ".5", "412 mm", "41.2 cm", "0.412 m", "16.19 in", '16 3/16"', "16-3/16 in", '3/16"', '-3/16"', "−2",
    "+7", "  9  ", '1 1/3"', "5 inches", "5 INCH", "7.", '0"', "16 3/16″", "3/16", "16 3/16", '16 16/16"', '1/0"', "",
    "abc", "1,5", "1e3", "4 12", "3/4 mm", '12 5/4"', '5/4"', "nan", "1234567890", "16 3 / 16 in", "2 in.",
    "41,2 cm", "1,650", "1,", "0,125 in", "5' 6 1/2\"", "5'6", "5 ft 6 in", "5'",
    "5' 12\"", "5' 6 mm", "'", "12 ft", ",5",
]  # fmt: skip


def lengths():
    rng = np.random.default_rng(7)
    scattered = rng.uniform(-50.0, 900.0, 400)
    ties = [k * 0.05 for k in range(-10, 60)] + [
        0.25,
        0.75,
        12.25,
        12.75,
        -0.25,
        0.0,
        -0.01,
        25.4 / 64,
        3 * 25.4 / 64,
        5 * 25.4 / 64,
    ]
    return [*scattered.tolist(), *ties]


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("decimals", [0, 1, 2])
def test_lengths_are_written_as_in_the_library(modules, units, decimals):
    given = lengths()
    script = f"return given.map((mm) => one.writeLength(mm, '{units}', {decimals}));"
    assert modules("parts/lengths.js", script, given) == [
        format_length(mm, units, decimals=decimals) for mm in given
    ]


def read_by_library(read, text, **how):
    """As the library reads it, None for what it refuses."""
    try:
        return read(text, **how)
    except InputError:
        return None


def texts(parts, seed):
    """Texts put together at random, most of them of parts that belong together."""
    rng = np.random.default_rng(seed)
    return ["".join(rng.choice(parts, rng.integers(1, 7))) for _ in range(3000)]


LENGTH_PARTS = [
    "5", "6", "12", "0", "1", "/", "16", " ", "-", "'", '"', " in", " mm", "cm", "m", "ft ", ".5", ",5", ",250", "1/2",
    "3/16", "+", "−", "1,234", "″", "’", ".",
]  # fmt: skip
MASS_PARTS = [
    "12",
    "4",
    "13",
    "14",
    " ",
    " st ",
    "stone ",
    " lb",
    "pounds",
    "kg",
    "g",
    ".5",
    ",5",
    ",250",
    "1,234",
    "-",
]
MASSES = [
    "76", "76.5", "76,2", "76,2 kg", "168 lb", "168lbs.", "12 st", "12 st 4 lb", "12 stone 4 pounds", "62000 g",
    "12 st 4", "12 st 14 lb", "76,200", "1,650 g", "", " ", "kg", "st", "-76", "7 6", "12,5 st", "0.1234567891234 kg",
    "12 ST 4 LB",
]  # fmt: skip
LONG = [
    "0.123456789123456789",
    "0.1234567891234567891",
    "0,123456789123456789 in",
    ".0000000000000000001",
    "12,3456",
]


@pytest.mark.parametrize("units", ["mm", "in"])
def test_lengths_are_read_as_in_the_library(modules, units):
    """A number without a unit is in the maker's own."""
    typed = [*TYPED, *LONG, *texts(LENGTH_PARTS, 11)]
    read = modules("parts/lengths.js", f"return given.map((text) => one.readLength(text, '{units}'));", typed)
    assert sum(one is not None for one in read) > 250
    for text, got in zip(typed, read, strict=True):
        assert got == read_by_library(parse_length_mm, text, bare=units), text


@pytest.mark.parametrize("units", ["mm", "in"])
def test_masses_are_read_as_in_the_library(modules, units):
    """A number without a unit is in kg, where the maker works in inches in pounds."""
    typed = [*MASSES, *LONG, *texts(MASS_PARTS, 12)]
    read = modules("parts/masses.js", f"return given.map((text) => one.readMass(text, '{units}'));", typed)
    assert sum(one is not None for one in read) > 250
    for text, got in zip(typed, read, strict=True):
        mass = read_by_library(parse_mass_kg, text)
        if units == "in" and re.fullmatch(r"[0-9.,]+", text.strip()) and mass is not None:
            mass = parse_mass_kg(f"{text} lb")
        assert got == mass, text


def test_a_comma_before_three_digits_is_asked_about(modules):
    for text in ("1,650", "12,345 mm"):
        with pytest.raises(InputError, match="may stand for decimals or for thousands") as refusal:
            parse_length_mm(text)
        said = modules("parts/lengths.js", "return one.doubtful(given);", text)
        assert said.rstrip(".").split("write ")[1] == str(refusal.value).split("write ")[1]
    assert modules("parts/lengths.js", "return one.doubtful(given);", "1,65") is None
    script = "return given.map((text) => one.KINDS.share.read(text));"
    assert modules("parts/quantity-field.js", script, ["1,25", "1,250"]) == [1.25, None]


def test_words_of_the_service_are_said_in_inches(modules):
    given = [
        "take 3 mm more over a 90 mm circle",
        "allowed are 200 to 900 mm; give 412.5 mm",
        "a blank of 508 x 406.4 x 50.8 mm, between 25.4 and 50.8 mm; nearest is (-50.8, 254) mm",
        "allowed is above 0, at most 900 mm; it is 100 to 200.5 mm, or 38 to 44 to 51 mm",
        "depth_mm = \"5' 6 mm\": allowed are 254 to 508 mm, the seat's own 25.4 mm",
        "depth_mm = '5\\' 6\" 5 mm': 12 mm; 'Anna's 5 mm' and 3/4 mm, 1,650 mm, 5-6 mm",
        f"x_mm = '7 mmm': {ALLOWED_LENGTH}; write it in one of these ways, 7 mm",
        "it lies 0.12 mm off, -0.3 mm, 0.4 mm at most, 0 mm here, 0.1 to 0.3 mm",
        "stature_mm = 1, 12 kPa",
    ]
    said = modules("parts/lengths.js", "return given.map((words) => one.inUnits(words, 'in'));", given)
    assert said == [in_inches(words) for words in given]
    assert said[:3] != given[:3]
    assert (
        modules("parts/lengths.js", "return given.map((words) => one.inUnits(words, 'mm'));", given) == given
    )


def test_what_is_written_reads_back(modules):
    given = [abs(mm) for mm in lengths()]
    for units, half in (("mm", 0.05), ("in", 25.4 / 64)):
        script = f"return given.map((mm) => one.readLength(one.bareLength(mm, '{units}'), '{units}'));"
        assert modules("parts/lengths.js", script, given) == pytest.approx(given, abs=half + 1e-9)


@pytest.mark.parametrize(
    ("names", "table"),
    [
        (["BLANK"], BLANK),
        (["CHAIR"], CHAIR),
        (["WISHES", "FURTHER_WISHES", "WORD_WISHES"], WISHES),
        (["JOINT"], JOINT),
    ],
)
def test_fields_are_the_records_of_the_library(modules, names, table):
    """A key that a form asks for has its field, with the range and the default that the reader of orders has."""
    fields = {}
    for name in names:
        fields |= modules("order/usual-values.js", f"return one.{name};")
    asked = {key.name: key for key in table.keys if key.asked}
    assert set(asked) <= set(fields)
    for name, key in asked.items():
        field = fields[name]
        assert (field["label"], field["usual"]) == (key.label, table.default(key))
        bounds = None if isinstance(key.kind, WordKind) else [key.kind.lowest, key.kind.highest]
        assert field["range"] == bounds
        assert field.get("span") == (key.slider and [key.slider.lowest, key.slider.highest])
        assert field["hint"].replace("’", "'").rstrip(".").lower() == key.meaning.lower()


def test_every_field_has_a_kind_that_the_page_can_read(modules):
    kinds = modules("parts/quantity-field.js", "return Object.keys(one.KINDS);")
    for name in ("CHAIR", "WISHES", "FURTHER_WISHES", "JOINT"):
        assert {
            field["kind"] for field in modules("order/usual-values.js", f"return one.{name};").values()
        } <= set(kinds)
    asked = "return Object.values(one.BLANK).filter((one) => one.asked).map((one) => one.kind);"
    assert set(modules("order/usual-values.js", asked)) <= set(kinds)


def test_words_and_colours_are_the_librarys(modules):
    assert modules("order/usual-values.js", "return [one.OUTLINES, one.OUTLINE];") == [
        list(OUTLINES),
        Blank().outline,
    ]
    steps, colours, bare = modules(
        "drawings/pressure-scale.js", "return [one.STEPS_KPA, one.COLOURS, one.BARE];"
    )
    assert tuple(steps) == STEPS_KPA
    rgb = np.round(255 * pressure_scale().colours(np.arange(len(STEPS_KPA)))[:, :3]).astype(int)
    assert colours == [f"#{r:02x}{g:02x}{b:02x}" for r, g, b in rgb]
    assert bare == WOOD


def test_bands_are_those_of_the_pictures(modules):
    given = [0.0, 0.09, 0.1, 0.99, 1.0, 4.9, 5.0, 19.9, 79.0, 80.0, 500.0]
    edges = np.array(STEPS_KPA)
    assert modules("drawings/pressure-scale.js", "return given.map(one.bandOf);", given) == [
        int(np.searchsorted(edges, p, "right")) - 1 for p in given
    ]


def test_marks_are_those_that_the_library_knows(opened):
    page = opened(ONE, "bench/marks")
    assert set(page.locator("form select option").all_inner_texts()) == set(KINDS)


def test_woods_are_those_that_the_sheets_know(opened):
    page = opened(ONE, "take")
    shaped(page)
    assert page.get_by_label("Wood", exact=True).locator("option").all_inner_texts() == sorted(
        SPECIFIC_GRAVITY
    )


def test_cautions_are_the_reports(opened):
    page = opened(ONE, "take")
    shaped(page)
    told = {words.replace("’", "'") for words in page.locator(".caution li").all_inner_texts()}
    assert told == set(CAUTIONS)


@pytest.mark.parametrize(
    ("keys", "text"),
    [
        (["4", "1", ".", "5"], "41.5"),
        (["2", "and", "3", "/", "8"], "2 3/8"),
        (["2", "½"], "2 1/2"),
        (["½"], "1/2"),
        (["4", "1", "⌫"], "4"),
        (["⌫"], ""),
    ],
)
def test_keys_write_a_reading(modules, keys, text):
    assert modules("gauge/keypad.js", "return given.reduce(one.pressed, '');", keys) == text


def test_the_page_reads_pressure_as_the_pictures_draw_it(modules):
    """Between the cells too: the same edge to 0.2 mm of gap, and the same pressure within it."""
    sitting = sit(estimate_body("male", 1740, 69), flat_seat())
    drawn = drawn_pressure(sitting)
    rows, columns = slice(4, -4, 3), slice(4, -4, 3)
    x, y = np.meshgrid(drawn.x_mm[columns], drawn.y_mm[rows])
    script = "const read = one.pressureReader(given[0]); return given[1].map(([x, y]) => read(x, y));"
    given = [pressure_grid(sitting), np.stack([x.ravel(), y.ravel()], axis=1).tolist()]
    read = np.array(modules("drawings/read-grids.js", script, given)).reshape(x.shape)
    overlap, pressure = drawn.overlap_mm[rows, columns], drawn.pressure_kpa[rows, columns]
    assert np.all(read[overlap < -0.2] == 0.0)
    assert np.all(read[overlap > 0.2] > 0.0)
    inside = overlap > 1.0
    assert np.quantile(np.abs(read / pressure - 1.0)[inside], 0.98) < 0.05
