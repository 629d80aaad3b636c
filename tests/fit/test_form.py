"""Form: what is wished of rim, lowest place, pommel and bowl is met on the seat itself."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh import Blank, Joint, Seat, estimate_body
from seatmesh.fit.fair.fairness import undulations
from seatmesh.fit.hollow import Guest, deepest, prepare
from seatmesh.fit.search.lowest_place import TRIED_MM, _least, with_lowest_place
from seatmesh.fit.search.smooth_peak import in_postures
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over

WISHES = Wishes()


def guest(seat):
    sitter = lay_over(estimate_body("female", 1680.0, 66.0), seat)
    return Guest(sitter, press(sitter, seat))


PLAIN = Seat()
WOMAN = guest(PLAIN)


def shaped(seat=PLAIN, who=WOMAN, **wishes):
    wished = replace(WISHES, **wishes)
    fit = with_lowest_place(prepare([who], seat, wished), in_postures([who], seat), wished.depth_mm)
    found = fit.shaped(wished.depth_mm)
    assert found.converged
    return fit, found.value


def test_the_surface_meets_the_flat_along_the_rim_and_is_carved_all_inside():
    fit, seat = shaped()
    x, y = fit.rim.line_mm()
    ahead = y < seat.roll_start_mm
    assert np.abs(seat.hollow(x[ahead], y[ahead])).max() < 0.15
    columns, rows = np.meshgrid(np.arange(-238.0, 239.0, 4.0), np.arange(2.0, seat.roll_start_mm, 4.0))
    inside = fit.rim.inside_mm(columns, rows)
    depth = seat.depth_mm(columns, rows)
    assert depth[inside > 10.0].min() > 0.0
    assert depth[inside < -3.0].max() == 0.0


def test_an_eased_rim_meets_sides_and_deck_nearly_level():
    crisp, eased = (shaped(rim=one) for one in ("crisp", "eased"))
    steep = []
    for fit, seat in (crisp, eased):
        x, y = fit.rim.line_mm()
        side = (x > 150.0) & (y > 120.0) & (y < 330.0)
        by_x, by_y = seat.hollow(x[side], y[side], 1, 0), seat.hollow(x[side], y[side], 0, 1)
        deck = x < 120.0
        wall = seat.hollow(x[deck], y[deck], 0, 1)
        steep.append((np.hypot(by_x, by_y).max(), wall.max()))
    assert steep[1][0] < 0.02
    assert steep[1][1] < 0.02 < 0.5 * steep[0][1]
    assert undulations(eased[1]) == 0


def test_a_print_ends_with_the_body_and_a_rim_does_not():
    _, whole = shaped()
    fit, seat = shaped(rim="print")
    assert fit.rim is None
    across = np.arange(0.0, 240.0, 0.5)
    wide = [float((one.depth_mm(across, WOMAN.sitter.at_mm[1]) > 0.0).sum()) for one in (whole, seat)]
    assert wide[1] < 0.85 * wide[0]


@pytest.mark.parametrize(("pommel", "width"), [(0.0, None), (5.0, None), (12.0, None), (8.0, 90.0)])
def test_the_ridge_is_as_high_as_wished_at_the_front_and_gone_behind_its_length(pommel, width):
    _, seat = shaped(pommel_mm=pommel, pommel_width_mm=width)
    x = np.arange(0.0, 160.0, 0.5)

    def ridge(y):
        depth = seat.depth_mm(x, y)
        return float(depth.max() - depth[0])

    assert ridge(seat.roll_start_mm) == pytest.approx(pommel, abs=0.4)
    rows = np.arange(seat.blank.deck_mm + 20.0, seat.blank.depth_mm - 130.0, 5.0)
    assert max(ridge(y) for y in rows) < 0.15
    along = [ridge(y) for y in np.arange(seat.blank.depth_mm - 130.0, seat.roll_start_mm, 10.0)]
    assert pommel == 0.0 or np.all(np.diff(along) > -0.05), "it grows to the front"


@pytest.mark.parametrize("roundness", [0.3, 0.6, 1.0])
def test_the_bowl_is_as_round_as_wished_down_to_its_lowest_place(roundness):
    """Against an even dish that is half as deep where the wished section is."""
    fit, seat = shaped(roundness=roundness, closeness=1.0)
    x0, y0, _ = deepest(seat.hollow)
    assert x0 == 0.0
    wished = fit.wished(18.0)
    section = np.array([np.interp(y0, fit.programme.y_mm, column) for column in wished.depth_mm.T])
    half = np.sqrt(2.0) * fit.programme.x_mm[np.flatnonzero(section >= 0.5 * section.max())[-1]]
    least = roundness * 2.0 * section[0] / half**2
    x = np.arange(0.0, 0.5 * half, 4.0)
    assert -seat.hollow(x, np.full_like(x, y0), 2, 0).max() > 0.93 * least


def test_a_flat_bottom_may_be_asked_for():
    _, flat = shaped(roundness=0.0)
    _, bowl = shaped(roundness=0.8)
    x = np.arange(-238.0, 239.0, 0.5)
    share = []
    for seat in (flat, bowl):
        depth = seat.depth_mm(x, deepest(seat.hollow)[1])
        share.append(float((depth > 0.9 * depth.max()).sum() / (depth > 0.0).sum()))
    assert share[0] > 1.15 * share[1]


def test_the_lowest_place_lies_between_sit_bones_and_the_end_of_the_spine():
    _, seat = shaped()
    bones, tip = WOMAN.sitter.at_mm[1], WOMAN.sitter.at_mm[1] + WOMAN.sitter.seated.tailbone_tip[1]
    assert tip < deepest(seat.hollow)[1] < bones + 2.0


def test_it_lies_where_the_costs_are_least_and_nowhere_that_was_not_tried():
    def costs(middle):
        return [(back - middle) ** 2 + 3.0 for back in TRIED_MM]

    assert _least(costs(7.0), 24.0) == pytest.approx(7.0)
    assert _least(costs(19.0), 15.0) == 15.0
    assert _least(costs(-5.0), 24.0) == 0.0
    # Where the costs fall ever faster there is no least between: the farthest of the places is taken.
    assert _least([3.0, 2.0, 0.0], 24.0) == 24.0
    assert _least([3.0, np.inf, 0.0], 24.0) == 0.0


def test_a_wished_place_is_kept():
    fit, seat = shaped(deepest_y_mm=120.0)
    assert deepest(seat.hollow)[1] == pytest.approx(120.0, abs=1.0)
    assert fit.moved_mm == 0.0


def test_a_joint_that_leaves_nothing_to_carve_does_not_stop_the_fit():
    """A zone in the very bowl, and a mortise where the rim would be carved: the bounds hold, form gives way."""
    blank = Blank(
        joints=(
            Joint("circle", 0.0, 150.0, diameter_mm=60.0, keep_mm=45.0),
            Joint("leg mortise", 170.0, 350.0, 28.0, 12.0, depth_mm=28.0),
        )
    )
    seat = Seat(blank)
    _, made = shaped(seat, guest(seat))
    assert float(made.depth_mm(0.0, 150.0)) == 0.0
    allowed = blank.allowed_depth_mm(*np.meshgrid(np.arange(-230.0, 231.0, 2.0), np.arange(52.0, 425.0, 2.0)))
    depth = made.depth_mm(*np.meshgrid(np.arange(-230.0, 231.0, 2.0), np.arange(52.0, 425.0, 2.0)))
    assert np.all(depth <= allowed + 1e-9)
