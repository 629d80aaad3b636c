"""Tool reach against surfaces of known curvature."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh import Blank, Seat
from seatmesh.fit.reach import STEP_MM, Tool, concave_radius_mm, reach_of, tightest_of
from seatmesh.spline import BicubicSpline, clamped_knots, design_matrix


def bowl(radius_x, radius_y, depth=15.0):
    """A seat whose depth is depth - x^2 / 2 rx - (y - 240)^2 / 2 ry, exactly in the spline's space."""
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 430.0, 32)
    x, y = np.linspace(-240, 240, 120), np.linspace(50, 430, 120)
    wanted = depth - x[:, None] ** 2 / (2 * radius_x) - (y[None, :] - 240.0) ** 2 / (2 * radius_y)
    bx, by = design_matrix(x, knots_x).toarray(), design_matrix(y, knots_y).toarray()
    c = np.linalg.lstsq(bx, wanted, rcond=None)[0]
    c = np.linalg.lstsq(by, c.T, rcond=None)[0].T
    return Seat(Blank(), hollow=BicubicSpline(knots_x, knots_y, c))


def test_radius_at_the_bottom_of_a_bowl_is_the_tighter_one():
    at = np.zeros(1), np.array([240.0])
    assert concave_radius_mm(bowl(180.0, 400.0), *at)[0, 0] == pytest.approx(180.0, rel=1e-3)
    assert concave_radius_mm(bowl(500.0, 250.0), *at)[0, 0] == pytest.approx(250.0, rel=1e-3)


def test_a_ridge_is_not_concave_across_and_wood_left_has_no_radius():
    at = np.zeros(1), np.array([240.0])
    assert concave_radius_mm(bowl(-300.0, 300.0), *at)[0, 0] == pytest.approx(300.0, rel=1e-3)
    assert np.isinf(concave_radius_mm(bowl(180.0, 400.0), np.array([230.0]), np.array([60.0])))


def test_a_small_tool_goes_everywhere_and_a_flat_one_nowhere():
    small, large, flat = reach_of(
        bowl(180.0, 400.0), [Tool("small disc", 100.0), Tool("scraper", 250.0), Tool("plane", 1e5)]
    )
    assert small.share == 1.0
    assert large.share < 0.2
    assert flat.share < 0.05
    assert small.tightest_mm[0] == pytest.approx(180.0, rel=5e-3)


def test_an_uncarved_seat_asks_for_no_tool():
    assert reach_of(Seat(), [Tool("small disc", 100.0)]) == ()


@pytest.mark.parametrize(
    "at", [(0.0, 240.0), (60.0, 240.0), (0.0, 180.0), (70.0, 300.0), (-50.0, 190.0), (-80.0, 310.0)]
)
def test_a_ball_is_as_round_on_its_slopes_as_at_its_bottom(at):
    """Of a ball of 300 mm radius both principal radii are 300 mm everywhere; its walls here slope by up to 1 in 3."""
    radius, deep = 300.0, 25.0
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 60), clamped_knots(50.0, 430.0, 48)
    x, y = np.linspace(-240, 240, 240), np.linspace(50, 430, 240)
    wanted = (
        deep - radius + np.sqrt(radius**2 - np.minimum(x[:, None] ** 2 + (y[None, :] - 240.0) ** 2, 250.0**2))
    )
    bx, by = design_matrix(x, knots_x).toarray(), design_matrix(y, knots_y).toarray()
    c = np.linalg.lstsq(by, np.linalg.lstsq(bx, wanted, rcond=None)[0].T, rcond=None)[0].T
    seat = Seat(Blank(), hollow=BicubicSpline(knots_x, knots_y, c))
    assert concave_radius_mm(seat, np.array([at[0]]), np.array([at[1]]))[0, 0] == pytest.approx(
        300.0, rel=0.004
    )


@pytest.mark.parametrize("turn", [0.3, 0.8, 2.0])
def test_a_trough_on_a_slope_is_as_round_as_by_its_own_section(turn):
    """A cylinder of 200 mm radius whose axis runs askew and falls by 1 in 4; its radius is that square to the axis."""
    c, s = np.cos(turn), np.sin(turn)
    fall = 0.25

    def depth(x, y):
        across, along = c * x + s * (y - 240.0), -s * x + c * (y - 240.0)
        # Square to the axis its section is an ellipse seen from above; upright it is flatter by the axis' slope.
        return 40.0 + fall * along - (200.0 - np.sqrt(200.0**2 - across**2)) * np.hypot(1.0, fall)

    class Trough:
        blank, hollow, front_roll_mm = Blank(), None, 0.0

        def depth_mm(self, x, y):
            return depth(*np.broadcast_arrays(x, y))

    for across in (0.0, 25.0, -40.0):
        x, y = c * across, 240.0 + s * across
        radius = concave_radius_mm(Trough(), np.array([x]), np.array([y]))[0, 0]
        assert radius == pytest.approx(200.0, rel=2e-3)


@pytest.mark.parametrize(("radius", "flat"), [(4900.0, False), (5100.0, True)])
def test_what_is_flatter_than_five_metres_of_radius_counts_as_flat(radius, flat):
    class Dish:
        blank, hollow, front_roll_mm = Blank(), None, 0.0

        def depth_mm(self, x, y):
            x, y = np.broadcast_arrays(x, y)
            return 15.0 - (x**2 + (y - 240.0) ** 2) / (2.0 * radius)

    assert np.isinf(concave_radius_mm(Dish(), np.zeros(1), np.array([240.0]))[0, 0]) == flat


def test_a_bowls_radius_is_seen_at_raster_places_alike_on_both_sides():
    """The bottom of a bowl is its tightest place; a raster of whole cells has none of its middles farther than half."""
    radius, x, y = tightest_of(bowl(180.0, 400.0))
    assert radius == pytest.approx(180.0, rel=2e-3)
    assert abs(x) == pytest.approx(STEP_MM / 2)
    assert abs(y - 240.0) <= STEP_MM / 2 + 1e-9


@pytest.mark.parametrize(("gutter", "first"), [(0.0, 51.0), (4.0, 59.0)])
def test_no_radius_is_told_of_the_gutter_and_a_millimetre_beside_it(gutter, first):
    """The deck ends at 50 mm, an 8 mm wide gutter runs along it; differences reach half a millimetre to either side."""
    seat = replace(bowl(180.0, 9000.0), blank=Blank(gutter_depth_mm=gutter))
    y = np.array([first - 0.1, first + 0.1])
    assert np.isfinite(concave_radius_mm(seat, np.zeros(1), y)[:, 0]).tolist() == [False, True]


def test_no_radius_is_told_from_half_a_millimetre_behind_the_front_roll_on():
    """Differences reach as far as that, and the roll is round by another hand."""
    seat = replace(bowl(180.0, 9000.0), front_roll_mm=20.0)
    y = np.array([409.4, 409.6])
    assert np.isfinite(concave_radius_mm(seat, np.zeros(1), y)[:, 0]).tolist() == [True, False]
