"""Depth holes: none goes below the finished surface, drills that lean and stops too deep among them."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import numpy as np
import pytest
from drilled_wood import least_wood

from seatmesh.adjustment import Adjustment
from seatmesh.deepest import deepest_places
from seatmesh.sheets.all_sheets import sheets_of
from seatmesh.sheets.holes.bit import Bit
from seatmesh.sheets.holes.depth_hole import BESIDE_MM, holes_csv, holes_of
from seatmesh.sheets.holes.hole_room import room
from seatmesh.sheets.holes.slope_bound import slope_bound
from seatmesh.sheets.sheet_wishes import HoleWishes, SheetWishes
from seatmesh.spline import BicubicSpline, clamped_knots
from seatmesh.surface import Seat
from seatmesh.wood.joint import Joint

ALLOWANCE = 1.0
BITS = (
    Bit("brad point", 10.0, 3.0),
    Bit("twist", 6.0, 1.8),
    Bit("Forstner", 25.0, 3.0),
    Bit("Forstner", 25.0, 0.0),
)
BRAD = BITS[0]


@pytest.fixture(scope="module")
def uneven(carve):
    """A hollow with a ridge left in it and a dip taken, beside a joint and a gutter, over an under-bevel."""
    seat = carve(
        gutter_depth_mm=3.0,
        under_bevel_width_mm=60.0,
        under_bevel_height_mm=15.0,
        joints=(Joint("leg mortise", x_mm=150.0, y_mm=130.0, diameter_mm=30.0, angle_deg=10.0),),
    )
    changes = (Adjustment(-60.0, 190.0, 30.0, -5.0), Adjustment(70.0, 170.0, 20.0, 3.0, "both"))
    return replace(seat, adjustments=changes)


@pytest.fixture(
    scope="module", params=BITS, ids=lambda bit: f"{bit.kind} {bit.diameter_mm:g} tip {bit.tip_mm:g}"
)
def made(request, uneven):
    return holes_of(uneven, request.param, 35.0, ALLOWANCE)


@pytest.fixture(scope="module")
def holes(uneven):
    return holes_of(uneven, BRAD, 35.0, ALLOWANCE).holes


def disc(x: float, y: float, radius: float) -> tuple[np.ndarray, np.ndarray]:
    turn = np.linspace(0.0, 2.0 * np.pi, 181)
    out = np.linspace(0.0, radius, 41)[:, None]
    return x + out * np.cos(turn), y + out * np.sin(turn)


def test_no_drill_however_it_leans_passes_the_finished_surface(uneven, made) -> None:
    """Against a solid bit turned about in space; and each hole is as deep as that leaves room for, but for 0.5 mm."""
    wood = [
        least_wood(uneven, (one.x_mm, one.y_mm), one.bit_mm, one.tip_mm, one.stop_mm, one.number)
        for one in made.holes[::3]
    ]
    assert len(wood) > 8
    over = np.array([one[0] for one in wood])
    assert over.min() >= ALLOWANCE - 1e-9
    assert np.median(over) <= ALLOWANCE + 0.5
    for one, (_, under) in zip(made.holes[::3], wood, strict=True):
        assert under >= one.under_mm - 1e-9
        assert under <= one.under_mm + 0.6
        assert one.under_mm >= uneven.blank.floor_mm - 1e-9


def test_a_steep_hollow_is_not_passed_either(carve) -> None:
    """Slopes up to 0.7: there a leaning drill strays sideways into shallower ground."""
    seat = carve()
    steep = replace(
        seat, adjustments=(Adjustment(0.0, 150.0, 45.0, -14.0), Adjustment(90.0, 230.0, 40.0, -9.0, "both"))
    )
    for bit in BITS[:3]:
        for one in holes_of(steep, bit, 22.0, 0.0).holes[::2]:
            over, _ = least_wood(
                steep, (one.x_mm, one.y_mm), one.bit_mm, one.tip_mm, one.stop_mm, one.number, 6
            )
            assert over >= -1e-9


def test_a_seat_that_was_carved_into_its_floor_keeps_the_floor_under_its_holes(carve) -> None:
    """A copy of a seat with less wood under it than the order's floor: holes stop over the floor, bevel and all."""
    seat = carve(thickness_mm=36.0, floor_mm=24.0, under_bevel_width_mm=150.0, under_bevel_height_mm=12.0)
    found = holes_of(seat, BRAD, 30.0, 0.0).holes
    assert found
    for one in found[::3]:
        _, under = least_wood(seat, (one.x_mm, one.y_mm), one.bit_mm, one.tip_mm, one.stop_mm, one.number, 6)
        assert under >= 24.0 - 1e-9


