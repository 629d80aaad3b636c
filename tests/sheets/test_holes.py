"""Depth holes: none goes below the finished surface, proved by a bound; deck, joints and edges are left alone."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest

from seatmesh.adjustment import Adjustment
from seatmesh.sheets.all_sheets import sheets_of
from seatmesh.sheets.holes.depth_hole import holes_csv, holes_of, least_depth_mm
from seatmesh.sheets.holes.slope_bound import hollow_least_mm, slope_bound
from seatmesh.sheets.sheet_wishes import HoleWishes, SheetWishes
from seatmesh.spline import BicubicSpline, clamped_knots
from seatmesh.surface import Seat

BIT, TIP, ALLOWANCE = 10.0, 3.0, 1.0


@pytest.fixture(scope="module")
def uneven(carve):
    """A hollow with a ridge left in it and a dip taken, beside a joint and a gutter."""
    from dataclasses import replace

    from seatmesh.wood.joint import Joint

    seat = carve(
        gutter_depth_mm=3.0,
        joints=(Joint("leg mortise", x_mm=150.0, y_mm=130.0, diameter_mm=30.0, angle_deg=10.0),),
    )
    changes = (Adjustment(-60.0, 190.0, 30.0, -5.0), Adjustment(70.0, 170.0, 20.0, 3.0, "both"))
    return replace(seat, adjustments=changes)


@pytest.fixture(scope="module")
def holes(uneven):
    return holes_of(uneven, HoleWishes(BIT, TIP, 35.0), ALLOWANCE)


def disc(x: float, y: float, radius: float) -> tuple[np.ndarray, np.ndarray]:
    turn = np.linspace(0.0, 2.0 * np.pi, 181)
    out = np.linspace(0.0, radius, 41)[:, None]
    return x + out * np.cos(turn), y + out * np.sin(turn)


def test_no_hole_passes_the_finished_surface(uneven, holes) -> None:
    """Finer than any sample of the bound's: 7000 places a hole; the point counts like the whole bit."""
    assert len(holes) > 25
    for one in holes:
        least = float(uneven.depth_mm(*disc(one.x_mm, one.y_mm, 0.5 * BIT)).min())
        assert one.stop_mm + one.tip_mm <= least - ALLOWANCE + 1e-9


def test_holes_are_not_shallower_than_they_need_be(uneven, holes) -> None:
    for one in holes:
        least = float(uneven.depth_mm(*disc(one.x_mm, one.y_mm, 0.5 * BIT)).min())
        cut_extra = 3.1 if abs(abs(one.x_mm) - 70.0) < 30.0 and abs(one.y_mm - 170.0) < 30.0 else 0.0
        assert one.stop_mm + one.tip_mm >= least - ALLOWANCE - 1.0 - cut_extra


def test_deck_gutter_joints_and_edges_are_left_out(uneven, holes) -> None:
    assert not [
        one for one in holes if one.y_mm - 0.5 * BIT < uneven.blank.deck_mm + uneven.blank.gutter_width_mm
    ]
    assert min(np.hypot(abs(one.x_mm) - 150.0, one.y_mm - 130.0) for one in holes) > 15.0 + 10.0
    assert min(float(uneven.blank.inside_mm(one.x_mm, one.y_mm)) for one in holes) > 0.5 * BIT
    without = holes_of(
        Seat(uneven.blank.__class__(), hollow=uneven.hollow), HoleWishes(BIT, TIP, 35.0), ALLOWANCE
    )
    near = [one for one in without if np.hypot(abs(one.x_mm) - 150.0, one.y_mm - 130.0) < 20.0]
    assert len(near) == 2


@pytest.mark.parametrize("seed", range(12))
def test_the_bound_holds_on_rough_surfaces(seed: int) -> None:
    """Random coefficients: between samples the spline runs where no sample is; the bound lies below all of it."""
    random = np.random.default_rng(seed)
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 430.0, 32)
    spline = BicubicSpline(knots_x, knots_y, 12.0 + 6.0 * random.standard_normal((43, 35)))
    seat = Seat(hollow=spline, adjustments=(Adjustment(20.0, 200.0, 25.0, -4.0, "both"),))
    for x, y in random.uniform((-200.0, 80.0), (200.0, 400.0), (20, 2)):
        radius = float(random.uniform(1.0, 15.0))
        least = hollow_least_mm(seat, *disc(x, y, radius)).min()
        assert least_depth_mm(seat, float(x), float(y), radius) <= least


