"""Rings as a solid: cut by planes they are conic sections, by a dish closed ovals, as geometry says, within a pixel."""

from dataclasses import replace
from math import radians, sin

import numpy as np
import pytest
from contourpy import LineType, contour_generator

from seatmesh.wood.boards.board import Board, turned_end_for_end, turned_over
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.boards.rings import board_middle_mm, grain, late_share, layup_grain, pith_line

PIXEL_MM = 0.6
PLAIN = Board(240.0, pith_away_mm=90.0, wander_mm=0.0, taper_mm_per_m=0.0)
DEEP, THICK = 430.0, 45.0


def lines_on(board, height, level, name="radius_mm"):
    """Return lines of equal radius on a surface z = height(x, y), drawn with the figure's pixels."""
    layup = Layup((board,), DEEP, THICK)
    x, y = np.arange(-120.0, 120.1, PIXEL_MM), np.arange(0.0, DEEP + 0.1, PIXEL_MM)
    across, along = np.meshgrid(x, y)
    points = np.stack([across, along, height(across, along)], axis=-1)
    field = getattr(layup_grain(layup, points), name)
    return [
        np.asarray(one) for one in contour_generator(x, y, field, line_type=LineType.Separate).lines(level)
    ]


def test_a_plane_along_the_pith_cuts_straight_lines():
    radius = 95.0
    found = lines_on(PLAIN, lambda x, y: -10.0 + 0.0 * x, radius)
    # The plane lies 90 + 12.5 mm over the pith less 10: x = sqrt(R^2 - h^2) only where R is the greater.
    height = 90.0 + 0.5 * THICK - 10.0
    assert found == []
    found = lines_on(PLAIN, lambda x, y: -10.0 + 0.0 * x, 120.0)
    assert len(found) == 2
    for line in found:
        assert np.abs(np.abs(line[:, 0]) - np.sqrt(120.0**2 - height**2)).max() < PIXEL_MM


def test_a_plane_across_fibres_that_rise_cuts_ellipses():
    """A cylinder of radius R whose axis meets a plane at an angle a: half axes R across and R / sin a along."""
    rise, radius = 12.0, 104.0
    board = replace(PLAIN, rise_deg=rise)
    found = lines_on(board, lambda x, y: -12.0 + 0.0 * x, radius)
    half = radius / sin(radians(rise))
    # Over the middle of the board the plane lies 90 + 22.5 - 12 mm above the pith, square to the board.
    over = 90.0 + 0.5 * THICK - 12.0
    centre = 0.5 * DEEP + over / np.tan(radians(rise))
    assert found
    for line in found:
        across, along = line[:, 0] / radius, (line[:, 1] - centre) / half
        off = np.hypot(across, along) - 1.0
        # Distance to the ellipse, by its steepest way.
        steep = np.hypot(across / radius, along / half)
        assert np.abs(off / steep).max() < PIXEL_MM


def test_a_plane_along_a_tapering_tree_cuts_hyperbolas():
    """A cone R = c - t y about an axis at a distance h: x^2 = (c - t y)^2 - h^2."""
    taper, level = 40.0, 104.0
    board = replace(PLAIN, taper_mm_per_m=taper)
    height = 90.0 + 0.5 * THICK - 12.0
    found = lines_on(board, lambda x, y: -12.0 + 0.0 * x, level)
    assert found
    count = 0
    for line in found:
        cone = level - 1e-3 * taper * (line[:, 1] - 0.5 * DEEP)
        exact = np.sqrt(np.maximum(cone**2 - height**2, 0.0))
        far = exact > 5.0
        assert np.abs(np.abs(line[far, 0]) - exact[far]).max() < PIXEL_MM
        count += int(far.sum())
    assert count > 100


def dish(x, y):
    """A sphere of 900 mm radius, 20 mm deep at the middle of the board."""
    return 880.0 - np.sqrt(900.0**2 - x**2 - (y - 0.5 * DEEP) ** 2)