def test_deck_gutter_joints_roll_and_edges_are_left_out(uneven, made) -> None:
    radius, blank = 0.5 * made.bit.diameter_mm, uneven.blank
    assert not [one for one in made.holes if one.y_mm - radius < blank.deck_mm + blank.gutter_width_mm]
    assert not [one for one in made.holes if one.y_mm + radius > blank.depth_mm - 20.0 * np.sin(np.pi / 3.0)]
    assert min(np.hypot(abs(one.x_mm) - 150.0, one.y_mm - 130.0) for one in made.holes) > 15.0 + 10.0
    assert min(float(blank.inside_mm(one.x_mm, one.y_mm)) for one in made.holes) > radius


def test_a_joint_is_what_leaves_holes_out(uneven, holes) -> None:
    without = replace(uneven, blank=replace(uneven.blank, joints=()))
    near = [
        one
        for one in holes_of(without, BRAD, 35.0, ALLOWANCE).holes
        if np.hypot(abs(one.x_mm) - 150.0, one.y_mm - 130.0) < 25.0
    ]
    assert len(near) == 2


@pytest.mark.parametrize("deck", ["bowed", "offset"])
def test_a_curved_deck_is_left_out(carve, deck: str) -> None:
    seat = carve(deck_line=deck, deck_bow_mm=45.0, gutter_depth_mm=3.0)
    for bit in (BRAD, Bit("Forstner", 40.0, 3.0)):
        found = holes_of(seat, bit, 35.0, ALLOWANCE).holes
        assert found
        for one in found:
            ahead = seat.blank.ahead_of_deck_mm(*disc(one.x_mm, one.y_mm, 0.5 * one.bit_mm))
            assert ahead.min() > seat.blank.gutter_width_mm


def test_a_hole_stands_at_each_deepest_place(uneven_seat, carve) -> None:
    """At the greatest depth of a dense grid, and on both sides of a seat whose sides mirror each other."""
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 430.0, 32)
    x = (knots_x[1:-3] + knots_x[2:-2] + knots_x[3:-1])[:, None] / 3.0
    y = (knots_y[1:-3] + knots_y[2:-2] + knots_y[3:-1])[None, :] / 3.0
    two = 17.0 * (np.exp(-((x - 62.0) ** 2 + (y - 171.0) ** 2) / 6000.0)
                  + np.exp(-((x + 62.0) ** 2 + (y - 171.0) ** 2) / 6000.0)) - 2.0  # fmt: skip
    mirrored = Seat(hollow=BicubicSpline(knots_x, knots_y, 0.5 * (two + two[::-1])))
    dip = replace(carve(), adjustments=(Adjustment(-77.3, 231.7, 30.0, 6.0),))
    for seat, count in ((mirrored, 2), (dip, 1), (uneven_seat, 1), (carve(), 1)):
        found = [one for one in holes_of(seat, BRAD, 40.0, ALLOWANCE).holes if one.is_deepest]
        assert len(found) == count
        fine_x, fine_y = np.meshgrid(np.arange(-235.0, 236.0), np.arange(51.0, 412.0))
        deepest = float(seat.depth_mm(fine_x, fine_y).max())
        for one in found:
            assert float(seat.depth_mm(one.x_mm, one.y_mm)) >= deepest - 0.01
        if count == 2:
            assert found[0].x_mm == -found[1].x_mm
            assert found[0].stop_mm == found[1].stop_mm