@pytest.mark.parametrize("seed", range(6))
def test_the_slope_is_bounded_and_the_bound_is_near(seed: int) -> None:
    """Against central differences on a dense grid: never less, and for a single tilted plane exactly its slope."""
    random = np.random.default_rng(seed)
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 430.0, 32)
    seat = Seat(hollow=BicubicSpline(knots_x, knots_y, 12.0 + 6.0 * random.standard_normal((43, 35))))
    x0, y0 = float(random.uniform(-220.0, 200.0)), float(random.uniform(60.0, 400.0))
    box = (x0, y0, x0 + 14.0, y0 + 14.0)
    x, y = np.meshgrid(np.linspace(box[0], box[2], 141), np.linspace(box[1], box[3], 141))
    h = 1e-4
    spline = seat.hollow
    by_x = (spline(x + h, y) - spline(x - h, y)) / (2 * h)
    by_y = (spline(x, y + h) - spline(x, y - h)) / (2 * h)
    assert np.hypot(by_x, by_y).max() <= slope_bound(seat, box) + 1e-6


def test_of_a_plane_the_bound_is_its_slope() -> None:
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 430.0, 32)
    x = (knots_x[1:-3] + knots_x[2:-2] + knots_x[3:-1]) / 3.0
    y = (knots_y[1:-3] + knots_y[2:-2] + knots_y[3:-1]) / 3.0
    plane = BicubicSpline(knots_x, knots_y, 20.0 + 0.03 * x[:, None] + 0.04 * y[None, :])
    assert slope_bound(Seat(hollow=plane), (10.0, 100.0, 20.0, 110.0)) == pytest.approx(0.05, rel=1e-9)


def test_an_even_seat_has_even_holes(carved_seat) -> None:
    found = {(one.x_mm, one.y_mm): one.stop_mm for one in holes_of(carved_seat, HoleWishes(), 1.5)}
    assert found
    assert all(found[-x, y] == stop for (x, y), stop in found.items())


def test_csv_has_the_stated_columns(holes) -> None:
    rows = list(csv.DictReader(io.StringIO(holes_csv(holes))))
    assert list(rows[0]) == ["hole", "x_mm", "y_mm", "bit_mm", "tip_mm", "stop_mm"]
    assert [float(row["stop_mm"]) for row in rows] == [one.stop_mm for one in holes]
    assert [int(row["hole"]) for row in rows] == list(range(1, len(holes) + 1))


def test_off_unless_wished_for(carved_seat) -> None:
    made = sheets_of(carved_seat, (), SheetWishes(), ("svg",))
    assert made.holes == ()
    assert "holes.csv" not in made.files


def test_too_shallow_for_the_bit_is_said(carved_seat) -> None:
    made = sheets_of(carved_seat, (), SheetWishes(holes=HoleWishes(8.0, 25.0)), ("svg",))
    assert made.holes == ()
    assert any("no place of this hollow is deep enough" in note for note in made.notes)


def test_in_inches_stops_are_whole_fractions_and_still_short(uneven) -> None:
    """What is read off the sheet is the setting, so that it may not be rounded down the hole."""
    made = sheets_of(uneven, (), SheetWishes(units="in", holes=HoleWishes(BIT, TIP, 35.0)), ("svg",))
    assert len(made.holes) > 20
    for one in made.holes:
        assert one.stop_mm * 32.0 / 25.4 == pytest.approx(round(one.stop_mm * 32.0 / 25.4), abs=1e-4)
        least = float(uneven.depth_mm(*disc(one.x_mm, one.y_mm, 0.5 * BIT)).min())
        assert one.stop_mm + one.tip_mm <= least - 1.5 + 1e-6
