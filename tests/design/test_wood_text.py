"""The report on the wood in words: all of it in the order's unit, in lines that a terminal holds."""

import re
from dataclasses import replace

import pytest

from seatmesh import Order, OrderedSitter, WoodWishes, estimate_body
from seatmesh.design.report.wood_notes import wood_notes
from seatmesh.design.wood import wood_study as studies
from seatmesh.design.wood.wood_report import wood_report
from seatmesh.design.wood.wood_text import wood_text
from seatmesh.wood.boards.board import Board
from seatmesh.wood.joint import Joint
from seatmesh.wood.species import species_named
from seatmesh.woodwork.floor.floor_bending import floor_bending
from seatmesh.woodwork.floor.thinnest import ThinnestFloor

BOARDS = (
    Board(233.65, species_named("walnut"), pith_aside_mm=20.0, number=1),
    Board(246.35, species_named("cherry"), pith_aside_mm=-10.0, number=2),
)
JOINTS = (
    Joint("leg mortise", 150.0, 330.0, diameter_mm=28.0, depth_mm=30.0, angle_deg=12.0, keep_mm=2.0),
    Joint("leg mortise", 140.0, 90.0, diameter_mm=28.0, depth_mm=28.0, keep_mm=2.0),
    Joint("spindle", 6.35, 25.0, diameter_mm=12.0, depth_mm=25.0, side="one"),
    Joint("back post", 120.0, 25.0, diameter_mm=20.0, depth_mm=25.0),
)
PLANK = WoodWishes(plank_width_mm=260.0, plank_length_mm=900.0, plank_thickness_mm=55.0)


@pytest.fixture(scope="module")
def study(carve):
    """Return a study with a coarse floor, and no search for the thinnest."""
    seat = carve(joints=JOINTS, glue_lines_mm=(-6.35,))
    order = Order(
        "Anna",
        (OrderedSitter(estimate_body("female", 1640, 61)),),
        blank=seat.blank,
        boards=BOARDS,
        wood=PLANK,
    )

    def coarse(*given):
        return floor_bending(*given, spacing_mm=40.0, layers=1)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(studies, "floor_bending", coarse)
        patch.setattr(studies, "thinnest_floor", lambda *_: ThinnestFloor(3.0, 12.5, 3.02, ((12.5, 3.02),)))
        return studies.wood_study(order, seat)


def words_of(study, units):
    seat = replace(study.seat, units=units)
    there = replace(study, seat=seat, glue_notes=tuple(wood_notes(seat, study.order.wood.glue_clear_mm)))
    return wood_text(wood_report(there), units)


def test_an_order_in_inches_hears_no_millimetres_and_none_in_mm_an_inch(study):
    inches, metric = words_of(study, "in"), words_of(study, "mm")
    assert re.findall(r".*\b[mc]m[23]?\b.*", inches) == []
    assert re.findall(r".*\d(?:\"| in\b| lb| cu in).*", metric) == []
    for words in (inches, metric):
        # A coordinate without a unit: a key of the order file, or an axis that nobody marked on the wood.
        assert re.findall(r".*\b[xy](?:_mm)? -?\d.*", words) == []
    assert "across the glue line 1/4\" to the sitter's left of the centre line" in " ".join(inches.split())
    assert "across the glue line 6.3 mm to the sitter's left of the centre line" in " ".join(metric.split())


def test_no_line_is_wider_than_the_report(study):
    for units in ("mm", "in"):
        assert max(map(len, words_of(study, units).splitlines())) <= 96


def test_fractions_are_rounded_to_the_safe_side(study):
    """A board is asked for larger, wood that is left is told smaller: 35/32 in are 27.78 mm."""
    text = " ".join(words_of(study, "in").split())
    # 233.65 + 6 mm are 9.435 in, up to 9 14/32; 246.35 + 6 mm are 9.935 in, up to 9 30/32; 51 mm are 2.0079 in.
    assert '9 7/16" + 9 15/16" wide' in text
    assert '2 1/32" thick' in text
    # 12.5 mm of floor are 15.75/32 in.
    assert '1/2" of floor would still reach factor 3 (3.02)' in text
    parts = re.search(r'Floor (?:(\d+) )?(\d+)/(\d+)" at its thinnest', text)
    told = 25.4 * (int(parts[1] or 0) + int(parts[2]) / int(parts[3]))
    assert study.floor.floor_mm - 0.8 < told <= study.floor.floor_mm


def test_mortises_near_the_hollow_are_told_with_what_is_left(study):
    text = " ".join(words_of(study, "mm").split())
    assert re.search(
        r"over a mortise: 1\d\d mm to the sitter's right .* of wood is left under the hollow", text
    )
    deep = replace(
        study, short=tuple(replace(one, length_mm=0.0) for one in study.short if "mort" in one.what)
    )
    assert "its end breaks through the hollow: do not drill it so deep" in " ".join(
        words_of(deep, "in").split()
    )


def test_what_the_joints_do_is_told_by_kind_place_and_way(study):
    text = " ".join(words_of(study, "mm").split())
    assert (
        "joint 1 (leg mortise, 150 mm to either side of the centre line, 330 mm from the rear edge)" in text
    )
    assert re.search(r"the pair, 300 mm apart, comes \d\.\d mm nearer together", text)
    assert "joint 3 (spindle, 6.3 mm to the sitter's right of the centre line" in text
    assert "Posts along the deck move by up to" in text