def test_on_level_ground_deepest_places_mirror_each_other() -> None:
    """A hollow that lies on its floor: last bits alone say which place is the deepest."""
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 430.0, 32)
    random = np.random.default_rng(2)
    x = (knots_x[1:-3] + knots_x[2:-2] + knots_x[3:-1])[:, None] / 3.0
    y = (knots_y[1:-3] + knots_y[2:-2] + knots_y[3:-1])[None, :] / 3.0
    level = np.minimum(30.0 * (1.0 - ((np.abs(x) - 70.0) / 60.0) ** 2 - ((y - 190.0) / 170.0) ** 2), 15.0)
    seat = Seat(
        hollow=BicubicSpline(knots_x, knots_y, level * (1.0 + 1e-14 * random.standard_normal((43, 35))))
    )
    left, right = deepest_places(seat)
    assert (left.x_mm, left.y_mm) == (-right.x_mm, right.y_mm)
    stops = [one.stop_mm for one in holes_of(seat, BRAD, 40.0, ALLOWANCE).holes if one.is_deepest]
    assert len(stops) == 2
    assert stops[0] == stops[1]


def test_holes_stand_apart(uneven, made) -> None:
    at = np.array([(one.x_mm, one.y_mm) for one in made.holes])
    apart = np.hypot(*(at[:, None, :] - at[None, :, :]).transpose(2, 0, 1)) + 1e3 * np.eye(len(at))
    assert apart.min() >= made.bit.diameter_mm + BESIDE_MM


def test_a_deepest_place_without_room_is_said(carve) -> None:
    seat = carve(
        joints=(
            Joint("circle", x_mm=0.0, y_mm=140.0, diameter_mm=30.0, side="one", around_mm=2.0, keep_mm=1.0),
        )
    )
    made = holes_of(seat, BRAD, 40.0, ALLOWANCE)
    assert not [one for one in made.holes if one.is_deepest]
    assert "a deepest place has no depth hole of its own" in made.notes[0]


def test_two_deepest_places_side_by_side_share_a_hole(carve) -> None:
    seat = replace(carve(), adjustments=(Adjustment(5.0, 140.0, 12.0, 1.0, "both"),))
    assert [abs(one.x_mm) for one in deepest_places(seat)] == pytest.approx([5.0, 5.0], abs=1.5)
    made = holes_of(seat, BRAD, 40.0, ALLOWANCE)
    assert [one.x_mm for one in made.holes if one.is_deepest] == [0.0]
    assert "one depth hole stands between them" in made.notes[0]


@pytest.mark.parametrize("seed", range(12))
def test_the_bound_holds_on_rough_surfaces(seed: int) -> None:
    """Random coefficients: between samples the spline runs where no sample is; no hole passes it all the same."""
    random = np.random.default_rng(seed)
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 430.0, 32)
    spline = BicubicSpline(knots_x, knots_y, 16.0 + 3.0 * random.standard_normal((43, 35)))
    seat = Seat(hollow=spline, adjustments=(Adjustment(20.0, 200.0, 25.0, -4.0, "both"),))
    bit = BITS[seed % 3]
    found = holes_of(seat, bit, 45.0, 0.0).holes
    assert len(found) > 5
    for one in found:
        over, _ = least_wood(seat, (one.x_mm, one.y_mm), one.bit_mm, one.tip_mm, one.stop_mm, seed, 4)
        assert over >= -1e-9


