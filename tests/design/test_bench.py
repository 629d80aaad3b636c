"""Tools and stages of an order: what is read, and what the report says of surfaces of known curvature and volume."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh import Blank, InputError, Seat
from seatmesh.adjustment import Adjustment
from seatmesh.design.orders.keys.tool import TOOLS
from seatmesh.design.orders.keys.top import Stages
from seatmesh.design.orders.order import order_from_table
from seatmesh.design.report.reach_report import reach_lines, reach_notes, reach_report
from seatmesh.design.report.stage_report import carved_cm3, stages_report
from seatmesh.fit.hollow import deepest_place
from seatmesh.spline import BicubicSpline, clamped_knots

KNOTS = clamped_knots(-240.0, 240.0, 4), clamped_knots(50.0, 430.0, 4)
LEVEL = Seat(Blank(outline="straight-sided"), hollow=BicubicSpline(*KNOTS, np.full((7, 7), 10.0)))
PATCH = Adjustment(100.0, 250.0, 50.0, 5.0, "both")
DIMPLED = replace(LEVEL, adjustments=(PATCH,))


def test_tools_by_radius_or_diameter():
    disc, sole, scraper = TOOLS.read_all(
        [
            {"name": "grinder", "kind": "disc", "diameter_mm": '4 1/2"'},
            {"radius_mm": 150},
            {"kind": "scraper", "radius_mm": 400.0},
        ],
        "order",
    )
    assert (disc.name, disc.radius_mm) == ("grinder", pytest.approx(57.15))
    assert (sole.name, sole.radius_mm) == ("sole", 150.0)
    assert scraper.radius_mm == 400.0


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ([{"name": "x"}], "radius_mm"),
        ([{"kind": "disk", "radius_mm": 50}], "disc"),
        ([{"radius_mm": 50, "diameter_mm": 100}], "leave one of them out"),
        ([{"radius": 50}], "radius_mm"),
        ([{"radius_mm": 50, "name": ""}], "name"),
        ({"radius_mm": 50}, "list of tables"),
        ([{"radius_mm": 50}] * 21, "at most 20"),
    ],
)
def test_tools_refused_by_name(given, word):
    with pytest.raises(InputError, match=word):
        TOOLS.read_all(given, "order")


@pytest.mark.parametrize("given", [0.5, ["half"], [1.0], [0.0], [0.5, 0.501], [0.1] * 7, [True]])
def test_stages_refused(given):
    with pytest.raises(InputError, match="stages"):
        Stages().read(given, "stages")


def test_the_radius_of_a_dimple_and_where_a_tool_cannot_go():
    # a (1 - r^2 / R^2)^2 has the radius R^2 / 4 a at its middle: 50^2 / 20 mm.
    figures = reach_report(
        DIMPLED, TOOLS.read_all([{"name": "plane", "radius_mm": 250}, {"radius_mm": 100}], "o")
    )
    assert figures["least_concave_radius_mm"] == pytest.approx(125.0, rel=5e-3)
    x, y = figures["least_concave_at_mm"]
    assert (abs(x), y) == pytest.approx((100.0, 250.0), abs=1.5)
    plane, small = figures["tools"]
    assert small["share_reached"] == 1.0
    # The greater curvature is that round the dimple, 4 a (1 - s^2) / R^2 with s = r / R: 1 / 250 mm at s^2 = 1 / 2.
    half = 50.0 / np.sqrt(2.0)
    assert [one["across_mm"] for one in plane["cannot_go"]] == pytest.approx([2 * half] * 2, abs=3.0)
    hollow_cm2 = 48.0 * 38.0
    missed = 2 * np.pi * half**2 / 100 / hollow_cm2
    assert 1.0 - plane["share_reached"] == pytest.approx(missed, rel=0.02)
    (note,) = reach_notes(figures, "mm")
    assert note.startswith(
        "plane cannot go to 4% of the hollow: 100 mm to either side of the centre line, 250 mm from the rear edge"
    )
    assert any("reaches" in line for line in reach_lines(figures, "mm"))


def test_nothing_concave_has_no_radius():
    assert reach_report(Seat(), ())["least_concave_radius_mm"] is None
    assert reach_lines(reach_report(Seat(), ()), "mm") == []


def test_wood_taken_is_area_times_depth():
    # 480 x 380 x 10 mm, and twice a pi R^2 / 3 of the dimples.
    assert carved_cm3(LEVEL) == pytest.approx(1824.0, rel=2e-3)
    assert carved_cm3(DIMPLED) - carved_cm3(LEVEL) == pytest.approx(2 * 5 * np.pi * 2500 / 3 / 1000, rel=2e-3)


def test_stages_add_up_to_the_finished_seat():
    order = order_from_table({"sitter": [{"body": "viola"}], "stages": [0.8, 0.5]}, "order", "seat")
    rows = stages_report(order, DIMPLED)
    assert [row["share"] for row in rows] == [0.5, 0.8, 1.0]
    assert sum(row["to_take_cm3"] for row in rows) == pytest.approx(carved_cm3(DIMPLED))
    assert [row["deepest_mm"] for row in rows] == pytest.approx([7.5, 12.0, 15.0], rel=1e-3)
    assert rows[0]["to_take_cm3"] == pytest.approx(0.5 * carved_cm3(DIMPLED), rel=1e-6)


def test_the_deepest_place_sees_adjustments():
    assert deepest_place(DIMPLED) == pytest.approx((100.0, 250.0, 15.0), abs=0.05)
    left = replace(LEVEL, adjustments=(replace(PATCH, x_mm=-90.0, side="one"),), front_roll_mm=60.0)
    assert deepest_place(left) == pytest.approx((-90.0, 250.0, 15.0), abs=0.05)
    assert deepest_place(Seat()) == (0.0, 0.0, 0.0)
