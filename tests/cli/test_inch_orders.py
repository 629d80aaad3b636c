"""Orders in inches: twenty of them, drawn by chance, whose papers and tables speak inches and keep to the safe side."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest

from seatmesh.body.body_file import bodies_folder, read_body
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.cli import main
from seatmesh.cli.commands.demo_command import table_words
from seatmesh.cli.commands.sit_command import ROWS
from seatmesh.formats.depth_table import depths_csv
from seatmesh.gauge.bar.gauge_sheet import gauge_sheet, sheet_csv, sheet_text
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.check.check_report import _cut
from seatmesh.gauge.check.further.next_cuts import Cut
from seatmesh.gauge.readings.readings_file import parse_readings
from seatmesh.picture.contact.contact_map import figure_lines
from seatmesh.seating.sit import sit
from seatmesh.sheets.all_sheets import sheets_of
from seatmesh.sheets.sheet_wishes import HoleWishes, SheetWishes
from seatmesh.spline import BicubicSpline, clamped_knots
from seatmesh.surface import Seat
from seatmesh.units import in_inches, parse_length_mm
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import Joint

METRIC = re.compile(r"\b(?:mm|cm|cm2|cm3|kg|millimet\w+)\b|_mm")
INCHES = re.compile(r'(?<![\w./])(-?\d+(?: \d+/\d+)?|-?\d+/\d+)"')
IN = 25.4


def inch_seat(seed: int) -> Seat:
    """Return a seat whose measures are whole sixteenths of an inch, its hollow a smooth bowl of any depth."""
    rng = np.random.default_rng(seed)
    wide, deep = (IN * rng.integers(16 * low, 16 * high) / 16.0 for low, high in ((16, 21), (14, 19)))
    thick = IN * rng.integers(26, 33) / 16.0
    knots_x = clamped_knots(-0.5 * wide, 0.5 * wide, 24)
    knots_y = clamped_knots(2.0 * IN, deep, 20)
    x, y = (
        np.array([knots[i + 1 : i + 4].mean() for i in range(len(knots) - 4)]) for knots in (knots_x, knots_y)
    )
    u, v = x[:, None] / (0.42 * wide), (y[None, :] - 0.42 * deep) / (0.45 * deep)
    bowl = np.clip(1.0 - u**2, 0.0, None) ** 2 * np.clip(1.0 - v**2, 0.0, None) ** 2
    most = rng.uniform(0.3, 0.8) * IN
    joints = (
        Joint(
            "leg mortise", x_mm=0.36 * wide, y_mm=0.2 * deep, diameter_mm=IN * rng.integers(14, 19) / 16.0,
            angle_deg=float(rng.integers(6, 16)), depth_mm=IN * rng.integers(8, 14) / 16.0,
        ),
    )  # fmt: skip
    blank = Blank(
        wide, deep, thick, floor_mm=IN * 0.75, deck_mm=2.0 * IN, boards=int(rng.integers(1, 4)),
        gutter_depth_mm=IN / 8.0 if rng.random() < 0.5 else 0.0, joints=joints,
    )  # fmt: skip
    hollow = BicubicSpline(knots_x, knots_y, most * bowl)
    roll = IN * rng.integers(0, 9) / 8.0
    return Seat(blank, hollow=hollow, front_roll_mm=roll, title=f"porch {seed}", units="in")


@pytest.fixture(scope="module")
def viola():
    return read_body(bodies_folder() / "viola.toml")


def pages_of(data: bytes) -> list[str]:
    """Return the words of every page but for the bar of 100 mm, which every page bears to be measured."""
    return [
        " ".join(page.get_textpage().get_text_bounded().split()).replace("100 mm", "")
        for page in pypdfium2.PdfDocument(data)
    ]


@pytest.mark.parametrize("seed", range(20))
def test_an_inch_order_has_no_metric_word_and_reads_back(seed: int, viola) -> None:
    seat = inch_seat(seed)
    made = sheets_of(seat, (viola,), SheetWishes(paper="Letter", holes=HoleWishes()), ("pdf", "svg"))
    pages = pages_of(made.files["sheets.pdf"])
    for page in pages:
        assert not METRIC.search(page), page
        for one in INCHES.findall(page):
            parse_length_mm(f'{one}"')
    # Depths of cards: each tick's place and, under it, a depth that is never more than the seat's.
    svg = made.files["sheets.svg"].decode()
    assert not METRIC.search(re.sub(r"<[^>]*>|Full size, mm\.", "", svg))
    for station in made.stations:
        # Round in the order's unit.
        assert station.at_mm / (0.5 * IN) == pytest.approx(round(station.at_mm / (0.5 * IN)), abs=1e-6)
    for one in made.holes:
        assert one.stop_mm + one.tip_mm < one.finished_depth_mm
    deepest = float(
        seat.depth_mm(*np.meshgrid(np.arange(-200, 201.0), np.arange(55.0, 0.7 * seat.blank.depth_mm))).max()
    )
    told = parse_length_mm(re.search(r"Deepest place ([\d /]+\") deep", pages[0])[1])
    assert -0.05 <= deepest - told <= IN / 32.0 + 0.01


@pytest.mark.parametrize("seed", range(20))
def test_tables_of_an_inch_order_say_so_and_are_never_deeper(seed: int) -> None:
    seat = inch_seat(seed)
    rows = list(csv.DictReader(io.StringIO(depths_csv(seat))))
    x, y, depth = (IN * np.array([float(row[name]) for row in rows]) for name in ("x_in", "y_in", "depth_in"))
    assert np.abs(x / IN - np.round(x / IN)).max() < 1e-9
    gap = seat.depth_mm(x, y) - depth
    assert gap.min() >= -1e-4
    assert gap.max() <= 0.0255
    sheet = gauge_sheet(seat, 2.0 * IN, Gauge(2.5 * IN))
    back = parse_readings(sheet_csv(sheet))
    over = [row.expected_mm - one.expected_mm for row, one in zip(back, sheet.crossings, strict=True)]
    assert max(over) <= 1e-4
    assert min(over) >= -0.0255
    assert not METRIC.search(sheet_text(sheet, "in"))
    holes = sheets_of(seat, (), SheetWishes(holes=HoleWishes()), ("svg",)).files["holes.csv"].decode()
    assert "_mm" not in holes
    assert holes.startswith("hole,x_in,y_in,bit_in")


ORDER = """title = "porch"
units = "in"
[blank]
width_mm = '18"'
depth_mm = '{depth}'
thickness_mm = '1 3/4"'
[[sitter]]
body = {{ name = "Ida", sex = "female", stature_mm = "5' 6 1/2\\"", mass_kg = "12 st" }}
[wishes]
depth_mm = '{hollow}'
"""


def test_refusals_of_an_inch_order_speak_inches(tmp_path, capsys) -> None:
    order = tmp_path / "porch.toml"
    order.write_text(ORDER.format(depth='90"', hollow='5/8"'), encoding="utf-8")
    assert main(["sheets", str(order), "--out", str(tmp_path / "out")]) == 2
    words = capsys.readouterr().err
    assert not METRIC.search(words.replace("depth_mm", "")), words
    low, high = re.search(r'allowed are ([\d /]+") to ([\d /]+")', words).groups()
    assert parse_length_mm(low) < parse_length_mm(high)
    assert not (tmp_path / "out").exists()


def test_ranges_in_inches_keep_within_their_ends() -> None:
    """200 mm is 7.874 in, 900 mm 35.433 in: 7 7/8 is 200.03 mm, 35 13/32 is 899.3 mm."""
    assert in_inches("allowed are 200 to 900 mm") == 'allowed are 7 7/8" to 35 13/32"'
    assert in_inches("a roll of 254 mm, '12 mm'") == "a roll of 10\", '12 mm'"


def test_sit_speaks_inches(tmp_path, capsys) -> None:
    order = tmp_path / "porch.toml"
    order.write_text(ORDER.format(depth='17"', hollow='5/8"'), encoding="utf-8")
    assert main(["sit", str(order), "--flat"]) == 0
    words = capsys.readouterr().out
    assert not METRIC.search(words), words
    assert re.search(r"contact area +\d+ sq in", words)
    assert re.search(r'front edge to knee-back +[\d /]+"', words)
    assert len([one for one in ROWS if one[0] in words]) >= len(ROWS) - 2


def test_pictures_and_gauge_words_of_an_inch_seat_have_no_metric_area() -> None:
    seat = inch_seat(2)
    body = estimate_body("female", 1690, 76)
    said = " ".join(figure_lines(sit(body, seat), "in"))
    assert not METRIC.search(said.replace("cm²", "cm2")), said
    assert '3/8" square' in said
    assert re.search(r"carries \d+ lb ", said)
    cut = Cut(100.0, 200.0, 1.5, 1.0, 9.0, 9.0)
    words = _cut(1, cut, "in")["words"]
    assert not METRIC.search(words), words
    assert "1.4 sq in (0.5 cu in)" in words


def test_the_demo_s_table_speaks_each_order_s_unit() -> None:
    """100 sq in are 645.16 cm2."""
    sitter = {"name": "cello", "peak_flat_kpa": 50.0, "peak_closed_form_kpa": 30.0, "peak_best_kpa": 25.0}
    sitter |= {"contact_area_flat_cm2": 645.16, "contact_area_best_cm2": 1290.32}
    report = {"title": "cello", "sitters": [sitter]}
    said = table_words([(report, "in")])
    assert not METRIC.search(said), said
    assert "100 sq in" in said
    assert "200 sq in" in said
    assert '3/8" square' in said
    assert "645 cm2" in table_words([(report, "mm")])
    assert 'Peaks are means over 1 cm2 or 3/8" square' in table_words([(report, "mm"), (report, "in")])


def test_in_mm_nothing_speaks_inches() -> None:
    seat = replace(inch_seat(3), units="mm")
    assert depths_csv(seat).startswith("x_mm,y_mm,depth_mm")
    assert '"' not in sheet_text(gauge_sheet(seat, 50.0, Gauge(60.0)), "mm")