@pytest.mark.parametrize("seed", range(4))
def test_between_samples_too_there_is_no_less_room(seed: int) -> None:
    """The rule of the figure of revolution, on 60,000 places of ripples that run from sample to sample."""
    random = np.random.default_rng(seed)
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 430.0, 32)
    seat = Seat(hollow=BicubicSpline(knots_x, knots_y, 18.0 + 6.0 * random.standard_normal((43, 35))))
    bit = Bit("Forstner", 30.0, 1.0)
    for x, y in random.uniform((-200.0, 80.0), (200.0, 400.0), (30, 2)):
        shift = np.tan(np.radians(3.0)) * float(seat.depth_mm(x, y))
        around_x, around_y = np.meshgrid(
            np.linspace(x - 17.0, x + 17.0, 250), np.linspace(y - 17.0, y + 17.0, 250)
        )
        away = np.hypot(around_x - x, around_y - y)
        from_axis = np.clip(away - shift, 0.0, 15.0)
        lean = np.sin(np.radians(3.0))
        below = np.maximum(1.0 - from_axis / 15.0 + from_axis * lean, 15.0 * lean)
        left = np.where(away <= 15.0 + shift, seat.depth_mm(around_x, around_y) - below, np.inf)
        found = room(seat, float(x), float(y), bit).over_seat_mm
        assert left.min() - 3.0 < found <= left.min()


@pytest.mark.parametrize("seed", range(6))
def test_the_slope_is_bounded(seed: int) -> None:
    """Against central differences of the seat's own depth on a dense grid, adjustments and front roll in it."""
    random = np.random.default_rng(seed)
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 430.0, 32)
    rough = 12.0 + 3.0 * random.standard_normal((43, 35))
    changes = (Adjustment(30.0, 250.0, 60.0, 9.0, "both"), Adjustment(-80.0, 380.0, 50.0, -8.0))
    seat = Seat(hollow=BicubicSpline(knots_x, knots_y, rough), adjustments=changes, front_roll_mm=25.0)
    for _ in range(10):
        x0, y0 = float(random.uniform(-220.0, 200.0)), float(random.uniform(60.0, 414.0))
        box = (x0, y0, x0 + 14.0, y0 + 14.0)
        x, y = np.meshgrid(np.linspace(box[0], box[2], 141), np.linspace(box[1], box[3], 141))
        h = 1e-4
        by_x = (seat.depth_mm(x + h, y) - seat.depth_mm(x - h, y)) / (2 * h)
        by_y = (seat.depth_mm(x, y) - seat.depth_mm(x, y - h)) / h
        assert np.hypot(by_x, by_y).max() <= slope_bound(seat, box) + 1e-6


def test_of_a_plane_the_bound_is_its_slope() -> None:
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 430.0, 32)
    x = (knots_x[1:-3] + knots_x[2:-2] + knots_x[3:-1]) / 3.0
    y = (knots_y[1:-3] + knots_y[2:-2] + knots_y[3:-1]) / 3.0
    plane = BicubicSpline(knots_x, knots_y, 20.0 + 0.03 * x[:, None] + 0.04 * y[None, :])
    assert slope_bound(Seat(hollow=plane), (10.0, 100.0, 20.0, 110.0)) == pytest.approx(0.05, rel=1e-9)


def test_on_level_ground_the_stop_is_what_the_rule_says() -> None:
    """By hand: depth less allowance, less 0.5 mm, less the point, in whole 0.1 mm; a short point gives way to the rim.

    Of a bit that leans 3 degrees the lower side of the rim lies radius times sin 3 degrees deeper.
    """
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 430.0, 32)
    seat = Seat(hollow=BicubicSpline(knots_x, knots_y, np.full((43, 35), 20.0)))
    rim = 12.5 * np.sin(np.radians(3.0))
    for bit, below in ((BRAD, 3.0), (BITS[1], 1.8), (BITS[3], rim)):
        for step in (0.1, 0.001):
            (stop,) = {one.stop_mm for one in holes_of(seat, bit, 40.0, 1.5, step).holes}
            assert stop == pytest.approx(step * np.floor((20.0 - 1.5 - 0.5 - below) / step + 1e-6))


def test_an_even_seat_has_even_holes(carved_seat) -> None:
    made = holes_of(carved_seat, BRAD, 40.0, 1.5)
    found = {(one.x_mm, one.y_mm): one.stop_mm for one in made.holes}
    assert found
    assert all(found[-x, y] == stop for (x, y), stop in found.items())