def test_a_dish_cuts_closed_ovals_bark_side_up():
    """Cylinder and sphere in closed form: x = R sin u, z = -D + R cos u, and y from the sphere."""
    radius = 100.0
    found = lines_on(PLAIN, dish, radius)
    assert len(found) == 1
    (oval,) = found
    assert np.allclose(oval[0], oval[-1])
    pith = -0.5 * THICK - 90.0
    turn = np.arcsin(np.clip(oval[:, 0] / radius, -1.0, 1.0))
    z = pith + radius * np.cos(turn)
    reach = 900.0**2 - (880.0 - z) ** 2 - oval[:, 0] ** 2
    along = np.sqrt(np.maximum(reach, 0.0))
    off = np.abs(np.abs(oval[:, 1] - 0.5 * DEEP) - along)
    blunt = np.abs(oval[:, 0]) < 0.8 * np.abs(oval[:, 0]).max()
    assert off[blunt].max() < PIXEL_MM
    assert np.abs(oval[:, 1] - 0.5 * DEEP).max() > np.abs(oval[:, 0]).max()


def test_bark_side_down_the_lines_of_the_same_dish_run_out():
    """Common practice: turned over, the same board shows no ovals in the hollow."""
    over = turned_over(PLAIN)
    for radius in np.arange(60.0, 130.0, 3.0):
        assert not [line for line in lines_on(over, dish, radius) if np.allclose(line[0], line[-1])]
    assert any(
        np.allclose(line[0], line[-1])
        for r in np.arange(93.0, 108.0, 3.0)
        for line in lines_on(PLAIN, dish, r)
    )


def test_turning_a_board_turns_its_figure():
    lively = replace(
        PLAIN, pith_aside_mm=30.0, wander_mm=8.0, taper_mm_per_m=15.0, rise_deg=2.0, aside_deg=-1.0
    )
    rng = np.random.default_rng(3)
    points = rng.uniform([-120, 0, -45], [120, DEEP, 0], (50, 3))
    middle = board_middle_mm(Layup((lively,), DEEP, THICK), 0)
    own = grain(lively, middle, points).years
    about = points - middle
    for turned, signs in ((turned_end_for_end(lively), (-1, -1, 1)), (turned_over(lively), (-1, 1, -1))):
        assert grain(turned, middle, about * signs + middle).years == pytest.approx(own)
        assert not np.allclose(grain(turned, middle, points).years, own)
    assert turned_end_for_end(turned_end_for_end(lively)) == lively


def test_fibres_run_along_the_pith():
    board = replace(PLAIN, rise_deg=5.0, aside_deg=3.0)
    layup = Layup((board,), DEEP, THICK)
    start = np.array([[20.0, 200.0, -10.0]])
    along = start + 60.0 * np.array(board.fibre)
    assert layup_grain(layup, along).radius_mm == pytest.approx(layup_grain(layup, start).radius_mm)
    # Turned over, fibres that rose dive.
    assert turned_over(board).fibre[2] == pytest.approx(-board.fibre[2])
    assert turned_end_for_end(board).fibre[2] == pytest.approx(-board.fibre[2])


def test_years_never_run_backward_and_late_wood_ends_each():
    layup = Layup((PLAIN,), DEEP, THICK)
    points = np.column_stack([np.zeros(2000), np.full(2000, 100.0), np.linspace(-110.0, 60.0, 2000)])
    assert np.diff(layup_grain(layup, points).years).min() > 0.0
    assert late_share(np.array([0.0, 0.5, 0.9, 0.95]))[[0, 2]] == pytest.approx([0.0, 1.0])
    assert late_share(np.array([0.5])) == pytest.approx((0.5 / 0.9) ** 3)
    assert late_share(np.array([0.899, 0.92])) == pytest.approx([(0.899 / 0.9) ** 3, 0.8])


def test_years_differ_in_width_but_their_mean_is_the_rings():
    layup = Layup((replace(PLAIN, ring_width_mm=2.5),), DEEP, THICK)
    height = np.linspace(0.0, 300.0, 6001)
    years = layup_grain(layup, np.column_stack([np.zeros(6001), np.full(6001, 100.0), height])).years
    width = np.diff(height) / np.diff(years)
    assert (height[-1] - height[0]) / (years[-1] - years[0]) == pytest.approx(2.5, rel=0.06)
    assert 1.4 < width.min() < 2.2
    assert 2.9 < width.max() < 7.5


def test_a_pith_strays_no_farther_than_it_is_said_to():
    along = np.linspace(-215.0, 215.0, 400)
    for number in range(1, 8):
        across, up = pith_line(replace(PLAIN, wander_mm=10.0, number=number), along)
        # Half way along the board the pith is where it was measured.
        assert np.interp(0.0, along, across) == pytest.approx(0.0, abs=0.2)
        assert np.interp(0.0, along, up) == pytest.approx(0.0, abs=0.2)
        assert 4.0 < np.ptp(across) <= 20.0
        assert np.ptp(up) <= 12.0
