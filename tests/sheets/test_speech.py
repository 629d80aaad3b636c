"""Figures on the sheets: mm or fractions of an inch throughout, and each fraction within half of its step."""

from __future__ import annotations

import re

import pytest

from seatmesh.paper.drawing import Drawing, Words
from seatmesh.sheets.cards.card import card_of
from seatmesh.sheets.cards.card_drawing import card_drawing
from seatmesh.sheets.holes.bit import Bit
from seatmesh.sheets.holes.depth_hole import holes_of
from seatmesh.sheets.plan.plan import plan
from seatmesh.sheets.sheet_wishes import SheetWishes, Speech
from seatmesh.sheets.stages.stage import stages_of
from seatmesh.sheets.stages.stage_words import tools, work
from seatmesh.station import stations
from seatmesh.units import parse_length_mm

MM = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) mm(?!\w)")
INCH = re.compile(r'(?<![\w./])(\d+(?: \d+/\d+)?|\d+/\d+)"')


def lengths(text: str) -> list[float]:
    return [parse_length_mm(one) for one in MM.findall(text)] + [
        parse_length_mm(f'{one}"') for one in INCH.findall(text)
    ]


def texts(drawing: Drawing) -> list[str]:
    return [one.text for layer in drawing.layers for one in layer.items if isinstance(one, Words)]


@pytest.fixture(scope="module")
def told(seat, viola):
    """What the sheets say, in each unit once."""
    return {key: sheet_texts(seat, viola, *key) for key in (("mm", 32), ("in", 16), ("in", 32))}


def sheet_texts(seat, body, units: str, step: int) -> list[str]:
    """Everything that plan and stages say; contour step and grid are the same in either unit."""
    wishes = SheetWishes(units=units, inch_step=step, contour_step_mm=3.0, grid_mm=50.0)
    says = Speech(units, step)
    where = stations(seat)
    bit = Bit("brad point", 10.0, 4.0, sold_in=units)
    out = texts(plan(seat, (body,), where, holes_of(seat, bit, 40.0, 1.5), wishes))
    for one in stages_of(seat, wishes):
        out += [work(one, 1.5, says), *tools(one, says)[:1]]  # further lines name tools by their size
    return out


@pytest.mark.parametrize("step", [16, 32])
def test_every_fraction_reads_back_within_its_step(told, step: int) -> None:
    """Each figure in inches against the same one in mm, itself rounded to 0.1 mm; depths are rounded down."""
    mm, inches = (told["mm", 32], told["in", step])
    given = sorted(one for text in mm for one in lengths(text))
    read = sorted(one for text in inches for one in lengths(text))
    # The grid's figures bear no unit in mm.
    given += [50.0 * number for number in range(9)]
    # Contour figures stand where they find room, so that their number may differ by the words' widths.
    assert len(read) > 100
    for one in read:
        assert min(abs(one - other) for other in given) <= 25.4 / step + 0.05


def test_no_unit_is_mixed_in(told) -> None:
    inches = " ".join(told["in", 32])
    mm = " ".join(told["mm", 32])
    assert not MM.search(inches)
    assert not INCH.search(mm)


def test_each_figure_of_a_card_is_its_seat_s_depth_and_in_inches_never_deeper(seat) -> None:
    """One by one: every tick's place and the depth under it, against the seat's own surface."""
    for units, step in (("mm", 32), ("in", 32), ("in", 16)):
        says, checked = Speech(units, step), 0
        for station in stations(seat):
            drawn = card_drawing(card_of(seat, station), "", says)
            (figures,) = [layer.items for layer in drawn.layers if layer.name == "card depths"]
            for at, depth in zip(figures[::2], figures[1::2], strict=True):
                u = parse_length_mm(at.text) * (-1.0 if at.at_mm[0] < 0.0 else 1.0)
                x, y = (u, station.at_mm) if station.runs == "across" else (station.at_mm, u)
                gap = float(seat.depth_mm(x, y)) - parse_length_mm(depth.text)
                assert -0.06 <= gap <= 0.06 if units == "mm" else -0.001 <= gap <= 25.4 / step + 0.001
                checked += 1
        assert checked > 30


def test_sixteenths_have_no_thirty_seconds(told) -> None:
    """But for the bit, whose size is its name and whose point is told to 1/64 inch."""
    assert not re.search(r'\d/32"', " ".join(one for one in told["in", 16] if "brad point" not in one))


def test_areas_volumes_and_masses_speak_inches_and_pounds() -> None:
    """Exact: 1 in = 25.4 mm, 1 lb = 0.45359237 kg (international yard and pound, 1959)."""
    says = Speech("in")
    assert says.area(645.16) == "100 sq in"
    assert says.volume(163870.64) == "10.0 cu in"
    assert says.mass(4.5359237) == "10.00 lb"
    assert (Speech("mm").area(645.16), Speech("mm").volume(163870.64)) == ("645 cm2", "164 cm3")
