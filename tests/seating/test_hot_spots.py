"""Hot spots: where they are, why, and whether the advice does what it says; ids are rows of the check values."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from seatmesh import Blank, Chair, Order, OrderedSitter, Seat, estimate_body, flat_seat, shape_seat
from seatmesh.adjustment import Adjustment
from seatmesh.fit.hollow import Guest, prepare
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.seating.figures import averaged
from seatmesh.seating.hot_spots import advice, in_words
from seatmesh.seating.hot_spots.advice import SIZES, Sizes
from seatmesh.seating.hot_spots.causes import CAUSES, cause_of
from seatmesh.seating.hot_spots.in_words import find_hot_spots
from seatmesh.seating.hot_spots.spots import Spot, spots_of
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over
from seatmesh.seating.sitting_figures import Figures
from seatmesh.spline import BicubicSpline, clamped_knots

FELT = 0.10
"""Least difference of pressure that is felt (S13, Goossens, Teeuw, Snijders 2005: 10 to 14 %)."""
MAN = estimate_body("male", 1760.0, 78.0)


def carved(depth_mm, **blank):
    """A seat whose hollow is a formula."""
    wood = Blank(**blank)
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(wood.deck_mm, wood.depth_mm, 32)
    x, y = ((knots[1:-3] + knots[2:-2] + knots[3:-1]) / 3.0 for knots in (knots_x, knots_y))
    depth = np.asarray(depth_mm(x[:, None], y[None, :]))
    return Seat(wood, hollow=BicubicSpline(knots_x, knots_y, 0.5 * (depth + depth[::-1])))


def dish(x, y, deep=16.0):
    return deep * (1.0 - (x / 250.0) ** 4 - ((y - 150.0) / 100.0) ** 2 * (y < 150.0))


def bumps(x, y, at_x, at_y, width):
    return np.exp(-((np.abs(x) - at_x) ** 2 + (y - at_y) ** 2) / width**2)


def pommel(x, y):
    """A ridge as wide as the gap between the thighs, 10 mm higher than the wood; it ends well before the front."""
    along = 1.0 / (1.0 + np.exp(-(y - 240.0) / 10.0)) / (1.0 + np.exp((y - 350.0) / 15.0))
    return dish(x, y, 24.0) - 34.0 * np.exp(-((x / 80.0) ** 4)) * along


def pockets(x, y):
    """Two pockets of about 26 mm radius in a shallow dish: rounder than any buttock."""
    return dish(x, y, 8.0) + 12.0 * bumps(x, y, 55.0, 150.0, 25.0)


@cache
def fitted(**wishes):
    wish = replace(Wishes(), **wishes)
    sitter = lay_over(MAN, Seat())
    return prepare([Guest(sitter, press(sitter, Seat()))], Seat(), wish).shaped(wish.depth_mm).value


def look(seat, posture="upright", at_mm=(0.0, 0.0), load_n=None):
    sitter = lay_over(MAN, seat, posture, at_mm)
    sitting = press(sitter, seat, load_n)
    return sitter, sitting, find_hot_spots(sitter, seat, sitting)


def causes(seat, posture="upright", at_mm=(0.0, 0.0)):
    """Causes and spots alone: no advice, no search."""
    sitter = lay_over(MAN, seat, posture, at_mm)
    sitting = press(sitter, seat)
    return [(cause_of(spot, sitter, seat, sitting), spot) for spot in spots_of(sitting)]


@cache
def on_flat(right_mm=0.0):
    return look(flat_seat(), at_mm=(right_mm, 0.0))


def near(sitting, x, y, reach=20.0):
    """Greatest mean over 1 cm2 within reach of a place."""
    columns, rows = sitting.x_mm[None, :], sitting.y_mm[:, None]
    cell = float(columns[0, 1] - columns[0, 0]), float(rows[1, 0] - rows[0, 0])
    return float(averaged(sitting.pressure_kpa, cell)[np.hypot(columns - x, rows - y) <= reach].max())


def painted(*hills, mean_kpa=5.0):
    """A sitting whose pressure is a sum of round hills (x, y, kPa, sigma)."""
    _, sitting, _ = on_flat()
    x, y = sitting.x_mm[None, :], sitting.y_mm[:, None]
    kpa = sum(top * np.exp(-((x - x0) ** 2 + (y - y0) ** 2) / (2.0 * s**2)) for x0, y0, top, s in hills)
    return replace(sitting, pressure_kpa=kpa, figures=Figures.known("painted", mean_kpa=mean_kpa))


def test_place_peak_and_area_of_a_painted_hill():
    (spot,) = spots_of(painted((-31.0, 222.0, 20.0, 50.0)))
    # A mean over 10 x 10 mm widens a hill by a twelfth of 100 mm2 in each direction.
    wider = 50.0**2 + 100.0 / 12.0
    assert (spot.x_mm, spot.y_mm) == pytest.approx((-31.0, 222.0), abs=0.5)
    assert spot.peak_kpa == pytest.approx(20.0 * 50.0**2 / wider, rel=2e-3)
    # It presses three quarters of its peak out to r^2 = 2 sigma^2 ln(4/3).
    assert spot.area_cm2 == pytest.approx(2.0 * np.pi * wider * np.log(4.0 / 3.0) / 100.0, rel=0.015)


def test_what_is_a_hot_spot_and_what_is_none():
    one = (-100.0, 200.0, 20.0, 25.0)
    assert len(spots_of(painted(one, (100.0, 200.0, 20.0, 25.0)))) == 2
    assert len(spots_of(painted(one, (100.0, 200.0, 7.2, 25.0)))) == 1  # S3: no more than the usual mean
    assert len(spots_of(painted(one, (100.0, 200.0, 12.0, 25.0), mean_kpa=10.0))) == 1
    assert len(spots_of(painted(one, (100.0, 200.0, 14.0, 25.0), mean_kpa=10.0))) == 2


def test_spots_that_cannot_be_felt_apart_are_one():
    # Two equal hills a distance d apart fall between them by 1 - 2 exp(-d^2 / 8 sigma^2): 4 % and 35 % here.
    ridge = spots_of(painted((-31.0, 200.0, 20.0, 25.0), (31.0, 200.0, 18.0, 25.0)))
    assert len(ridge) == 1
    assert len(spots_of(painted((-38.0, 200.0, 20.0, 25.0), (38.0, 200.0, 18.0, 25.0)))) == 2
    (merged,) = spots_of(painted((-11.0, 200.0, 20.0, 6.0), (11.0, 200.0, 20.0, 6.0)))
    assert merged.x_mm == pytest.approx(0.0, abs=0.5)


def test_a_spot_beside_a_hotter_one_has_only_its_own_area():
    hot = (0.0, 150.0, 40.0, 50.0)
    small = (0.0, 265.0, 10.0, 14.0)
    spots = spots_of(painted(hot, small))
    assert len(spots) == 2
    assert spots[1].peak_kpa > 0.2 * spots[0].peak_kpa
    assert spots[1].area_cm2 < 8.0
    assert spots[0].area_cm2 > 40.0


def test_on_the_flat_both_sit_bones_are_hot():
    sitter, sitting, spots = on_flat()
    assert [spot.cause for spot in spots] == ["sit bone", "sit bone"]
    bone = sitter.seated.anatomy.sit_bone_x
    left, right = spots
    assert (left.x_mm, left.y_mm) == pytest.approx((-bone, sitter.at_mm[1]), abs=12.0)
    assert (right.x_mm, right.y_mm) == pytest.approx((bone, sitter.at_mm[1]), abs=12.0)
    for spot in spots:
        assert spot.peak_kpa == pytest.approx(sitting.figures.peak_kpa, rel=1e-6)
        assert 1.0 < spot.area_cm2 < 15.0


CASES = {
    "a far too high pommel": (carved(pommel), {"posture": "legs together"}, "pommel", (60.0, 300.0), 20.0),
    "a front edge above the knee-back": (
        Seat(chair=Chair(front_height_mm=520.0)),
        {},
        "thigh on front edge",
        (112.0, 424.0),
        12.0,
    ),
    "sat too far back in a hollow that begins late": (
        carved(lambda x, y: np.clip((y - 90.0) * 0.5, -10.0, 16.0) + 0.0 * x),
        {"at_mm": (0.0, -50.0)},
        "rim",
        (56.0, 90.0),
        12.0,
    ),
    "sat on the deck line of a hollow with a step": (
        carved(lambda x, y: dish(x, np.maximum(y, 150.0), 14.0), deck_mm=75.0),
        {"at_mm": (0.0, -60.0)},
        "deck edge",
        (58.0, 70.0),
        12.0,
    ),
    "pockets too small for the buttocks": (carved(pockets), {}, "too tight a hollow", (61.0, 174.0), 12.0),
    "a bump under the thighs": (
        # Toward the sides it is a little deeper, which makes no pommel of the middle.
        carved(lambda x, y: dish(x, y) + 4.0 * (x / 150.0) ** 2 - 14.0 * bumps(x, y, 105.0, 290.0, 20.0)),
        {},
        "thigh",
        (105.0, 290.0),
        12.0,
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_the_cause_is_found(case):
    seat, how, cause, (x, y), within_mm = CASES[case]
    spots = causes(seat, **how)
    seen = [spot for name, spot in spots if name == cause and (x == 0.0 or abs(spot.x_mm) > 8.0)]
    wanted = [-x, x] if x else [0.0]
    # The hottest count: a pocket that is too small presses at its other end too.
    seen = seen[: len(wanted)]
    assert sorted(spot.x_mm for spot in seen) == pytest.approx(wanted, abs=within_mm)
    assert [spot.y_mm for spot in seen] == pytest.approx([y] * len(wanted), abs=within_mm)
    assert {name for name, _ in spots} <= set(CAUSES)


def test_flesh_beside_the_sit_bones_is_the_buttock():
    sitter, _, _ = on_flat()
    sitting = painted((115.0, 150.0, 20.0, 20.0))
    (spot,) = spots_of(sitting)
    assert cause_of(spot, sitter, flat_seat(), sitting) == "buttock"


def test_the_causes_go_with_what_causes_them():
    low_ridge = carved(lambda x, y: 0.9 * dish(x, y, 24.0) + 0.1 * pommel(x, y))
    assert "pommel" not in dict(causes(low_ridge, "legs together"))
    assert "thigh on front edge" not in dict(causes(flat_seat()))
    wide = carved(lambda x, y: dish(x, y, 8.0) + 12.0 * bumps(x, y, 55.0, 150.0, 70.0))
    assert "too tight a hollow" not in dict(causes(wide))
    late = carved(lambda x, y: np.clip((y - 90.0) * 0.5, -10.0, 16.0) + 0.0 * x)
    assert [name for name, _ in causes(late, at_mm=(0.0, 40.0))[:2]] == ["sit bone", "sit bone"]


def test_the_tailbone_is_pressed_by_slouching_in_a_deep_hollow_alone():
    deep = fitted(tailbone_relief_mm=0.0)
    (tail,) = (spot for name, spot in causes(deep, "slouched") if name == "tailbone")
    sitter = lay_over(MAN, deep, "slouched")
    tip = sitter.at_mm[0], sitter.at_mm[1] + sitter.seated.tailbone_tip[1]
    assert (tail.x_mm, tail.y_mm) == pytest.approx(tip, abs=12.0)
    for seat, posture in ((deep, "upright"), (flat_seat(), "slouched")):
        assert "tailbone" not in dict(causes(seat, posture))


@pytest.mark.parametrize(
    ("seat", "how"),
    [
        (flat_seat(), {}),
        (fitted(closeness=0.0), {}),
        (replace(fitted(closeness=0.0), units="in"), {}),
        (fitted(depth_mm=6.0), {"at_mm": (18.0, 10.0)}),
        (fitted(), {"posture": "slouched"}),
        (flat_seat(), {"load_n": 500.0}),
    ],
)
def test_advice_lowers_its_spot_by_what_is_felt_and_raises_no_other_by_as_much(seat, how):
    sitter, sitting, spots = look(seat, **how)
    assert any(spot.adjustment for spot in spots)
    for spot in spots:
        if spot.adjustment is None:
            continue
        carved_on = replace(seat, adjustments=(spot.adjustment,))
        again = press(sitter, carved_on, how.get("load_n"))
        assert spot.lowered_kpa == pytest.approx(near(again, spot.x_mm, spot.y_mm), rel=1e-6)
        lowered = spot.peak_kpa - spot.lowered_kpa
        assert lowered >= FELT * spot.peak_kpa
        for other in (*spots, *spots_of(again)):
            if other not in spots or other.adjustment != spot.adjustment:
                was, now = near(sitting, other.x_mm, other.y_mm), near(again, other.x_mm, other.y_mm)
                assert now - was < min(lowered, FELT * was)


def test_a_broad_spot_is_not_eased_in_its_middle_alone():
    """What is advised lowers all of a spot as it is felt, and all inside its circle, by what can be felt."""
    body = estimate_body("female", 1600.0, 68.0)
    order = Order(
        "broad", (OrderedSitter(body),), wishes=Wishes(depth_mm=15.9, pommel_mm=12.7, form="least pressure")
    )
    seat = shape_seat(order)
    sitter = lay_over(body, seat)
    sitting = press(sitter, seat)
    for spot in find_hot_spots(sitter, seat, sitting):
        if spot.adjustment is not None:
            again = press(sitter, replace(seat, adjustments=(spot.adjustment,)))
            x, y, radius = spot.adjustment.x_mm, spot.adjustment.y_mm, spot.adjustment.radius_mm
            left = max(near(again, x, y, radius), near(again, spot.x_mm, spot.y_mm))
            assert left <= (1.0 - FELT) * spot.peak_kpa
    assert any(spot.area_cm2 > 80.0 for spot in spots_of(sitting))


def test_what_would_press_another_spot_harder_is_not_advised():
    seat = fitted()
    sitter, _, spots = look(seat, "slouched")
    tail = next(spot for spot in spots if spot.cause == "tailbone")
    bone = next(spot for spot in spots if spot.cause == "sit bone")
    # Deeper under the sit bones lets the tailbone down on the rise behind them.
    deeper = Adjustment(bone.x_mm, bone.y_mm, 45.0, 4.0, "both")
    again = press(sitter, replace(seat, adjustments=(deeper,)))
    assert near(again, bone.x_mm, bone.y_mm) < (1.0 - 2.0 * FELT) * bone.peak_kpa
    assert near(again, tail.x_mm, tail.y_mm) > (1.0 + FELT) * tail.peak_kpa
    assert bone.adjustment is not None
    assert bone.adjustment.wood_mm3 < deeper.wood_mm3


def test_no_more_is_advised_than_the_floor_lets_be_taken():
    none, little = (flat_seat(Blank(thickness_mm=20.0 + room, floor_mm=20.0)) for room in (0.9, 1.6))
    assert [spot.adjustment for spot in look(none)[2]] == [None, None]
    for spot in look(little)[2]:
        assert spot.adjustment is not None
        assert spot.adjustment.amount_mm <= 1.6
        assert spot.lowered_kpa > on_flat()[2][0].lowered_kpa


def test_what_cannot_be_felt_is_not_advised(monkeypatch):
    # A millimetre over 40 mm takes less than can be felt off the spots of a seat that fits.
    small = Sizes((40.0,) * 3, (1.0,) * 2, 1.0)
    monkeypatch.setattr(advice, "SIZES", {"mm": small})
    spots = look(fitted())[2]
    assert len(spots) >= 2
    assert all(spot.adjustment is None and spot.lowered_kpa is None for spot in spots)


def test_a_circle_is_moved_forward_to_keep_off_the_deck():
    # Sat too far back in a hollow that begins 8 mm ahead of the deck.
    seat = carved(lambda x, y: np.clip((y - 58.0) * 0.5, -10.0, 16.0) + 0.0 * x)
    deck = seat.blank.deck_mm
    spots = [spot for spot in look(seat, at_mm=(0.0, -55.0))[2] if spot.y_mm < deck + 20.0]
    assert spots
    for spot in spots:
        done = spot.adjustment
        assert done is not None
        assert spot.y_mm - done.radius_mm < deck <= done.y_mm - done.radius_mm < deck + 12.0


@pytest.mark.parametrize("units", ["mm", "in"])
def test_advice_comes_in_sizes_that_can_be_told(units):
    seat = replace(flat_seat(), units=units)
    for right_mm in (0.0, 18.0):
        for spot in look(seat, at_mm=(right_mm, 0.0))[2]:
            done = spot.adjustment
            assert (done.side == "both") == (right_mm == 0.0)
            assert abs(done.x_mm) == pytest.approx(abs(spot.x_mm), abs=20.0)
            assert done.y_mm == pytest.approx(spot.y_mm, abs=20.0)
            assert any(done.amount_mm == pytest.approx(one) for one in SIZES[units].amounts)
            assert any(2.0 * done.radius_mm == pytest.approx(one) for one in SIZES[units].diameters)
            step = SIZES[units].step
            for place in (done.x_mm, done.y_mm):
                assert place / step == pytest.approx(round(place / step), abs=1e-9)


def test_a_sitter_moved_to_the_other_side_has_mirrored_spots():
    left, right = (on_flat(right_mm)[2] for right_mm in (-18.0, 18.0))
    assert len(left) == len(right) == 2
    for spot, mirrored in zip(left, sorted(right, key=lambda one: -one.x_mm), strict=True):
        assert spot.x_mm == pytest.approx(-mirrored.x_mm, abs=1e-3)
        assert spot.peak_kpa == pytest.approx(mirrored.peak_kpa, rel=1e-6)
        assert spot.adjustment == replace(mirrored.adjustment, x_mm=-mirrored.adjustment.x_mm)


def test_without_balance_there_are_no_spots():
    sitter = lay_over(MAN, flat_seat(), "upright", (1000.0, 0.0))
    sitting = press(sitter, flat_seat())
    assert not sitting.converged
    assert find_hot_spots(sitter, flat_seat(), sitting) == ()


@pytest.mark.parametrize(
    ("peak", "mean", "hot"),
    # S3: the usual mean; and three tenths over the sitting's own.
    [(7.4, 4.0, False), (7.6, 4.0, True), (12.9, 10.0, False), (13.1, 10.0, True)],
)
def test_what_presses_no_harder_than_the_mean_is_no_hot_spot(peak, mean, hot):
    top = peak * (50.0**2 + 100.0 / 12.0) / 50.0**2
    assert bool(spots_of(painted((-31.0, 222.0, top, 50.0), mean_kpa=mean))) == hot


@pytest.mark.parametrize(("apart", "twins"), [(7.7, True), (8.3, False)])
def test_a_twin_lies_within_two_cells_of_the_mirror_image_and_presses_alike(apart, twins):
    one, other = Spot(-60.0, 150.0, 20.0, 4.0), Spot(60.0, 150.0 + apart, 20.0, 4.0)
    assert in_words._are_twins(one, other) == twins
    assert in_words._are_twins(one, replace(other, y_mm=150.0, peak_kpa=18.1))
    assert not in_words._are_twins(one, replace(other, y_mm=150.0, peak_kpa=17.9))