def test_csv_has_the_stated_columns_and_tells_the_depths_apart(uneven, made) -> None:
    rows = list(csv.DictReader(io.StringIO(holes_csv(made))))
    assert list(rows[0])[:6] == ["hole", "x_mm", "y_mm", "bit_mm", "tip_mm", "stop_mm"]
    assert list(rows[0])[6:] == ["finished_depth_mm", "bit", "stop_set_to"]
    assert [float(row["stop_mm"]) for row in rows] == [one.stop_mm for one in made.holes]
    assert [int(row["hole"]) for row in rows] == list(range(1, len(made.holes) + 1))
    assert {(row["bit"], row["stop_set_to"]) for row in rows} == {(made.bit.kind, "cutting edges")}
    for row in rows:
        depth = float(uneven.depth_mm(float(row["x_mm"]), float(row["y_mm"])))
        assert float(row["finished_depth_mm"]) == pytest.approx(depth, abs=0.006)


def test_off_unless_wished_for(carved_seat) -> None:
    made = sheets_of(carved_seat, (), SheetWishes(), ("svg",))
    assert made.holes == ()
    assert made.depth_holes is None
    assert "holes.csv" not in made.files


def test_too_shallow_for_the_bit_is_said(carved_seat) -> None:
    wishes = SheetWishes(holes=HoleWishes(Bit("brad point", 8.0, 25.0, True)))
    made = sheets_of(carved_seat, (), wishes, ("svg",))
    assert made.holes == ()
    assert any("no place of this hollow is deep enough" in note for note in made.notes)


@pytest.mark.parametrize("step", [16, 32])
def test_in_inches_stops_are_whole_fractions_and_still_short(uneven, step: int) -> None:
    """What is read off the sheet is the setting, so that it may not be rounded down the hole; nor the point up."""
    wishes = SheetWishes(
        units="in", inch_step=step, holes=HoleWishes(Bit("brad point", 6.35, 2.9, True, "in"), 35.0)
    )
    made = sheets_of(uneven, (), wishes, ("svg",))
    assert len(made.holes) > 20
    rows = list(csv.DictReader(io.StringIO(made.files["holes.csv"].decode())))
    for one, row in zip(made.holes, rows, strict=True):
        assert one.stop_mm * step / 25.4 == pytest.approx(round(one.stop_mm * step / 25.4), abs=1e-4)
        assert 25.4 * float(row["stop_in"]) == pytest.approx(one.stop_mm, abs=2e-5)
        for place in (one.x_mm, one.y_mm):
            assert place * step / 25.4 == pytest.approx(round(place * step / 25.4), abs=1e-4)
        assert one.tip_mm * 64.0 / 25.4 == pytest.approx(8.0, abs=1e-4)  # 2.9 mm is 7.3 of 64
        over, _ = least_wood(uneven, (one.x_mm, one.y_mm), one.bit_mm, one.tip_mm, one.stop_mm, 1, 4)
        assert over >= 1.5 - 1e-6


def test_a_seat_that_adjustments_alone_make_has_holes() -> None:
    seat = Seat(adjustments=(Adjustment(60.0, 160.0, 80.0, 10.0, "both"),))
    made = holes_of(seat, Bit("twist", 4.0, 1.2), 50.0, ALLOWANCE)
    deepest = [one for one in made.holes if one.is_deepest]
    assert sorted(one.x_mm for one in deepest) == pytest.approx([-60.0, 60.0], abs=0.5)
    assert all(one.stop_mm + one.tip_mm < one.finished_depth_mm for one in made.holes)


def test_csv_in_inches_says_so_and_is_exact(uneven, made) -> None:
    rows = list(csv.DictReader(io.StringIO(holes_csv(made, "in"))))
    assert list(rows[0])[:7] == ["hole", "x_in", "y_in", "bit_in", "tip_in", "stop_in", "finished_depth_in"]
    for row, one in zip(rows, made.holes, strict=True):
        for name in ("x", "y", "bit", "tip", "stop"):
            assert 25.4 * float(row[f"{name}_in"]) == pytest.approx(getattr(one, f"{name}_mm"), abs=2e-5)
        assert -1e-4 <= one.finished_depth_mm - 25.4 * float(row["finished_depth_in"]) <= 0.0254 + 1e-4
