"""Bounds of the hollow: by coefficients and by dense sampling, with joints, bevel, gutter and curved deck lines."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from scipy.interpolate import BSpline

from seatmesh import Blank, Seat, estimate_body
from seatmesh.fit.bounded.bounds import bounds_over, held_back_mm
from seatmesh.fit.bounded.cost_of_bounds import NOTHING, most_held_back
from seatmesh.fit.bounded.programme import fit, programme_over
from seatmesh.fit.fair.fairness import undulations
from seatmesh.fit.hollow import Guest, deepest, prepare
from seatmesh.fit.search.best import best_hollow
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.front_roll import front_roll_depth
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over
from seatmesh.spline import clamped_knots
from seatmesh.wood.joint import Joint

WISHES = Wishes()
LEGS = (
    Joint("leg mortise", 165.0, 110.0, 26.0, 14.0, depth_mm=28.0, keep_mm=8.0),
    Joint("leg mortise", 150.0, 330.0, 26.0, 12.0, keep_mm=36.0),
    Joint("circle", -60.0, 250.0, 50.0, keep_mm=33.0, side="one"),
)
BEVEL = {"under_bevel_width_mm": 45.0, "under_bevel_height_mm": 14.0}
BLANKS = {
    "joints": Blank(joints=LEGS),
    "bevel": Blank(**BEVEL),
    "bowed": Blank(deck_line="bowed", deck_bow_mm=30.0),
    "bowed to the rear": Blank(deck_line="bowed", deck_bow_mm=-30.0),
    "along the outline": Blank(deck_line="offset", deck_mm=40.0, deck_reach_mm=220.0),
    "gutter": Blank(gutter_depth_mm=4.0),
    "all": Blank(
        outline="D-shaped",
        joints=LEGS,
        **BEVEL,
        deck_line="offset",
        deck_mm=42.0,
        gutter_depth_mm=3.0,
        thickness_mm=41.0,
    ),
}


def shaped(blank, wishes=WISHES):
    seat = Seat(blank)
    sitter = lay_over(estimate_body("male", 1760.0, 78.0), seat)
    guests = [Guest(sitter, press(sitter, seat))]
    made = prepare(guests, seat, wishes)
    return made, guests, made.shaped(wishes.depth_mm)


def check_everywhere(seat, step=0.25):
    """Every bound at every sample, the deck flat, both sides alike; strip by strip, as the splines are told best."""
    blank = seat.blank
    x = np.arange(0.0, blank.width_mm / 2 + step / 2, step)
    x = np.concatenate([-x[:0:-1], x])
    for start in np.arange(0.0, blank.depth_mm, 40.0):
        y = np.arange(start, min(start + 40.0, blank.depth_mm), step)[:, None]
        depth = seat.depth_mm(x[None, :], y)
        ahead = blank.ahead_of_deck_mm(x[None, :], y) > 0.0
        assert np.all(depth[~ahead] == 0.0)
        assert depth.min() >= 0.0
        assert np.abs(depth - depth[:, ::-1]).max() < 1e-9
        row, column = np.nonzero((seat.hollow(x[None, :], y) > 0.0) & ahead)
        at_x, at_y = x[column], y[row, 0]
        wood = shapely.intersects_xy(shapely.Polygon(blank.polygon_mm()), at_x, at_y)
        at_x, at_y = at_x[wood], at_y[wood]
        # Where nothing is left for the hollow the roll stands alone.
        hollow = seat.hollow(x[None, :], y)[row, column][wood]
        roll = front_roll_depth(blank.depth_mm - at_y, seat.front_roll_mm)
        assert np.all(hollow + roll <= blank.allowed_depth_mm(at_x, at_y) + 1e-9)


def along_the_deck_line(blank):
    """Places on the deck line, within a hair ahead of it."""
    x = np.linspace(-0.5 * blank.width_mm, 0.5 * blank.width_mm, 400)
    y = np.linspace(0.0, 0.7 * blank.depth_mm, 30001)
    ahead = blank.ahead_of_deck_mm(x[:, None], y[None, ::30])
    out = []
    for i in np.flatnonzero((ahead[:, 0] <= 0.0) & (ahead[:, -1] > 0.0)):
        low, high = 0.0, 0.7 * blank.depth_mm
        for _ in range(50):
            mid = 0.5 * (low + high)
            low, high = (mid, high) if blank.ahead_of_deck_mm(x[i], mid) <= 0.0 else (low, mid)
        if blank.inside_mm(x[i], high) > 0.0:
            out.append((x[i], high))
    return np.array(out).T


@pytest.mark.parametrize("name", BLANKS)
def test_bounds_hold_by_coefficients_and_at_every_sample(name):
    blank = BLANKS[name]
    made, _, first = shaped(blank)
    assert first.converged
    spline = first.value.hollow
    assert np.all(spline.coefficients <= made.bounds.upper)
    assert np.array_equal(spline.coefficients, spline.coefficients[::-1])
    if made.bounds.refined is not None:
        assert made.bounds.refined.over(spline.coefficients).max() <= 0.0
    check_everywhere(first.value, 1.0)
    # Where joints cut into the body's shape, a rise beside them is what the wood asks for.
    assert name in ("all", "joints") or undulations(first.value) == 0
    x, y = along_the_deck_line(blank)
    assert len(x) > 100
    assert spline(x, y).max() <= blank.gutter_depth_mm + 1e-6
    assert first.value.depth_mm(x, y + 1e-3).max() <= blank.gutter_depth_mm + 0.01


@pytest.mark.slow
@pytest.mark.parametrize("name", BLANKS)
def test_bounds_hold_every_quarter_of_a_millimetre(name):
    check_everywhere(shaped(BLANKS[name])[2].value, 0.25)


def test_the_bounds_are_at_work_and_not_far_too_careful():
    blank = Blank(joints=(Joint("circle", 90.0, 170.0, 30.0, keep_mm=36.0, around_mm=0.0),))
    seat = shaped(blank)[2].value
    free = shaped(Blank())[2].value
    assert free.depth_mm(90.0, 170.0) > 11.5
    assert seat.depth_mm(90.0, 170.0) <= 9.0
    x, y = np.meshgrid(np.arange(70.0, 111.0), np.arange(150.0, 191.0))
    zone = np.hypot(x - 90.0, y - 170.0) <= 15.0
    assert seat.depth_mm(x, y)[zone].max() > 8.3, "the wood that may go goes"
    # A span beyond the zone the surface follows the body again.
    assert seat.depth_mm(90.0, 130.0) == pytest.approx(float(free.depth_mm(90.0, 130.0)), abs=2.0)


def test_the_best_hollow_keeps_them_too():
    made, guests, first = shaped(BLANKS["all"], replace(WISHES, depth_mm=16.0))
    best = best_hollow(made, guests, 16.0, first)[1].value
    assert made.bounds.refined.over(best.hollow.coefficients).max() <= 0.0
    check_everywhere(best, 1.0)
    assert deepest(best.hollow)[2] <= 16.0 + 1e-6


def test_refined_coefficients_are_those_of_the_same_spline():
    knots = programme_over(200.0, 50.0, 400.0)
    refined = bounds_over(Seat(BLANKS["bowed"]), knots.knots_x, knots.knots_y).refined
    rng = np.random.default_rng(3)
    c = rng.normal(size=knots.shape)
    fine = refined.over(c) + np.where(np.isfinite(refined.upper), refined.upper, 0.0)
    known = np.isfinite(refined.upper)
    whole = refined.along_x @ c @ refined.along_y.T
    assert fine[known] == pytest.approx(whole[known], abs=1e-12)
    x, y = np.linspace(-200, 200, 57), np.linspace(50, 400, 43)
    for knots_x, knots_y, values in (
        (knots.knots_x, knots.knots_y, c),
        (refined.knots_x, refined.knots_y, whole),
    ):
        along_x = BSpline.design_matrix(x, knots_x, 3).toarray()
        along_y = BSpline.design_matrix(y, knots_y, 3).toarray()
        surface = along_x @ values @ along_y.T
        if values is c:
            expected = surface
    assert surface == pytest.approx(expected, abs=1e-11)
    assert refined.along_x.data.min() > 0.0, "means: what bounds the parts bounds the whole"
    assert refined.along_x.sum(axis=1) == pytest.approx(1.0)


@pytest.mark.parametrize("width", np.random.default_rng(6).uniform(400.0, 560.0, 12))
def test_any_width_can_be_refined(width):
    seat = Seat(Blank(width_mm=width, **BEVEL))
    knots = programme_over(0.5 * width, 50.0, 430.0)
    refined = bounds_over(seat, knots.knots_x, knots.knots_y).refined
    assert np.array_equal(refined.knots_x, -refined.knots_x[::-1])
    assert refined.along_x @ np.ones(knots.shape[0]) == pytest.approx(1.0)


def test_each_refined_bound_is_the_least_over_its_support():
    seat = Seat(BLANKS["all"], front_roll_mm=20.0)
    knots = programme_over(240.0, 42.0, 430.0)
    refined = bounds_over(seat, knots.knots_x, knots.knots_y).refined
    rng = np.random.default_rng(4)
    i, j = np.nonzero(np.isfinite(refined.upper))
    for k in rng.choice(len(i), 400, replace=False):
        tx, ty = refined.knots_x[i[k] : i[k] + 5], refined.knots_y[j[k] : j[k] + 5]
        x, y = np.linspace(tx[0], tx[-1], 7)[None, :], np.linspace(ty[0], ty[-1], 7)[:, None]
        wood = seat.blank.inside_mm(x, y) > 0.0
        roll = front_roll_depth(430.0 - y, 20.0)
        allowed = seat.blank.allowed_depth_mm(x, y) - roll
        # The floor alone is the business of the spline's own coefficients.
        floor = np.broadcast_to(21.0 - roll, wood.shape)
        deck = seat.blank.ahead_of_deck_mm(x, y) <= 0.0
        allowed = np.where(deck, np.minimum(allowed, 3.0), np.maximum(allowed, 0.0))
        if wood.any():
            assert min(refined.upper[i[k], j[k]], floor[wood].min()) <= allowed[wood].min() + 1e-9


def test_lowered_until_every_bound_holds():
    made, _, first = shaped(BLANKS["joints"])
    rng = np.random.default_rng(5)
    wild = first.value.hollow.coefficients + rng.uniform(0.0, 3.0, made.programme.shape)
    held = made.bounds.held(wild)
    assert made.bounds.refined.over(held).max() <= 0.0
    assert np.all(held <= made.bounds.upper)
    assert np.all(held <= wild)
    assert np.array_equal(held, held[::-1])
    least = np.minimum(np.minimum(wild, wild[::-1]), made.upper)
    assert np.mean(held == least) > 0.5, "away from what bounds them they stay"
    again = made.bounds.held(held)
    assert np.abs(again - held).max() < 1e-8


def test_rows_taken_in_as_needed_give_what_all_rows_give():
    made, _, _ = shaped(BLANKS["joints"])
    wished = made.wanted(18.0)
    wanted, weight = wished.depth_mm, wished.weight
    lower = np.full(made.programme.shape, -14.0)
    few = fit(made.programme, wanted, weight, 16.0, lower, made.upper, made.bounds.refined).value.coefficients
    from seatmesh.fit.bounded import programme

    every = made.bounds.refined.upper < 1e9
    rows = programme._rows(made.programme, made.bounds.refined, every, None)
    hessian = programme.stray_hessian(made.programme, weight, 16.0)
    linear = -2.0 * (made.programme.basis.T @ (weight.ravel() * made.programme.cell_mm2 * wanted.ravel()))
    answer = programme._solved(hessian, linear, lower, made.upper, rows)
    half = (made.programme.shape[0] + 1) // 2
    assert few[:half].ravel() == pytest.approx(np.asarray(answer.x), abs=5e-3)


def test_what_it_costs_is_told():
    blank = Blank(joints=(Joint("circle", 40.0, 150.0, 60.0, keep_mm=33.0),))
    _, _, first = shaped(blank, replace(WISHES, depth_mm=12.0))
    x, y, depth = deepest(first.value.hollow)
    told = held_back_mm(first.value, x, y)
    assert told["allowed_by_wood_mm"] == pytest.approx(float(blank.allowed_depth_mm(x, y)))
    assert depth <= told["allowed_by_bounds_mm"] + 1e-9
    assert told["held_back_mm"] == pytest.approx(told["allowed_by_wood_mm"] - told["allowed_by_bounds_mm"])
    # Inside the zone both are 12; a few mm outside of it the wood would allow 25, the bounds do not yet.
    inside = held_back_mm(first.value, 40.0, 150.0)
    assert inside["allowed_by_wood_mm"] == pytest.approx(12.0)
    assert inside["held_back_mm"] == pytest.approx(0.0, abs=1e-6)
    beside = held_back_mm(first.value, 40.0, 150.0 + 30.0 + 10.0 + 2.0)
    assert beside["allowed_by_wood_mm"] == pytest.approx(25.0)
    assert 1.0 < beside["held_back_mm"] < 13.0
    plain = shaped(Blank())[2].value
    assert held_back_mm(plain, 33.0, 150.0)["held_back_mm"] == pytest.approx(0.0, abs=1e-9)


def test_the_most_it_costs_anywhere_is_told_with_its_place():
    bevel = Blank(**BEVEL)
    made, _, first = shaped(bevel)
    most = most_held_back(made, first.value)
    # Where the roll and the bevel leave least: the seat could be deeper there by what a fit held at points alone is.
    assert 0.5 < most.depth_mm < 8.0
    assert bevel.inside_mm(most.x_mm, most.y_mm) < 45.0
    points = bevel.allowed_depth_mm(most.x_mm, most.y_mm)
    assert first.value.depth_mm(most.x_mm, most.y_mm) + most.depth_mm <= points + 0.05
    # A floor alone costs nothing, and joints that hold hardly anything up cost hardly anything.
    made, _, first = shaped(BLANKS["gutter"])
    assert most_held_back(made, first.value) == NOTHING
    made, _, first = shaped(BLANKS["joints"])
    assert most_held_back(made, first.value).depth_mm < 0.3


def test_a_gutter_is_a_gouge_cut_along_the_deck_line():
    seat = Seat(Blank(gutter_depth_mm=4.0, gutter_width_mm=9.0))
    assert seat.depth_mm(0.0, 50.0) == 0.0
    assert seat.depth_mm(0.0, 54.5) == pytest.approx(4.0)
    assert seat.depth_mm(100.0, 59.0) == pytest.approx(0.0, abs=1e-9)
    # A circle through both lips: 9 across and 4 deep has a radius of (4.5^2 + 4^2) / 8.
    radius = (4.5**2 + 4.0**2) / 8.0
    assert seat.depth_mm(0.0, 52.5) == pytest.approx(np.sqrt(radius**2 - 4.0) - (radius - 4.0))
    bowed = Seat(Blank(gutter_depth_mm=4.0, deck_line="bowed", deck_bow_mm=40.0))
    assert bowed.depth_mm(0.0, 54.0) == pytest.approx(4.0)
    assert bowed.depth_mm(239.999, 88.0) == 0.0
    along = Seat(Blank(gutter_depth_mm=4.0, deck_line="offset", deck_mm=40.0, deck_reach_mm=250.0))
    assert along.depth_mm(240.0 - 44.0, 200.0) == pytest.approx(4.0)
    assert along.depth_mm(240.0 - 39.0, 200.0) == 0.0
    assert along.depth_mm(240.0 - 44.0, 320.0) == 0.0


@pytest.mark.parametrize("bow", [40.0, -30.0])
def test_a_bowed_deck_line_is_an_arc_through_three_places(bow):
    blank = Blank(deck_line="bowed", deck_bow_mm=bow)
    assert blank.ahead_of_deck_mm(0.0, 50.0) == pytest.approx(0.0, abs=1e-9)
    assert blank.ahead_of_deck_mm([-240.0, 240.0], 50.0 + bow) == pytest.approx(0.0, abs=1e-9)
    assert blank.ahead_of_deck_mm(0.0, 63.0) == pytest.approx(13.0)
    # Half-way to the side an arc has risen by less than a quarter and more than a fifth of the bow.
    at = np.linspace(50.0, 50.0 + bow, 4001)
    middle = at[np.argmin(np.abs(blank.ahead_of_deck_mm(120.0, at)))] - 50.0
    assert 0.2 < middle / bow < 0.25


def random_blank(rng):
    width, depth = rng.uniform(455, 520), rng.uniform(400, 450)
    outlines = [
        "rounded",
        "D-shaped",
        "waisted",
        "tapered to the front",
        "tapered to the rear",
        "straight-sided",
    ]
    joints = []
    for _ in range(rng.integers(0, 6)):
        kind = ["leg mortise", "circle", "bar"][rng.integers(3)]
        joints.append(
            Joint(
                kind,
                rng.uniform(90, 0.35 * width) * rng.choice([-1, 1]),
                rng.uniform(60, depth - 60),
                diameter_mm=rng.uniform(15, 45),
                angle_deg=rng.uniform(0, 25),
                depth_mm=rng.choice([None, rng.uniform(10, 30)]) if kind == "leg mortise" else None,
                keep_mm=rng.uniform(20, 36) if kind != "leg mortise" else rng.uniform(5, 12),
                around_mm=rng.uniform(0, 15),
                length_mm=rng.uniform(30, 120),
                width_mm=rng.uniform(10, 50),
                turn_deg=rng.uniform(0, 180),
                side=["one", "both"][rng.integers(2)],
            )
        )
    return Blank(
        width_mm=width,
        depth_mm=depth,
        outline=outlines[rng.integers(6)],
        joints=tuple(joints),
        under_bevel_width_mm=rng.uniform(10, 70),
        under_bevel_height_mm=rng.uniform(2, 13),
        deck_line=["straight", "bowed", "offset"][rng.integers(3)],
        deck_mm=rng.uniform(25, 60),
        deck_bow_mm=rng.uniform(-30, 40),
        deck_reach_mm=rng.uniform(100, 300),
        gutter_width_mm=rng.uniform(6, 10),
        gutter_depth_mm=rng.choice([0.0, rng.uniform(2, 3)]),
    )


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(25))
def test_random_joints_and_outlines(seed):
    rng = np.random.default_rng(700 + seed)
    made, guests, first = shaped(random_blank(rng), replace(WISHES, depth_mm=rng.uniform(8, 20)))
    check_everywhere(first.value)
    _, best = best_hollow(made, guests, made.wishes.depth_mm, first)
    check_everywhere(best.value)
    if made.bounds.refined is not None:
        assert made.bounds.refined.over(best.value.hollow.coefficients).max() <= 0.0


def test_under_the_roll_the_wood_allows_what_is_left_of_it():
    """A flat seat's own depth at the front edge is the roll alone."""
    seat = Seat(Blank(), front_roll_mm=20.0)
    for y in (415.0, 425.0):
        roll = float(seat.depth_mm(0.0, y))
        assert roll > 0.1
        assert held_back_mm(seat, 0.0, y)["allowed_by_wood_mm"] == pytest.approx(25.0 - roll)


def test_bounds_that_vary_fast_are_put_to_functions_8_mm_wide():
    """A cubic function lives over four spans."""
    seat = Seat(Blank(**BEVEL))
    knots = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 410.0, 30)
    refined = bounds_over(seat, *knots).refined
    for fine in (refined.knots_x, refined.knots_y):
        assert (fine[4:] - fine[:-4])[10:-10] == pytest.approx(8.0)
